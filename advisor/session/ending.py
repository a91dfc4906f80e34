"""The end of a dialogue: with the sheet of a call, or the record of a session that has come to its own end."""

from collections.abc import Iterator

from advisor.session import place, shown
from advisor.session.events import PHONE
from advisor.session.handover import hand_over
from advisor.session.prompts import ended
from advisor.session.shown import Shown
from advisor.session.talk import Talk
from advisor.session.wishes import has_a_record, record_shown


def end(talk: Talk) -> Iterator[Shown]:
    """Yield what a dialogue ends with; it waits for nothing more."""
    if _has_a_sheet(talk):
        if talk.place.handed_over != len(talk.session.journal.events):  # else the last sheet said the same
            yield shown.Sheet(found=hand_over(talk.session))
        talk.session.handed_over()
        yield from talk.trouble()
    elif has_a_record(talk.session):
        yield record_shown(talk.session)
    talk.now(asks=place.Over(), to_do=())
    yield ended(talk.session)


def _has_a_sheet(talk: Talk) -> bool:
    """Whether a call ends with a sheet: once there is something to say."""
    told = isinstance(talk.place.asks, place.ForAnswer) or talk.session.state.undoable > 0
    return talk.session.state.kind == PHONE and told
