"""All that was said and still counts: words, answers, readings. Any of it can be set right by its number."""

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from advisor.errors import AdvisorError
from advisor.intake.spoken import spoken
from advisor.rulebase.model import Rulebase
from advisor.session.events import (
    Answered,
    Change,
    Corrected,
    Event,
    Read,
    Skipped,
    Told,
)
from advisor.session.next_question import options
from advisor.session.state import State
from advisor.session.statements import Statement, statements
from advisor.sides import Side, Sided

NOTHING_TOLD, TELL = "nothing was told yet", "'also WORDS' tells something"
NAMES_SIDE = ("left", "right")


def told_so_far(state: State) -> tuple[Statement, ...]:
    """Return what was said and counts, in the order of the journal."""
    return statements(state.journal)


def counts(one: Statement, state: State) -> bool:
    """Whether what was told is still part of the case: a repair opens it again, a later answer replaces it."""
    match one.event:
        case Told(reports=(report,)):
            return report in state.case.seen
        case Told(readings=(reading,)):
            return reading in state.case.measured
    return True


def told_in_words(state: State) -> tuple[Statement, ...]:
    """Return the last word on each thing that was told: signs, suspected causes, words that mean nothing here."""
    last = {key: one for one in told_so_far(state) if one.told for key in _about(one.event)}
    return tuple(one for (what, *_), one in last.items() if what != "reading")


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
        yield from (("words", one, None) for one in (event.words,) if one)


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
            msg = f"{number} has {len(answers)} answers"
            raise AdvisorError(msg, f"'{number}:' shows them, and 'drop {number}' forgets this one")
    msg = f"{number} cannot be turned round, only forgotten"
    raise AdvisorError(msg, f"'drop {number}' forgets it")


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
                msg = f"'{words}' is no answer of {number}"
                raise AdvisorError(msg, f"write it like '{number}: 1', with 1 to {len(answers)}")
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
    msg = f"{number} can only be forgotten"
    raise AdvisorError(msg, f"'drop {number}' forgets it")


def told_instead(number: int, told: Told, state: State) -> Corrected:
    """Return the event by which this was told instead of what was told under a number. Raises AdvisorError."""
    return _corrected([(_at(number, state), told)], state)


def answers_of(number: int, state: State, base: Rulebase) -> tuple[Sided, tuple[str, ...]]:
    """Return the check that a number is the answer of, and all its answers. Raises AdvisorError if it is no answer."""
    event = _at(number, state).event
    if not (isinstance(event, Answered | Skipped) and event.check in base.checks):
        kind = "words" if isinstance(event, Told) else "a figure" if isinstance(event, Read) else ""
        msg = f"number {number} is no answer"
        how = f"'{number}: ...' with {kind} says {number} anew" if kind else f"'drop {number}' takes it away"
        raise AdvisorError(msg, how)
    answers = options(base.checks[event.check], event.side, None, base)
    return (event.check, event.side), tuple(one.says for one in answers)


def _at(number: int, state: State) -> Statement:
    said = told_so_far(state)
    found = next((one for one in said if one.number == number), None)
    if found is None:
        none = f"nothing stands under {number}", "'told' shows what was said"
        raise AdvisorError(*(none if said else (NOTHING_TOLD, TELL)))
    return found


def _corrected(new: Sequence[tuple[Statement, Event | None]], state: State) -> Corrected:
    """Return the event that puts these in the places of what was said."""
    changes = []
    for place in dict.fromkeys(one.at for one, _ in new):
        said = [one for one in told_so_far(state) if one.at == place]
        right: dict[int, Event | None] = {one.part: one.event for one in said}
        right |= {one.part: event for one, event in new if one.at == place}
        left = [event for event in right.values() if event is not None]
        if left == [one.event for one in said]:
            msg = "that is what it says already"
            raise AdvisorError(msg)
        changes.append(Change(place, _together(left)))
    return Corrected(tuple(changes))


def _together(said: Sequence[Event]) -> Told | Read | Answered | None:
    told = [one for one in said if isinstance(one, Told)]
    read = [one for one in said if isinstance(one, Read)]
    if told:
        return Told(
            tuple(one for part in told for one in part.reports),
            tuple(one for part in told for one in part.readings),
            tuple(one for part in told for one in part.suspected),
            next((part.words for part in told if part.words), ""),
        )
    if read:
        return Read(tuple(one for part in read for one in part.readings))
    return next((one for one in said if isinstance(one, Answered)), None)
