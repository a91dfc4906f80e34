"""Each single thing that was said in a session, with its number: once given, it is that statement's to the end.

What is dropped or taken back leaves its number unused. What is said anew keeps the number of what it replaces.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import count

import msgspec

from advisor.session import events


class Statement(msgspec.Struct, frozen=True, kw_only=True):
    """One thing said: its number, an event that holds nothing else, its place in the journal, and which part of that.

    It is a sign or a reading that was told, a suspected cause, words that mean nothing here, a reading taken, an answer
    to a check, that a check gave no answer, or that a cause was put right or found sound.
    """

    number: int
    at: int
    part: int
    event: events.Event

    @property
    def told(self) -> bool:
        """Whether it was told in words, unasked."""
        return isinstance(self.event, events.Told)


Standing = dict[int, tuple[Statement, ...]]  # what stands at each place of a journal


def statements(journal: Iterable[events.Event]) -> tuple[Statement, ...]:
    """Return what was said and counts, in the order of the journal. The first thing ever said is number 1."""
    fresh, stands = count(1), Standing()
    before: list[Standing] = []  # each event that can be taken back
    for place, event in enumerate(journal):
        if isinstance(event, events.Undone):
            for _ in range(min(event.count, len(before))):
                stands = before.pop()
        elif not isinstance(event, (*events.FIXED, events.HandedOver)):
            before.append(stands)
            stands = _after(stands, event, place, fresh)
    return tuple(one for place in sorted(stands) for one in stands[place])


def _after(stands: Standing, event: events.Event, place: int, fresh: Iterator[int]) -> Standing:
    match event:
        case events.Corrected(changes=changes):
            right = {one.at: one.instead for one in changes if one.at in stands}
            return stands | {at: _instead(stands[at], at, new, fresh) for at, new in right.items()}
        case events.Forgotten():
            return {at: tuple(one for one in said if not _forgets(event, one.event)) for at, said in stands.items()}
        case _:
            said = enumerate(parts(event))
            return stands | {
                place: tuple(Statement(number=next(fresh), at=place, part=n, event=one) for n, one in said)
            }


def _instead(
    said: Sequence[Statement], at: int, new: events.Event | None, fresh: Iterator[int]
) -> tuple[Statement, ...]:
    """Return what stands in the place of what was said: the same under its number, what is new under those set free."""
    after = list(parts(new)) if new is not None else []
    kept = {one.number: one.event for one in said if one.event in after}
    free = iter([one.number for one in said if one.number not in kept])
    named = [next((number for number, event in kept.items() if event == one), 0) for one in after]
    return tuple(
        Statement(number=number or next(free, 0) or next(fresh), at=at, part=part, event=one)
        for part, (number, one) in enumerate(zip(named, after, strict=True))
    )


def parts(event: events.Event) -> Iterator[events.Event]:
    """Yield each single thing that an event says, as an event of its own; nothing if it says nothing of the bike."""
    match event:
        case events.Told():
            yield from (events.Told((one,)) for one in event.reports)
            yield from (events.Told((), (one,)) for one in event.readings)
            yield from (events.Told((), (), (one,)) for one in event.suspected)
            yield from (events.Told((), words=one) for one in (event.words,) if one)
        case events.Read():
            yield from (events.Read((one,)) for one in event.readings)
        case events.Answered() | events.Skipped() | events.PutRight() | events.RuledOut():
            yield event


def _forgets(event: events.Forgotten, said: events.Event) -> bool:
    """Whether an event, as it was kept before there were corrections, makes something told not count."""
    if not isinstance(said, events.Told):
        return False
    return (
        any((one.sign, one.side) in event.signs for one in said.reports)
        or any((one.reading, one.side) in event.readings for one in said.readings)
        or any(one in event.suspected for one in said.suspected)
    )
