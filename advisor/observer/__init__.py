"""What a person sees, hears, feels and reads on the virtual bike, in the words of the signs. It knows no rule.

`thresholds` says, by judgement, from what size a person notices something. How often a fault shows a sign is not
written down here: it follows from the engine model.

How to use it
    bike_view.view(bike), bike_view.views(bikes)     what the senses look at; `views` works out many bikes at once
    senses.sense(view, sign, side)          whether a sign is seen there: yes, no, or None: not shown by the model
    senses.sensed(view, among)              all of them, or those named, by (sign, side); about 0.2 s for all of a bike
    senses.SENSES, not_sensed.NOT_SENSED    every sign of the rule base is in one of the two
    readings_taken.take(view, reading, rng)  a reading with its unit, repeats by side, and stalls
    readings_taken.SHEET                    the bike's own figures, for the case: without them its timing looks wrong
    beginnings.history(causes, rng)         how it may have begun
    complaint.complaint(view, begun, rng, by_rider)    the two to four signs that a rider tells first
    turning.turned(bike, sign, rng)         a screw turned a little and the instrument read again
    exchanges                               parts exchanged and cures tried, as a mechanic does

A fault leaves marks for the eye on the bike (`Bike.marks`, set by `faults.plant`), for parts that have no measure of
their own: burnt points, a split sheath. A bike changed by hand (`change`, `share`) has none, but all else shows.
"""
