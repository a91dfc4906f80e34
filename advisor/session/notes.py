"""What a call carries beside the trouble: the rider's name, his bike, how to reach him, where to ring back, notes."""

import re
from collections.abc import Iterable

import msgspec

from advisor.errors import AdvisorError
from advisor.session.events import Event, Noted

NAME, BIKE, CONTACT, CALL_BACK, NOTE = "name", "bike", "contact", "call back", "note"
KINDS = (NAME, BIKE, CONTACT, CALL_BACK, NOTE)
# With a colon at any time; where no free words are asked for, the colon may be left out.
WITH_COLON = re.compile(rf"^\s*(?P<about>{'|'.join(KINDS)})\s*:\s*(?P<says>.*?)\s*$", re.IGNORECASE)
WITHOUT = re.compile(rf"^\s*(?P<about>{'|'.join(KINDS)})\s+(?P<says>\S.*?)\s*$", re.IGNORECASE)


class Notes(msgspec.Struct, frozen=True, kw_only=True):
    """The notes of a call; '' for what was not noted."""

    name: str = ""
    bike: str = ""
    contact: str = ""
    call_back: str = ""
    notes: tuple[str, ...] = ()


def noted(events: Iterable[Event]) -> Notes:
    """Return the notes among these events: of each kind the last one, but every note."""
    last, more = dict.fromkeys(KINDS, ""), list[str]()
    for event in events:
        if isinstance(event, Noted) and event.about == NOTE:
            more.append(event.says)
        elif isinstance(event, Noted):
            last[event.about] = event.says
    return Notes(name=last[NAME], bike=last[BIKE], contact=last[CONTACT], call_back=last[CALL_BACK], notes=tuple(more))


def typed_note(line: str, *, free_words: bool) -> Noted | None:
    """Return the note that a line is, if it is one. Raises AdvisorError if it lacks its words."""
    match = WITH_COLON.match(line) or (None if free_words else WITHOUT.match(line))
    if match is None:
        return None
    about = match["about"].lower()
    if not match["says"]:
        msg = f"'{about}:' needs words after it, like '{about}: ...'"
        raise AdvisorError(msg)
    return Noted(about, " ".join(match["says"].split()))
