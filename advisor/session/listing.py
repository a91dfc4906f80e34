"""The sessions of a store, newest first, as somebody chooses among them: number, words, age, state, answers."""

from collections.abc import Container, Sequence
from itertools import islice

import msgspec

from advisor.session.balance_so_far import METHOD
from advisor.session.events import ALL_HOLDS, FIXED, PHONE, Answered, Event, HandedOver, Noted, Read, SetUp
from advisor.session.notes import noted
from advisor.session.state import counting
from advisor.session.store import Store, sound

MOST_LOOKED_AT = 100  # sessions, each some milliseconds
OPEN, PUT_RIGHT, SHEET, DAMAGED = "open", "put right", "sheet written", "damaged"


class Listed(msgspec.Struct, frozen=True, kw_only=True):
    """One session of a list: what it is chosen by. `touched` is in seconds since 1970, None if it cannot be read.

    `rider` and `bike` are as noted in a call, '' if they were not.
    """

    number: int
    kind: str
    words: str
    touched: float | None
    state: str
    answers: int
    rider: str = ""
    bike: str = ""


def listed(
    store: Store, kind: str, words: str = "", most: int | None = None, among: Container[int] | None = None
) -> tuple[list[Listed], int]:
    """Return the sessions of a kind (bench or phone) that have all of these `words`, newest first; `among` some only.

    The words are looked for in the complaint and, in a call, in what was noted: the rider, his bike, how to reach him.
    A number is a session's own too.

    At most so many (None: all), and how many more there are. A session whose beginning is damaged may be of any kind.
    One of which nothing was told is left out. Raises StoreError.
    """
    found = _found(store, kind, words, among)
    shown = [_read(store, kind, *row) for row in found[:most]]
    return shown, len(found) - len(shown)


def listed_of(
    store: Store, kinds: Sequence[str], words: str, most: int, among: Container[int] | None = None
) -> tuple[list[Listed], int]:
    """Return the sessions of several kinds as `listed` does of one, and how many more there are. Raises StoreError."""
    found = {row[0]: (kind, row) for kind in reversed(kinds) for row in _found(store, kind, words, among)}
    newest = sorted(found.values(), key=lambda one: _when(one[1]), reverse=True)
    return [_read(store, kind, *row) for kind, row in newest[:most]], max(0, len(newest) - most)


def still_open(store: Store, kind: str, most: int, among: Container[int] | None = None) -> list[Listed]:
    """Return the newest sessions of a kind that are open, at most so many; very old ones are left out.

    Raises StoreError.
    """
    every = (_read(store, kind, *row) for row in _found(store, kind, "", among)[:MOST_LOOKED_AT])
    return list(islice((one for one in every if one.state == OPEN), most))


def _when(row: tuple[int, object, object]) -> tuple[float, int]:
    return (row[2] if isinstance(row[2], float) else 0.0), row[0]


def _found(store: Store, kind: str, words: str, among: Container[int] | None) -> list[tuple[int, object, object]]:
    wanted = words.lower().split()
    rows = (row for row in store.sessions(kind) if among is None or row[0] in among)
    return [row for row in rows if _has(wanted, row, kind, store)]


def _has(wanted: list[str], row: tuple[int, object, object], kind: str, store: Store) -> bool:
    text = str(row[1]).lower()
    missing = [word for word in wanted if word not in text and word != str(row[0])]
    if not missing or kind != PHONE:
        return not missing
    notes = noted(sound(store.rows(row[0]))[0])
    text = " ".join((notes.name, notes.bike, notes.contact, notes.call_back, *notes.notes)).lower()
    return all(word in text for word in missing)


def _read(store: Store, kind: str, number: int, words: object, touched: object) -> Listed:
    events, damaged = sound(store.rows(number))
    notes = noted(events)
    return Listed(
        number=number,
        kind=kind,
        words=str(words) or led_words(events),
        touched=touched if isinstance(touched, float) else None,
        state=DAMAGED if damaged or not events else _state([one for one in events if not isinstance(one, Noted)][-1]),
        answers=answers(events),
        rider=notes.name,
        bike=notes.bike,
    )


def led_words(events: Sequence[Event]) -> str:
    """Return what a balance or a tune-up is known by, for nobody complained: how it is read, and how far it is."""
    chosen = {one.about: one.chosen for one in counting(events) if isinstance(one, SetUp)}
    read = sum(isinstance(one, Read) for one in counting(events))
    if METHOD in chosen:
        return f"by {chosen[METHOD]}, {read} reading{'s'[: read != 1]}"
    stages = [about.partition(": ")[2] for about in chosen if about.startswith("stage: ")]
    return f"as far as {stages[-1]}" if stages else ""


def answers(events: list[Event]) -> int:
    """Return how many answers of a session count."""
    return sum(not isinstance(event, FIXED) for event in counting(events))


def _state(last: Event) -> str:
    if isinstance(last, HandedOver):
        return SHEET
    return PUT_RIGHT if isinstance(last, Answered) and last.says == ALL_HOLDS else OPEN
