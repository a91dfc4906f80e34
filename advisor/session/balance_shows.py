"""What a led balance has shown when it goes over to the search: signs that are there, and signs that are not."""

from collections.abc import Iterator

from advisor.balance.course import does_nothing
from advisor.balance.course_steps import DROPS, IDLE, OFF_IDLE, Seen, Turned, WontCome
from advisor.balance.mixture import Best
from advisor.balance.standing import TRIED
from advisor.balance.turns import STOP
from advisor.case import SignReport
from advisor.rulebase.model import Rulebase
from advisor.session.balance_so_far import READY, YES, Led, mixture_next
from advisor.sides import BOTH, Side, Sided, sides_of

HOW, SAID = "measured", "told"
DEAD, FAR, MIXTURE_DEAD = "stop-screw-dead", "stop-far-from-base", "mixture-screw-dead"
MOVES = "balance-wont-hold"
OFF_THE_PORT = "port-cover-moves-idle"
WEAK, SIDE_DEAD, JOINS = "drop-small-idle", "side-dead", "side-joins-at-revs"
STOP_LEVELS, CABLE_LEVELS = "stop-turn-levels", "adjuster-turn-levels"
MIXTURE_OUT, OUT, CABLES_OUT = "mixture-out", "out-of-adjustment", "cable-slack-unequal"
WORKS_SHARE = 0.5  # of the other plug's worth: a side whose plug is worth more works. Judgement
# Why it does not come, and which settings are not what is wrong then: it came level before, or would not with them.
SET = {
    "the plugs say otherwise": (OUT,),
    "changes without the gauge": (OUT,),
    "does not come level": (OUT,),
    "does not come level off idle": (OUT, CABLES_OUT),
}


def shows(what: WontCome, led: Led, base: Rulebase) -> tuple[SignReport, ...]:
    """Return what is known by turning screws: why it does not come, which screws did answer, what was said before."""
    measured = (*_answered(what, led, base), *_why(what, led))
    said = dict.fromkeys(_said_ready(led, base), (False, SAID))
    found = said | {(sign, side): (seen, HOW) for sign, side, seen in measured}
    return tuple(
        SignReport(sign=sign, side=side, seen=seen, how=how)
        for (sign, side), (seen, how) in found.items()
        if sign in base.signs and side in sides_of(base.signs[sign].sided)
    )


def ready_words(base: Rulebase) -> tuple[str, ...]:
    """Return the words in which it is asked whether all is ready for a balance."""
    return tuple(words for area in base.areas for words in area.ready)


def _said_ready(led: Led, base: Rulebase) -> Iterator[Sided]:
    """Yield the signs that are not there, by the word of who said that all is ready."""
    if led.chosen.get(READY) == YES:
        signs = (sign for area in base.areas for one in area.ready.values() for sign in one)
        yield from ((sign, side) for sign in signs for side in sides_of(base.signs[sign].sided))


def set_right(what: WontCome, led: Led, base: Rulebase) -> tuple[Sided, ...]:
    """Return the causes that the balance itself has set right or cleared: mixture screws, stops with cables."""
    mixture = all(isinstance(mixture_next(led.read[side], led.by, base), Best) for side in BOTH)
    found = (*((MIXTURE_OUT,) if mixture else ()), *SET.get(what.why, ()))
    return tuple((name, side) for name in found if name in base.causes for side in sides_of(base.causes[name].sided))


def _why(what: WontCome, led: Led) -> Iterator[tuple[str, Side, bool]]:
    """Yield the signs of the reason itself."""
    match what.why:
        case "no answer" | "does not come level off idle" if what.where == OFF_IDLE:
            yield from ((CABLE_LEVELS, side, False) for side in BOTH)
        case "no answer":
            yield DEAD, what.side, True
        case "far turn" if what.where == IDLE:
            yield FAR, what.side, True
        case "does not come level":
            yield from ((STOP_LEVELS, side, False) for side in BOTH)
        case "does not stay" | "moves by itself":
            yield MOVES, None, True
        case "changes without the gauge":
            yield OFF_THE_PORT, what.side, True
        case "the plugs say otherwise":  # with the gauge on as without
            yield WEAK, what.side, True
            yield from ((OFF_THE_PORT, side, False) for side in BOTH)
        case "a side does nothing":
            yield SIDE_DEAD, what.side, True
            yield from ((JOINS, what.side, joins) for joins in _joins(led))


def _joins(led: Led) -> Iterator[bool]:
    """Yield whether the side that does nothing at idle works off idle, if that was read and is clear."""
    last = led.steps[-1] if led.steps else None
    if isinstance(last, Seen) and (last.by, last.where) == (DROPS, OFF_IDLE) and last.sides:
        low, high = sorted(last.sides)
        if does_nothing(last) or low > WORKS_SHARE * high:
            yield not does_nothing(last)


def _answered(what: WontCome, led: Led, base: Rulebase) -> Iterator[tuple[str, Side, bool]]:
    """Yield that screws which were turned and answered are not dead."""
    turns = [one for step in led.steps if isinstance(step, Turned) for one in step.turns if one.screw == STOP]
    for side in BOTH:
        turned = sum(abs(one.turns) for one in turns if one.side == side)
        if turned >= TRIED and (what.why, what.side) != ("no answer", side):
            yield DEAD, side, False
        if isinstance(mixture_next(led.read[side], led.by, base), Best):
            yield MIXTURE_DEAD, side, False
