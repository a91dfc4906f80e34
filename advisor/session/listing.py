"""The sessions of a store, newest first, as somebody chooses among them: number, words, age, state, answers."""

import msgspec

from advisor.session.events import Answered, Event, HandedOver
from advisor.session.next_question import ALL_HOLDS
from advisor.session.state import FIXED, counting
from advisor.session.store import Store, sound

OPEN, PUT_RIGHT, SHEET, DAMAGED = "open", "put right", "sheet written", "damaged"


class Listed(msgspec.Struct, frozen=True, kw_only=True):
    """One session of a list: what it is chosen by. `touched` is in seconds since 1970, None if it cannot be read."""

    number: int
    words: str
    touched: float | None
    state: str
    answers: int


def listed(store: Store, kind: str, words: str = "", most: int | None = None) -> tuple[list[Listed], int]:
    """Return the sessions of a kind (bench or phone) whose words have all of these `words`, newest first.

    At most so many (None: all), and how many more there are. A session whose beginning is damaged may be of any kind.
    One of which nothing was told is left out. Raises StoreError.
    """
    wanted = words.lower().split()
    found = [row for row in store.sessions(kind) if all(word in str(row[1]).lower() for word in wanted)]
    shown = [_read(store, *row) for row in found[:most]]
    return shown, len(found) - len(shown)


def _read(store: Store, number: int, words: object, touched: object) -> Listed:
    events, damaged = sound(store.rows(number))
    return Listed(
        number=number,
        words=str(words),
        touched=touched if isinstance(touched, float) else None,
        state=DAMAGED if damaged or not events else _state(events[-1]),
        answers=answers(events),
    )


def answers(events: list[Event]) -> int:
    """Return how many answers of a session count."""
    return sum(not isinstance(event, FIXED) for event in counting(events))


def _state(last: Event) -> str:
    if isinstance(last, HandedOver):
        return SHEET
    return PUT_RIGHT if isinstance(last, Answered) and last.says == ALL_HOLDS else OPEN
