"""What a led balance has shown when it goes over to the search: signs that are there, and signs that are not."""

from collections.abc import Iterator

from advisor.balance.course_steps import IDLE, Turned, WontCome
from advisor.balance.mixture import Best
from advisor.balance.standing import TRIED
from advisor.balance.turns import STOP
from advisor.case import SignReport
from advisor.rulebase.model import Rulebase
from advisor.session.balance_so_far import Led, mixture_next
from advisor.sides import BOTH, Side, Sided, sides_of

HOW = "measured"
DEAD, FAR, MIXTURE_DEAD = "stop-screw-dead", "stop-far-from-base", "mixture-screw-dead"
MOVES = "balance-wont-hold"
OFF_THE_PORT = "port-cover-moves-idle"
MIXTURE_OUT, OUT = "mixture-out", "out-of-adjustment"
LEVEL = (
    "the plugs say otherwise",
    "changes without the gauge",
)  # it came level before it was clear that this is not it


def shows(what: WontCome, led: Led, base: Rulebase) -> tuple[SignReport, ...]:
    """Return what is known by turning screws: why it does not come, and which screws did answer."""
    told = (*_answered(what, led, base), *_why(what))
    found = {(sign, side): seen for sign, side, seen in told if sign in base.signs}
    return tuple(
        SignReport(sign=sign, side=side, seen=seen, how=HOW)
        for (sign, side), seen in found.items()
        if side in sides_of(base.signs[sign].sided)
    )


def set_right(what: WontCome, led: Led, base: Rulebase) -> tuple[Sided, ...]:
    """Return the causes that the balance itself has set right: both mixture screws, and stops with cables."""
    mixture = all(isinstance(mixture_next(led.read[side], led.by, base), Best) for side in BOTH)
    level = what.why in LEVEL
    found = ([MIXTURE_OUT] if mixture else []) + ([OUT] if level else [])
    return tuple((name, None) for name in found if name in base.causes)


def _why(what: WontCome) -> Iterator[tuple[str, Side, bool]]:
    """Yield the signs of the reason itself."""
    match what.why:
        case "no answer" if what.where == IDLE:
            yield DEAD, what.side, True
        case "far turn" if what.where == IDLE:
            yield FAR, what.side, True
        case "does not stay" | "moves by itself":
            yield MOVES, None, True
        case "changes without the gauge":
            yield OFF_THE_PORT, what.side, True
        case "the plugs say otherwise":  # with the gauge on as without
            yield from ((OFF_THE_PORT, side, False) for side in BOTH)
        case "a side does nothing":
            yield "side-dead", what.side, True


def _answered(what: WontCome, led: Led, base: Rulebase) -> Iterator[tuple[str, Side, bool]]:
    """Yield that screws which were turned and answered are not dead."""
    turns = [one for step in led.steps if isinstance(step, Turned) for one in step.turns if one.screw == STOP]
    for side in BOTH:
        turned = sum(abs(one.turns) for one in turns if one.side == side)
        if turned >= TRIED and (what.why, what.side) != ("no answer", side):
            yield DEAD, side, False
        if isinstance(mixture_next(led.read[side], led.by, base), Best):
            yield MIXTURE_DEAD, side, False
