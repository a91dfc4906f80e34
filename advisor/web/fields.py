"""The fields of a page, and the one line that a form says with them. A typed line is taken as it is."""

import re
from collections.abc import Mapping, Sequence

import msgspec

from advisor.balance.course_steps import DROPS
from advisor.errors import AdvisorError
from advisor.rulebase.model import Rulebase
from advisor.session.balance_so_far import REVS
from advisor.session.balance_so_far import UNIT as READ_IN
from advisor.session.events import Answered, Event, Read, Skipped, Told
from advisor.session.hearing import MayMean
from advisor.session.next_question import LED, Question
from advisor.session.notes import KINDS
from advisor.show.families import AS_TYPED, unit_in
from advisor.sides import BOTH, fill

FIGURES, TICKED, STILL, TOOLS = "figures", "ticked", "still", "tools"  # what the buttons of forms say
NOTE, ANEW, WORDS, ALSO = "note", "anew", "words", "also"
NONE = "none"
COMMA = re.compile(r"^([-+]?\d+),(\d{1,2})$")  # a decimal comma, as some telephones have only that
HAS_LETTERS = re.compile(r"[^\W\d_]|[%\N{DEGREE SIGN}]")
BOTH_SIDES = "type both figures, left and right; or say it in words below"
NOTHING_TICKED = "tick what is still there; or press the first answer, if all of it is gone"
FALL_BY = "the revs fall by"  # while the plug of that side is shorted
NO_FIGURE = "type a figure first"


class Field(msgspec.Struct, frozen=True, kw_only=True):
    """A field for one figure: its name in the form, what stands above it and behind it."""

    name: str
    label: str
    unit: str


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """The fields of one reading, the left side first. `reading` is '' where a bare figure is understood."""

    reading: str
    title: str
    fields: tuple[Field, ...]


def rows(question: Question, base: Rulebase, family: str = AS_TYPED) -> tuple[Row, ...]:
    """Return the fields for the figures that a question takes, in the units of a family."""
    if not question.takes:
        return ()
    if question.kind == LED:
        return (_short(question, unit_in(family, question.unit, (), base.units)),)
    return tuple(_of(name, question, base, family) for name in question.takes if name in base.readings)


def _short(question: Question, unit: str) -> Row:
    """Return the fields of a balance: both sides and the revs, or one figure."""
    if question.takes[0] == REVS or question.side:
        what = "revs" if question.takes[0] == REVS else question.side or "reading"
        one = Field(name="figure", label=what.capitalize(), unit=unit)
        return Row(reading="", title="", fields=(one,))
    found = [Field(name=side, label=side.capitalize(), unit=unit) for side in BOTH]
    falls = question.unit == READ_IN[DROPS]
    if len(question.takes) > 1:
        found.append(Field(name="revs", label="Idle" if falls else "Revs", unit="rpm"))
    return Row(reading="", title=FALL_BY if falls else "", fields=tuple(found))


def _of(name: str, question: Question, base: Rulebase, family: str) -> Row:
    page = base.readings[name]
    unit = unit_in(family, page.unit, (page.highest,), base.units)
    title = fill(page.title, question.side) if question.side else page.title.replace("{side}", "each side")
    sides = BOTH if page.sided and not question.side else (question.side if page.sided else None,)
    fields = tuple(
        Field(name=f"{name}.{side or ''}", label=(side or "reading").capitalize(), unit=unit) for side in sides
    )
    return Row(reading=name, title=title, fields=fields)


def figures(form: Mapping[str, str], question: Question, base: Rulebase, family: str = AS_TYPED) -> str:
    """Return the line that typed figures are: '240 205 1050', 'column-idle left 240 mmHg right 205 mmHg'.

    A bare figure is one in the unit of its field. Raises AdvisorError where one is missing.
    """
    found = rows(question, base, family)
    if question.kind == LED and found:
        given = {one.name: _figure(form.get(one.name, "")) for one in found[0].fields}
        if not all(given[side] for side in BOTH if side in given):
            raise AdvisorError(BOTH_SIDES)
        both, revs = (
            [given[side] for side in BOTH if side in given],
            [value for name, value in given.items() if name not in BOTH],
        )
        unit = found[0].fields[0].unit
        own = [] if unit == question.unit or HAS_LETTERS.search(" ".join(both or revs)) else [unit]
        return _some(" ".join(filter(None, [*both, *own, *revs] if both else [*revs, *own])))
    return _some(", ".join(filter(None, (_reading(row, form) for row in found))))


def _reading(row: Row, form: Mapping[str, str]) -> str:
    given = [(one, _figure(form.get(one.name, ""))) for one in row.fields]
    said = [
        " ".join(filter(None, (one.name.partition(".")[2], value, "" if HAS_LETTERS.search(value) else one.unit)))
        for one, value in given
        if value
    ]
    return f"{row.reading} {' '.join(said)}" if said else ""


def _figure(text: str) -> str:
    return COMMA.sub(r"\1.\2", " ".join(text.split()))


def _some(line: str) -> str:
    if not line:
        raise AdvisorError(NO_FIGURE)
    return line


def ticked(numbers: Sequence[str]) -> str:
    """Return the line that ticks are: '1 3', or that it is none of them."""
    return " ".join(numbers) or NONE


def still(numbers: Sequence[str]) -> str:
    """Return the line that says what is still there after a repair. Raises AdvisorError if nothing is ticked."""
    if not numbers:
        raise AdvisorError(NOTHING_TICKED)
    return " ".join(numbers)


def tools(there: Sequence[str], known: Sequence[tuple[str, bool | None]]) -> str:
    """Return the line that says what has changed in a list of tools, as '3 5, not 4'; '' for nothing."""
    now = {number: str(number) in there for number in range(1, len(known) + 1)}
    more = [str(number) for number, is_there in now.items() if is_there and known[number - 1][1] is not True]
    less = [f"not {number}" for number, is_there in now.items() if not is_there and known[number - 1][1] is True]
    return ", ".join([*more, *less])


def note(about: str, says: str) -> str:
    """Return the line that keeps a note with a call. Raises AdvisorError."""
    if about not in KINDS or not says.strip():
        msg = "write something to keep with the call"
        raise AdvisorError(msg)
    return f"{about}: {says}"


def ticks(signs: Sequence[MayMean]) -> tuple[bool, ...]:
    """Return which of these are ticked at first: what can hurt, and what was understood in one way only."""
    told = [(one.sign or one.cause or (one.reading.reading if one.reading else "")) for one in signs]
    return tuple(one.warns or told.count(name) == 1 for one, name in zip(signs, told, strict=True))


class CanMend(msgspec.Struct, frozen=True):
    """How something said can be set right: turned round, answered anew, said anew in words or as a figure."""

    turn: bool = False
    answers: bool = False
    anew: bool = False


def can_mend(said: Event) -> CanMend:
    """Return how something said can be set right, beside forgetting it."""
    match said:
        case Told(reports=(_,)):
            return CanMend(turn=True, anew=True)
        case Answered() | Skipped():
            return CanMend(answers=True)
        case Told() | Read():
            return CanMend(anew=True)
    return CanMend()
