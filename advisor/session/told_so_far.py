"""What was told in words and still counts, in the order in which it was told: any of it can be denied or forgotten."""

from collections.abc import Iterable, Iterator

import msgspec

from advisor.case import Measured, SignReport
from advisor.errors import AdvisorError
from advisor.session.events import Answered, Event, Forgotten, Read, Told
from advisor.session.state import State
from advisor.sides import Side, Sided

NOTHING_TOLD = "nothing was told in words yet; 'also WORDS' tells something"


class ToldItem(msgspec.Struct, frozen=True, kw_only=True):
    """One thing told: a sign that is there or not, a reading, or a suspected cause."""

    report: SignReport | None = None
    reading: Measured | None = None
    suspected: Sided | None = None


def told_so_far(state: State) -> tuple[ToldItem, ...]:
    """Return what was told and was not settled otherwise since."""
    found: dict[tuple[str, str, Side], ToldItem] = {}
    for event in state.known:
        match event:
            case Told():
                found |= {("sign", one.sign, one.side): ToldItem(report=one) for one in event.reports}
                found |= {("reading", one.reading, one.side): ToldItem(reading=one) for one in event.readings}
                found |= {("cause", *one): ToldItem(suspected=one) for one in event.suspected}
            case Answered() | Read():
                signs = event.reports if isinstance(event, Answered) else ()
                for key in (*(("sign", one.sign, one.side) for one in signs), *_taken(event.readings)):
                    found.pop(key, None)
            case Forgotten():
                for kind, names in (("sign", event.signs), ("reading", event.readings), ("cause", event.suspected)):
                    for name in names:
                        found.pop((kind, *name), None)
    return tuple(one for one in found.values() if _counts(one, state))


def _taken(readings: Iterable[Measured]) -> Iterator[tuple[str, str, Side]]:
    return (("reading", one.reading, one.side) for one in readings)


def _counts(one: ToldItem, state: State) -> bool:
    """Whether it is still part of the case: a repair opens again what was told."""
    if one.report is not None:
        return one.report in state.case.seen
    return one.reading is None or one.reading in state.case.measured


def denied(numbers: list[int], state: State) -> Event:
    """Return the event that turns round the signs told under these numbers. Raises AdvisorError."""
    chosen = _chosen(numbers, state)
    reports = tuple(
        msgspec.structs.replace(one.report, seen=not one.report.seen) for one in chosen if one.report is not None
    )
    if len(reports) < len(chosen):
        other = next(number for number, one in zip(numbers, chosen, strict=True) if one.report is None)
        msg = f"{other} is not a sign that is there or not; 'drop {other}' forgets it"
        raise AdvisorError(msg)
    return Told(reports)


def forgotten(numbers: list[int], state: State) -> Event:
    """Return the event by which what was told under these numbers does not count. Raises AdvisorError."""
    chosen = _chosen(numbers, state)
    return Forgotten(
        signs=tuple((one.report.sign, one.report.side) for one in chosen if one.report is not None),
        readings=tuple((one.reading.reading, one.reading.side) for one in chosen if one.reading is not None),
        suspected=tuple(one.suspected for one in chosen if one.suspected is not None),
    )


def _chosen(numbers: list[int], state: State) -> list[ToldItem]:
    told = told_so_far(state)
    wrong = next((one for one in numbers if not 1 <= one <= len(told)), None)
    if wrong is not None:
        msg = f"nothing was told under {wrong}; 'told' shows the {len(told)} that were" if told else NOTHING_TOLD
        raise AdvisorError(msg)
    return [told[one - 1] for one in numbers]
