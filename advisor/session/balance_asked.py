"""What a led balance asks next, as a question of the session: how it is set up, a reading, a turn, or how it ended."""

from collections.abc import Sequence

from advisor.balance.course import (
    CABLES,
    CROSS,
    CROSS_ON,
    DOES_NOTHING,
    GAUGE_OFF,
    JOINS,
    STAYS,
    STOPS,
    STOPS_AGAIN,
    WORKS,
    behind,
    next_step,
)
from advisor.balance.course_steps import (
    COLUMNS,
    DROPS,
    IDLE,
    OFF_IDLE,
    Blip,
    Done,
    Method,
    Ridden,
    Seen,
    TakeReading,
    TurnScrews,
    WontCome,
)
from advisor.case import Case
from advisor.rulebase.model import Rulebase
from advisor.session import balance_so_far as so_far
from advisor.session.balance_drawn import line
from advisor.session.balance_in_words import lead, tens
from advisor.session.balance_mixture import mixture_question
from advisor.session.balance_shows import ready_words
from advisor.session.balance_so_far import READINGS, REVS, UNIT, Led
from advisor.session.balance_wont_come import over, wont_come
from advisor.session.events import TUNE_UP, ScrewsTurned, SetUp, Throttled, WentOver
from advisor.session.next_question import BALANCED, LED, Option, Question

STAGES = {
    WORKS: "Both cylinders at work",
    JOINS: "Whether it joins in higher up",
    STOPS: "Stops, at idle",
    CABLES: "Cables, at 2,500 rpm",
    STOPS_AGAIN: "Stops once more, at idle",
    CROSS: "Without the gauge, as a check",
    CROSS_ON: "With the gauge on again",
    STAYS: "After a blip",
    GAUGE_OFF: "Without the gauge",
}
CHECKS = {  # the check whose page says how a reading is taken, with what, and what can hurt
    "column-idle": "compare-columns-at-idle",
    "column-off-idle": "compare-columns-off-idle",
    "drop-idle": "short-each-plug-at-idle",
    "drop-off-idle": "short-each-plug-off-idle",
}
RUNNING = ("hot-parts", "overheating", "carbon-monoxide")
HOOK = "Engine off. Hoses on both ports again: does it do the same?"
UNHOOK = "Engine off. Hoses off, caps on both ports."
HELD = "Hold about 2,500 rpm by a helper or the friction screw."
AS_BEFORE = {  # how a reading is taken that was taken before
    (COLUMNS, IDLE): ("Blip it once, let the columns settle, read both, and the revs.",),
    (COLUMNS, OFF_IDLE): (f"{HELD} Let the columns settle, read both.",),
    (DROPS, IDLE): ("Read the revs, then short each plug in turn, three times: by how much do they fall?",),
    (DROPS, OFF_IDLE): (f"{HELD} Short each plug in turn, three seconds at most: by how much do they fall?",),
}
MINUTES = 2.0  # a turn and a reading: common practice, no source
AGAIN = "The last one is too close to call, or not as expected. Read it once more; touch no screw."


def balance_question(led: Led, case: Case, base: Rulebase) -> Question:
    """Return what the balance asks next."""
    if (asked := _set_up(led, base)) is not None:
        return asked
    setup = so_far.setup(led, case.bike, base)
    what = next_step(setup, led.steps)
    match what:
        case TakeReading(stage=stage):
            return _without_gauge(base) if stage == GAUGE_OFF else _reading(what, led, base)
        case TurnScrews():
            return _turn(what, led, setup.method, base)
        case Blip():
            return _blip(base)
        case Done():
            return _done(what, led, setup.method)
        case WontCome():
            return wont_come(what, led, base)


METHODS = {
    so_far.WATER_TUBE: "A tube with water, one leg to each side.",
    so_far.OIL_TUBE: "A tube with oil, one leg to each side.",
    so_far.GAUGES: "Two gauges, or a mercury tube.",
    so_far.SHORTING: "A rev counter, shorting one plug at a time.",
}
MIXTURES = {
    so_far.LEAVE: "It ran well with them: leave them for now.",
    so_far.NOW: "Set them first: it was rebuilt, or nobody knows how they stand.",
}
MIXTURE_BY = {
    so_far.BY_REVS: "By the revs: where the idle is fastest.",
    so_far.BY_DROPS: "By shorting: where its plug is worth most.",
    so_far.BY_CO: "By an exhaust gas tester that reads carbon monoxide.",
}


