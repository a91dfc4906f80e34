"""All that was said and still counts, numbered in its order: words, answers, readings. Any of it can be set right."""

from collections.abc import Iterator, Sequence

import msgspec
from msgspec.structs import replace

from advisor.errors import AdvisorError
from advisor.intake.spoken import spoken
from advisor.rulebase.model import Rulebase
from advisor.session.events import (
    Answered,
    Change,
    Corrected,
    Event,
    Forgotten,
    PutRight,
    Read,
    RuledOut,
    Skipped,
    Told,
)
from advisor.session.next_question import options
from advisor.session.state import State
from advisor.sides import Side, Sided

NOTHING_TOLD = "nothing was told yet; 'also WORDS' tells something"
NAMES_SIDE = ("left", "right")


class Statement(msgspec.Struct, frozen=True, kw_only=True):
    """One thing said: an event that holds nothing else, its place in the journal, and which part of that it is.

    It is a sign or a reading that was told, a suspected cause, a reading taken, an answer to a check, that a check gave
    no answer, or that a cause was put right or found sound.
    """

    at: int
    part: int
    event: Event

    @property
    def told(self) -> bool:
        """Whether it was told in words, unasked."""
        return isinstance(self.event, Told)


def told_so_far(state: State) -> tuple[Statement, ...]:
    """Return what was said and counts; the first is number 1."""
    found: dict[tuple[int, int], Statement] = {}
    for place, event in zip(state.places, state.counting, strict=True):
        if isinstance(event, Forgotten):
            found = {key: one for key, one in found.items() if not _forgets(event, one.event)}
        else:
            said = (Statement(at=place, part=part, event=one) for part, one in enumerate(parts(event)))
            found |= {(one.at, one.part): one for one in said}
    return tuple(found.values())


def parts(event: Event) -> Iterator[Event]:
    """Yield each single thing that an event says, as an event of its own; nothing if it says nothing of the bike."""
    match event:
        case Told():
            yield from (Told((one,)) for one in event.reports)
            yield from (Told((), (one,)) for one in event.readings)
            yield from (Told((), (), (one,)) for one in event.suspected)
        case Read():
            yield from (Read((one,)) for one in event.readings)
        case Answered() | Skipped() | PutRight() | RuledOut():
            yield event


def counts(one: Statement, state: State) -> bool:
    """Whether what was told is still part of the case: a repair opens it again, a later answer replaces it."""
    match one.event:
        case Told(reports=(report,)):
            return report in state.case.seen
        case Told(readings=(reading,)):
            return reading in state.case.measured
    return True


def still_told(state: State) -> tuple[Statement, ...]:
    """Return what was told in words and was not settled otherwise since, also what these rules do not know."""
    found: dict[tuple[str, str, Side], Statement] = {}
    for one in told_so_far(state):
        about = list(_about(one.event))
        if one.told:
            found |= dict.fromkeys(about, one)
        else:
            found = {key: said for key, said in found.items() if key not in about}
    return tuple(dict.fromkeys(found.values()))


def _about(event: Event) -> Iterator[tuple[str, str, Side]]:
    """Yield each sign, reading or cause that an event says something of."""
    if isinstance(event, Told | Answered):
        yield from (("sign", one.sign, one.side) for one in event.reports)
    if isinstance(event, Told | Answered | Read):
        yield from (("reading", one.reading, one.side) for one in event.readings)
    if isinstance(event, Told):
        yield from (("cause", *one) for one in event.suspected)


def _forgets(event: Forgotten, said: Event) -> bool:
    """Whether an event, as it was kept before there were corrections, makes something told not count."""
    if not isinstance(said, Told):
        return False
    return (
        any((one.sign, one.side) in event.signs for one in said.reports)
        or any((one.reading, one.side) in event.readings for one in said.readings)
        or any(one in event.suspected for one in said.suspected)
    )


# What sets it right


def denied(numbers: Sequence[int], state: State, base: Rulebase) -> Corrected:
    """Return the event by which what was said under these numbers is the other way round. Raises AdvisorError."""
    chosen = [(number, _at(number, state)) for number in numbers]
    return _corrected([(one, _turned(number, one.event, base)) for number, one in chosen], state)


