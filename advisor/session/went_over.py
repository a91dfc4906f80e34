"""What a session leads at the moment."""

from collections.abc import Iterable

from advisor.balance.course import PLUGS_SAY
from advisor.session.events import ALL_HOLDS, BALANCE, SEARCH, TUNE_UP, Answered, Event, WentOver

LED_KINDS = (BALANCE, TUNE_UP)  # kinds of session that lead something else than a search
WHY_OVER = {  # in the words of the course, and where these say too little
    "no mixture": "a mixture screw had no best place",
    PLUGS_SAY: "the plugs said otherwise than the columns",
    "no answer": "a screw was turned and hardly anything changed",
    "wrong way": "it moved the wrong way",
    "far turn": "a screw would have stood far from where it was found",
}


def leads(events: Iterable[Event], kind: str) -> str:
    """Return what a session of a kind leads after these events: a search, the balance, or the order of a tune-up.

    A search that a balance went over to goes back to it once a repair holds.
    """
    found = own = back = kind if kind in LED_KINDS else SEARCH
    for event in events:
        if isinstance(event, WentOver):
            back = found if own == SEARCH and event.why else own
            found = event.to
        elif isinstance(event, Answered) and event.says == ALL_HOLDS:
            found, back = back, own
    return found


def why_over(event: WentOver) -> str:
    """Return why it went over to the search, in words that stand alone."""
    return WHY_OVER.get(event.why, event.why)