def _set_up(led: Led, base: Rulebase) -> Question | None:
    """Return what is still to be chosen or set before the balance itself, if anything."""
    chosen = led.chosen
    if so_far.READY not in chosen:
        return _ready(base)
    if so_far.METHOD not in chosen:
        return _choice("What do you read it with?", so_far.METHOD, METHODS)
    if so_far.CROSS not in chosen and chosen[so_far.METHOD] != so_far.SHORTING:
        title = "Can you short one plug at a time too, with a rev counter, as a check?"
        return _choice(title, so_far.CROSS, {so_far.YES: "Yes.", so_far.NO: "No."})
    if so_far.MIXTURES not in chosen:
        return _choice("The mixture screws", so_far.MIXTURES, MIXTURES)
    return _mixture(led, base)


def _mixture(led: Led, base: Rulebase) -> Question | None:
    """Return what comes next of the mixture screws, if one of them is being set."""
    if led.mixing is None:
        return None
    if so_far.BY not in led.chosen:
        return _choice("By what are the mixture screws set?", so_far.BY, MIXTURE_BY)
    return mixture_question(led, led.mixing, base)


def _ready(base: Rulebase) -> Question:
    return Question(
        kind=LED,
        title="Before the balance",
        steps=(
            f"First must be right: {', '.join(ready_words(base))}.",
            "Warm it up by a ride of ten minutes. Fan in front; five minutes of running at most, then let it cool.",
        ),
        options=(
            Option(says="It is ready.", event=SetUp(so_far.READY, so_far.YES)),
            Option(says="Not all of that: lead me through it first.", event=WentOver(TUNE_UP)),
            Option(says="I am not sure, and go on.", event=SetUp(so_far.READY, so_far.NO)),
        ),
        cautions=_cautions(("stuck-throttle", *RUNNING), base),
    )


def _choice(title: str, about: str, says: dict[str, str]) -> Question:
    options = tuple(Option(says=text, event=SetUp(about, name)) for name, text in says.items())
    return Question(kind=LED, title=title, steps=(), options=options)


def _reading(what: TakeReading, led: Led, base: Rulebase) -> Question:
    name = READINGS[what.by, what.where]
    check = base.checks[CHECKS[name]]
    drawn = _drawn(led, what.by, what.where)
    how = (AGAIN,) if what.again else AS_BEFORE[what.by, what.where] if drawn or what.stage == JOINS else check.steps
    if not what.again:
        how = ((UNHOOK, *how) if what.stage == CROSS else (HOOK, *how)) if what.stage in {CROSS, CROSS_ON} else how
    return Question(
        kind=LED,
        title=f"{STAGES[what.stage]}: {'read both columns' if what.by == COLUMNS else 'short one plug at a time'}",
        steps=(*how, *_expects(what.expected, what.by)),
        minutes=MINUTES,
        tools=tuple(base.tools[tool].title for tool in check.tools),
        cautions=_cautions(check.cautions, base),
        options=_not_to_be_had(led, base) if what.stage == JOINS else (),
        takes=(name, REVS) if what.where == IDLE and what.stage not in {WORKS, CROSS_ON} else (name,),
        drawn=drawn,
        unit=_unit(led, what.by),
    )


def _not_to_be_had(led: Led, base: Rulebase) -> tuple[Option, ...]:
    """Return the way on where a side is dead at idle, and it is not to be had whether it works higher up."""
    weak = [one for one in led.steps if isinstance(one, Seen) and one.by == DROPS][-1]
    event = over(WontCome(why=DOES_NOTHING, side=behind(weak)), led, base)
    return (Option(says="It will not run at 2,500, or not tried: look for the cause.", event=event),)


