"""What was measured on a job: a row for each reading, and those that are drawn with both sides to scale."""

import math
from collections.abc import Iterator, Mapping, Sequence

import msgspec

from advisor.case import Case, Measured
from advisor.diagnose import Advisor
from advisor.quantities import show, widen
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced, as_measured
from advisor.report import Report
from advisor.rulebase.model import Rulebase
from advisor.session.balance_so_far import READINGS
from advisor.session.figures_say import figure_said, says, title_of
from advisor.sides import BOTH, Side

DRAWN = {name: by for (by, _), name in READINGS.items()}


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """A reading as it was typed, on each side or on none; what it says, what to do, and what it should read then.

    `default`: it is held against a default figure, not the bike's own.
    """

    title: str
    left: str
    right: str
    whole: str
    found: str
    do: str
    aim: str
    default: bool


class Bar(msgspec.Struct, frozen=True, kw_only=True):
    """One side of a reading: each trial, their mean, and the bounds within which it is trusted, in the unit typed.

    With `stalls` the engine stopped so often instead of giving a figure; `value` is None if it always did. `typed` is
    the mean in the unit that was typed on this side, if that is another one than the other side's ('': the same).
    """

    values: tuple[float, ...]
    value: float | None
    low: float | None
    high: float | None
    stalls: int
    typed: str = ""


class Lead(msgspec.Struct, frozen=True, kw_only=True):
    """By how much a side is ahead of the other, with the bounds within which that is trusted."""

    side: Side
    value: float
    low: float
    high: float


class Pair(msgspec.Struct, frozen=True, kw_only=True):
    """Both sides of a reading of the balance, in the `unit` that was typed. `when` tells two of one reading apart.

    `by` is columns or drops. Where only the difference was read there is no `left` and no `right`. `given` is all of
    it in words, as typed. `lead` is None where a stall leaves it open, or where one side alone was read.
    """

    title: str
    when: str = ""
    by: str
    unit: str
    left: Bar | None
    right: Bar | None
    lead: Lead | None
    given: str


def rows(case: Case, report: Report, advisor: Advisor) -> Iterator[Row]:
    """Yield a row for each reading of a case whose logs have been read."""
    for name in dict.fromkeys(one.reading for one in case.measured):
        found = says(name, case, report, advisor)
        own = [one for one in case.measured if one.reading == name]
        plain = {one.side: one.given for one in own if not one.over_other}
        yield Row(
            title=found.title,
            left=plain.get("left", ""),
            right=plain.get("right", ""),
            whole=", ".join([*(figure_said(one) for one in own if one.over_other), *_unsided(plain)]),
            found=found.found,
            do=" ".join(part for part in (found.first, found.do) if part),
            aim=found.aim,
            default=found.default,
        )


def _unsided(plain: Mapping[Side, str]) -> list[str]:
    return [plain[None]] if None in plain else []


def pairs(measured: Sequence[Measured], base: Rulebase) -> Iterator[Pair]:
    """Yield the readings of the balance with both sides, or with their difference."""
    for name in dict.fromkeys(one.reading for one in measured if one.reading in DRAWN):
        own = [one for one in measured if one.reading == name]
        plain = {one.side: one for one in own if not one.over_other}
        if len(plain) < len(BOTH) and not any(one.over_other for one in own):
            continue
        unit, page = own[0].unit, base.readings[name]
        together = [one for one in measured if one.reading in {name, page.zeroed_by, page.exchanges}]
        yield Pair(
            title=title_of(page),
            by=DRAWN[name],
            unit=unit,
            left=_bar(plain["left"], unit, base) if len(plain) == len(BOTH) else None,
            right=_bar(plain["right"], unit, base) if len(plain) == len(BOTH) else None,
            lead=_lead(name, together, unit, base),
            given=", ".join(figure_said(one) for one in own),
        )


def _bar(one: Measured, unit: str, base: Rulebase) -> Bar:
    found = as_measured(one, base)

    def typed(value: float) -> float | None:
        return widen(value, found.unit, unit, base.units) if math.isfinite(value) else None

    values = [widen(value, found.unit, unit, base.units) for value in one.values]
    low, high = typed(found.low), typed(found.high)
    own = widen(found.value, found.unit, one.unit, base.units)
    other = show(own, one.unit) if one.unit != unit and math.isfinite(own) else ""
    return Bar(values=tuple(values), value=typed(found.value), low=low, high=high, stalls=one.stalls, typed=other)


def _lead(name: str, measured: Sequence[Measured], unit: str, base: Rulebase) -> Lead | None:
    """Return which side is ahead and by how much; a rest of the instrument and swapped hoses are taken off it."""
    leads = [one for one in reduce(measured, (), base) if (one.of, one.reading) == ("lead", name)]
    ahead = max(leads, key=lambda one: (one.value, one.side == "left"), default=None)
    if ahead is None or not all(map(math.isfinite, (ahead.value, ahead.low, ahead.high))):
        return None
    return Lead(side=ahead.side, **{of: _typed(ahead, of, unit, base) for of in ("value", "low", "high")})


def _typed(one: Reduced, of: str, unit: str, base: Rulebase) -> float:
    return widen(getattr(one, of), one.unit, unit, base.units)
