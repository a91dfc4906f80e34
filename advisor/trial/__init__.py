"""What a person finds on the virtual bike, in the words of the rule base: signs, readings, answers to checks.

Apprentices practise on it and the rule base is scored by it. It shares no threshold and no strength with the rules:
what a person notices stands in `constants`, by judgement.

How to use it
    view.view(bike), view.views(bikes)     what the senses look at; `views` computes many bikes at once. Views are lazy
    senses.sense(view, sign, side)         whether a sign is seen there: yes, no, or None where the model cannot show it
    senses.sensed(view, among)             all of them, or those named, by (sign, side); about 0.2 s for all of a bike
    senses.SENSES, not_sensed.NOT_SENSED   every sign of the rule base is in one of them
    figures.take(view, reading, rng)       a reading with its unit, repeats by side, and stalls; FIGURES, NOT_READ
    figures.SHEET                          the bike's own figures, for the case: without them its timing looks wrong
    answer.answer(base, check, side, view, rng, slips=, told=)    the outcome of a check: says, side, findings, readings
    complaint.history(causes, rng)         how it may have begun, to be handed to `answer` as `told`
    complaint.complaint(view, begun, rng, by_rider)    the two to four signs that a rider tells first
    practice.Round(advisor, seed, level, area)    a bike to practise on: do, fix, name, give_up; `verdict.verdict` after
    wanted, lesson, progress               what words mean in a round; the readiness order as a lesson; bikes so far
    turning.turned(bike, sign, rng)        a screw turned a little and the instrument read again; the bike as it is left
    bench                                  parts exchanged and cures tried, as a mechanic does

A fault leaves marks for the eye on the bike (`Bike.marks`, set by `faults.plant`), for parts that have no measure of
their own: burnt points, a split sheath. A bike changed by hand (`change`, `share`) has none, but all else shows.
"""
