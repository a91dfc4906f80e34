"""What a session leads at the moment, and what is known once a balance has gone over to the search."""

from collections.abc import Iterable

from advisor.case import SignReport
from advisor.rulebase.model import Rulebase
from advisor.session.events import ALL_HOLDS, BALANCE, SEARCH, TUNE_UP, Answered, Event, WentOver
from advisor.sides import Side, sides_of

LED_KINDS = (BALANCE, TUNE_UP)  # kinds of session that lead something else than a search
# The signs that a balance which does not come shows, by why it does not; what its readings show, they show themselves.
SHOWN = {
    "no answer": "stop-screw-dead",
    "far turn": "stop-far-from-base",
    "does not stay": "balance-wont-hold",
    "moves by itself": "balance-wont-hold",
    "no mixture": "mixture-screw-dead",
    "idles on": "idles-off-its-stops",
}


def leads(events: Iterable[Event], kind: str) -> str:
    """Return what a session of a kind leads after these events: a search, the balance, or the order of a tune-up.

    A search that a balance went over to goes back to it once a repair holds.
    """
    found = own = kind if kind in LED_KINDS else SEARCH
    for event in events:
        if isinstance(event, WentOver):
            found = event.to
        elif isinstance(event, Answered) and event.says == ALL_HOLDS:
            found = own
    return found


def shown(event: WentOver, base: Rulebase) -> tuple[SignReport, ...]:
    """Return what is seen by turning screws, where a balance goes over to the search."""
    name = SHOWN.get(event.why, "")
    if event.to != SEARCH or name not in base.signs or (event.why in {"no answer", "far turn"} and not event.stops):
        return ()
    sided = base.signs[name].sided
    sides: tuple[Side, ...] = (event.side,) if sided and event.side else () if sided else sides_of(sided)
    return tuple(SignReport(sign=name, side=side, seen=True, how="measured") for side in sides)