def _without_gauge(base: Rulebase) -> Question:
    return Question(
        kind=LED,
        title="Without the gauge: read the revs",
        steps=(
            f"{UNHOOK} Start it, blip it once, wait ten seconds, type the revs.",
            "An idle that is another now draws air at a port or its cap.",
        ),
        minutes=MINUTES,
        cautions=_cautions(RUNNING, base),
        takes=(REVS,),
        unit="rpm",
        unhooked=True,
    )


def _expects(expected: Sequence[tuple[float, float]] | None, by: Method) -> tuple[str, ...]:
    """Return what the reading should show, if that is known."""
    if expected is None:
        return ()
    (behind, within), *revs = expected
    says = f"Expect: {lead(behind, by)}, give or take {within:.0f}"
    says += f"; {tens(revs[0][0])} rpm, give or take {tens(revs[0][1])}" if revs else ""
    return (f"{says}.",)


def _turn(what: TurnScrews, led: Led, by: Method, base: Rulebase) -> Question:
    name = READINGS[by, what.where]
    return Question(
        kind=LED,
        title=f"{STAGES[what.stage]}: turn {'both' if len(what.turns) > 1 else 'one'}, then read",
        steps=(
            *(f"{str(one)[0].upper()}{str(one)[1:]}." for one in what.turns),
            "Blip it once, let it settle, and read again. Turned otherwise? Say how: 'left in 1/8'.",
            *_expects(what.expected, by),
        ),
        minutes=MINUTES,
        cautions=_cautions(("stuck-throttle", *RUNNING), base),
        options=(
            Option(says="Turned as it says.", event=ScrewsTurned(what.turns)),
            Option(says="It does not turn, came to its end, or no longer touches.", event=ScrewsTurned((), what.turns)),
        ),
        takes=(name, REVS) if what.where == IDLE else (name,),
        drawn=_drawn(led, by, what.where),
        unit=_unit(led, by),
        turns=what.turns,
    )


def _blip(base: Rulebase) -> Question:
    return Question(
        kind=LED,
        title="Blip it three times",
        steps=("Open it to about 3,000 and let go, three times; let it settle. What sticks shows now.",),
        options=(Option(says="Done.", event=Throttled()),),
        cautions=_cautions(("stuck-throttle", *RUNNING), base),
    )


def _done(what: Done, led: Led, by: Method) -> Question:
    close = () if what.closely else ("It is as level as this instrument tells.",)
    ridden = any(isinstance(one, Ridden) for one in led.steps)
    ride = Option(says="Ridden ten kilometres: read it once more.", event=Throttled(ridden=True))
    mixture = Option(says="Set the mixture screws now, then balance again.", event=SetUp(so_far.MIXTURES, so_far.NOW))
    more = (*(() if ridden else (ride,)), *(() if led.chosen.get(so_far.MIXTURES) == so_far.NOW else (mixture,)))
    return Question(
        kind=BALANCED,
        title=f"It is balanced, and stays so after {'a ride' if ridden else 'a blip'}",
        steps=(*_before_and_after(led, by), *close),
        options=more,
    )


def _before_and_after(led: Led, by: Method) -> tuple[str, ...]:
    """Return what was read first and last at each place, and what was turned between."""
    found = []
    for where, title in ((IDLE, "At idle"), (OFF_IDLE, "At 2,500 rpm")):
        read = [one for one in led.steps if isinstance(one, Seen) and (one.by, one.where) == (by, where)]
        read = [one for one in read if one.behind is not None]
        if read:
            first, last = read[0], read[-1]
            revs = f", {tens(last.revs)} rpm" if last.revs else ""
            found.append(f"{title}: {lead(first.behind or 0, first.by)}, now {lead(last.behind or 0, last.by)}{revs}.")
    return tuple(found)


def _drawn(led: Led, by: Method, where: str) -> str:
    return line([one for one in led.steps if isinstance(one, Seen) and (one.by, one.where) == (by, where)])


def _unit(led: Led, by: Method) -> str:
    return so_far.READ_IN.get(led.chosen[so_far.METHOD], "mmHg") if by == COLUMNS else UNIT[by]


def _cautions(names: Sequence[str], base: Rulebase) -> tuple[str, ...]:
    return tuple(base.cautions[name].says for name in names)