def _turned(number: int, event: Event, base: Rulebase) -> Event:
    match event:
        case Told(reports=(report,)):
            return Told((replace(report, seen=not report.seen),))
        case Answered() if event.check in base.checks:
            answers = options(base.checks[event.check], event.side, None, base)
            if len(answers) == 2:  # noqa: PLR2004 - yes or no
                other = next((one for one in answers if one.says != event.says), answers[0])
                return replace(event, says=other.says, reports=other.reports)
            msg = f"{number} has {len(answers)} answers: '{number}:' shows them, and 'drop {number}' forgets this one"
        case _:
            msg = f"{number} is not there or not there; 'drop {number}' forgets it"
    raise AdvisorError(msg)


def dropped(numbers: Sequence[int], state: State) -> Corrected:
    """Return the event by which what was said under these numbers does not count. Raises AdvisorError."""
    return _corrected([(_at(number, state), None) for number in numbers], state)


def said_anew(number: int, words: str, state: State, base: Rulebase) -> Corrected | None:
    """Return the event by which what was said under a number is as these words say; None if they must be heard first.

    They are the number of an answer of the same check, or a figure of the same reading. Raises AdvisorError.
    """
    one = _at(number, state)
    match one.event:
        case Answered(check=check, side=side) | Skipped(check=check, side=side) if check in base.checks:
            answers = options(base.checks[check], side, None, base)
            if not (words.isdecimal() and 1 <= int(words[:3]) <= len(answers)):
                msg = f"'{words}' is no answer of {number}; write it like '{number}: 1', with 1 to {len(answers)}"
                raise AdvisorError(msg)
            answer = answers[int(words) - 1]
            beside = one.event.readings if isinstance(one.event, Answered) else ()
            return _corrected([(one, Answered(check, side, answer.says, answer.reports, beside))], state)
        case Read(readings=(reading,)) | Told(readings=(reading,)):
            if not any(letter.isdigit() for letter in words):
                return None
            words = words.removeprefix(reading.reading).lstrip(" :")
            named = f"{reading.side} {words}" if reading.side and not words.startswith(NAMES_SIDE) else words
            taken = tuple(spoken(reading.reading, named, base))
            return _corrected([(one, Read(taken) if isinstance(one.event, Read) else Told((), taken))], state)
        case Told():
            return None
    msg = f"{number} can only be dropped: 'drop {number}'"
    raise AdvisorError(msg)


def told_instead(number: int, told: Told, state: State) -> Corrected:
    """Return the event by which this was told instead of what was told under a number. Raises AdvisorError."""
    return _corrected([(_at(number, state), told)], state)


def answers_of(number: int, state: State, base: Rulebase) -> tuple[Sided, tuple[str, ...]]:
    """Return the check that a number is the answer of, and all its answers. Raises AdvisorError if it is no answer."""
    event = _at(number, state).event
    if not (isinstance(event, Answered | Skipped) and event.check in base.checks):
        kind = "words" if isinstance(event, Told) else "a figure" if isinstance(event, Read) else ""
        msg = f"'{number}: ...' with {kind} says {number} anew" if kind else f"'drop {number}' takes it away"
        raise AdvisorError(msg)
    answers = options(base.checks[event.check], event.side, None, base)
    return (event.check, event.side), tuple(one.says for one in answers)


def _at(number: int, state: State) -> Statement:
    said = told_so_far(state)
    if not 1 <= number <= len(said):
        msg = f"nothing was told under {number}; 'told' shows the {len(said)} that were" if said else NOTHING_TOLD
        raise AdvisorError(msg)
    return said[number - 1]


def _corrected(new: Sequence[tuple[Statement, Event | None]], state: State) -> Corrected:
    """Return the event that puts these in the places of what was said."""
    whole = dict(zip(state.places, state.counting, strict=True))
    changes = []
    for place in dict.fromkeys(one.at for one, _ in new):
        stands: dict[int, Event | None] = dict(enumerate(parts(whole[place])))
        stands |= {one.part: event for one, event in new if one.at == place}
        instead = _together([event for event in stands.values() if event is not None])
        if instead == whole[place]:
            msg = "that is what it says already"
            raise AdvisorError(msg)
        changes.append(Change(place, instead))
    return Corrected(tuple(changes))


def _together(said: Sequence[Event]) -> Told | Read | Answered | None:
    told = [one for one in said if isinstance(one, Told)]
    read = [one for one in said if isinstance(one, Read)]
    if told:
        return Told(
            tuple(one for part in told for one in part.reports),
            tuple(one for part in told for one in part.readings),
            tuple(one for part in told for one in part.suspected),
        )
    if read:
        return Read(tuple(one for part in read for one in part.readings))
    return next((one for one in said if isinstance(one, Answered)), None)
