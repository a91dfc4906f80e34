"""A balance as two columns, drawn to scale, and the way it came. Figures only: the page draws them."""

from collections.abc import Sequence
from math import floor, log10

import msgspec
from msgspec.structs import replace

from advisor.balance.course_steps import COLUMNS, IDLE, Method, Seen
from advisor.intake.live_table import Row
from advisor.quantities import convert
from advisor.rulebase.model import Rulebase
from advisor.session.balance_drawn import FULL
from advisor.session.balance_in_words import lead
from advisor.session.balance_so_far import READINGS, UNIT, led
from advisor.session.next_question import LED, Question
from advisor.session.state import State
from advisor.show.families import unit_in

HIGH = 200.0  # of the drawing of both columns, in its own units
MOST_CAME = 6
MARKS, ROUND = 4, (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)  # parts of a scale, and what one may be, times a power of ten
ROOM = 1.3  # of the scale over the greater figure, where nothing else gives one
WAY_WIDE, WAY_HIGH = 205.0, 90.0  # of the drawing of the way, its middle line being level
LEAST_SCALE = 10.0  # of the way: what a limit of a balance is, so that a good balance looks like one


class Way(msgspec.Struct, frozen=True, kw_only=True):
    """One reading on the way: how far the sides were apart in words, and where that is drawn."""

    says: str
    x: float
    y: float


class Columns(msgspec.Struct, frozen=True, kw_only=True):
    """Both sides as read, the heights of their columns up to `HIGH`, the marks of the scale, and the way."""

    what: str
    unit: str
    left: float | None
    right: float | None
    left_high: float
    right_high: float
    marks: tuple[tuple[float, str], ...]
    more: str
    apart: str
    way: tuple[Way, ...]

    def says(self, value: float | None) -> str:
        """Return a figure of a side as it is read off: of mercury in inches a tenth counts."""
        return "not read" if value is None else f"{value:.{0 if self.unit in {'mmHg', 'rpm'} else 1}f}"

    @property
    def line(self) -> str:
        """The way as the points of a line."""
        return " ".join(f"{one.x:.1f},{one.y:.1f}" for one in self.way)


def now(row: Row) -> Columns:
    """Return both columns as they stand at a moment (mmHg), without a way."""
    sides = row.left, row.right
    return _drawn([Seen(by=COLUMNS, where=IDLE, behind=row.left - row.right, behind_half=0.0, sides=sides)], COLUMNS)


def columns(question: Question, state: State, base: Rulebase) -> Columns | None:
    """Return what is to be drawn of a question of the balance; None if nothing was read of what it asks."""
    if question.kind != LED or not question.takes:
        return None
    kind = next((kind for kind, name in READINGS.items() if name == question.takes[0]), None)
    steps = led(state.known, base).steps
    seen = [one for one in steps if isinstance(one, Seen) and (one.by, one.where) == kind and one.behind is not None]
    if kind is None or not seen:
        return None
    return _drawn(seen, kind[0])


def in_unit(found: Columns | None, family: str, base: Rulebase) -> Columns | None:
    """Return a drawing with its figures in the unit of a family; what is drawn stays as high."""
    if found is None or (unit := unit_in(family, found.unit, (), base.units)) == found.unit:
        return found

    def turned(value: float | None) -> float | None:
        return None if value is None else convert(value, found.unit, unit, base.units)

    return replace(
        found,
        unit=unit,
        left=turned(found.left),
        right=turned(found.right),
        marks=tuple((high, f"{turned(float(says)):.2g}") for high, says in found.marks),
    )


def _drawn(seen: Sequence[Seen], by: Method) -> Columns:
    last = seen[-1]
    left, right = last.sides or (None, None)
    greatest = max(left or 0.0, right or 0.0)
    top = max(FULL.get((last.by, last.where), 0.0), greatest) or 1.0
    top = top if last.by == COLUMNS else _round_scale(ROOM * greatest)
    return Columns(
        what="columns" if by == COLUMNS else "what each plug is worth",
        unit=UNIT[by],
        left=left,
        right=right,
        left_high=_high(left, top),
        right_high=_high(right, top),
        marks=tuple((HIGH * part, f"{top * part:.0f}") for part in (one / MARKS for one in range(1, MARKS + 1))),
        more=_more(by),
        apart=lead(last.behind or 0.0, by),
        way=_way(seen[-MOST_CAME:]),
    )


def _high(value: float | None, top: float) -> float:
    return HIGH * min(max(value or 0.0, 0.0) / top, 1.0)


def _round_scale(least: float) -> float:
    """Return the end of a scale of `MARKS` equal parts, each a round whole number, that reaches at least so far."""
    part = max(least / MARKS, 1.0)
    tens = 10.0 ** floor(log10(part))
    return MARKS * next(one * tens for one in ROUND if one * tens >= part and (one * tens).is_integer())


def _more(by: Method) -> str:
    return "higher" if by == COLUMNS else "more"


def _way(seen: Sequence[Seen]) -> tuple[Way, ...]:
    """Return the readings one after the other: above the middle the left side is ahead, below it the right."""
    signs = [(one.behind or 0.0) * (1 if one.by == COLUMNS else -1) for one in seen]
    scale = max(LEAST_SCALE, *(abs(one) for one in signs))
    step = WAY_WIDE / max(len(seen), 2)
    return tuple(
        Way(says=lead(one.behind or 0.0, one.by), x=step * (number + 0.5), y=WAY_HIGH / 2 * (1 - sign / scale))
        for number, (one, sign) in enumerate(zip(seen, signs, strict=True))
    )
