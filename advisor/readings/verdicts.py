"""Compares reduced readings with the limits in the rules: over, not over, or too close to call."""

import math
from collections.abc import Iterable

import msgspec

from advisor.case import Bike
from advisor.quantities import convert, show, widen
from advisor.readings.reduced import Reduced
from advisor.readings.uncertainty import verdict
from advisor.rulebase.model import ReadingIs, Rulebase
from advisor.sides import Side

FAR, LITTLE = "far", "a little"
GRADES = {"over": FAR, "not over": LITTLE, "too close": ""}


class Judged(msgspec.Struct, frozen=True, kw_only=True):
    """One figure compared with one limit; `held` is None if it is too close to call.

    `grade` is 'a little' or 'far' if it is over a limit that says what is far, and clearly one or the other.

    `name` is what rules ask for, on `side`: `reading above limit`, `reading lead above limit`, ... `of` is which
    figure of the reading, as in a condition. `by` is the figure compared with the limit, in its reading's unit
    or in per cent: for a lead, how far this side is over, or under. `against` puts both into words (`value` and
    `bound` one each, in the unit that the mechanic used), and `said` is the input behind them.
    """

    name: str
    side: Side
    held: bool | None
    against: str
    said: str
    reading: str
    of: str
    limit: str
    by: float
    value: str
    bound: str
    grade: str = ""


def question(condition: ReadingIs) -> str:
    """Return the name of the question in a condition, without its side."""
    of = "" if condition.of == "reading" else f" {condition.of}"
    return f"{condition.reading}{of} {'above' if condition.above else 'below'} {condition.limit}"


def questions(base: Rulebase) -> dict[str, ReadingIs]:
    """Return every question that the rules ask about readings, by name."""
    conditions = (one for rule in base.rules.values() for one in rule.when if isinstance(one, ReadingIs))
    return {question(one): one for one in conditions}


def judge(reduced: Iterable[Reduced], bike: Bike, base: Rulebase) -> list[Judged]:
    """Return every question that these readings answer, or come too close to answer.

    A question finer than the trust in such a reading is not asked of that instrument, as long
    as a coarser one asks whether the sides differ. If the coarser one is undecided, it stays so: that is not a no.
    """
    figures = {(one.of, one.reading, one.side): one for one in reduced}
    sides: tuple[Side, ...] = ("left", "right", None)
    found = []
    for name, condition in questions(base).items():
        of = figure_of(condition, base)
        for side in sides:
            figure = figures.get((of, condition.reading, side))
            if figure is not None:
                one = _held(name, condition, figure, bike, base)
                if one.held is not None or not _too_fine(condition, figure, bike, base) or _coarsest(name, base):
                    found.append(one)
    return found


def of_sides(base: Rulebase) -> dict[str, list[str]]:
    """Return, by reading, the questions that show a sign of a difference between the sides; coarsest first.

    One in per cent comes after one in the unit of the reading: it asks whether they differ by a lot.
    """
    rules = [rule for rule in base.rules.values() if rule.shows]
    leads = {
        question(one): one for rule in rules for one in rule.when if isinstance(one, ReadingIs) and one.of == "lead"
    }
    order = sorted(leads.items(), key=lambda pair: (figure_of(pair[1], base), -limit_for(pair[1], Bike(), base)))
    found: dict[str, list[str]] = {}
    for name, one in order:
        found.setdefault(one.reading, []).append(name)
    return found


def _coarsest(name: str, base: Rulebase) -> bool:
    return any(names[0] == name for names in of_sides(base).values())


def _too_fine(condition: ReadingIs, figure: Reduced, bike: Bike, base: Rulebase) -> bool:
    """Whether even level sides would be too close to call with readings like these."""
    return condition.of == "lead" and math.isfinite(figure.half) and figure.half >= limit_for(condition, bike, base)


def figure_of(condition: ReadingIs, base: Rulebase) -> str:
    """Return which figure of a reading a condition looks at: a lead is in per cent if its limit is."""
    shared = base.limits[condition.limit].unit == "%" != base.readings[condition.reading].unit
    return "lead %" if condition.of == "lead" and shared else condition.of


def limit_for(condition: ReadingIs, bike: Bike, base: Rulebase) -> float:
    """Return the limit's value in the unit it is compared in: the bike's own if its sheet gives it."""
    limit = base.limits[condition.limit]
    value = limit.value
    if limit.figure in bike.figures:
        low, high = bike.figures[limit.figure]
        value = low if limit.end == "low" else high
    if figure_of(condition, base) == "lead %":
        return value
    turn = convert if condition.of == "reading" else widen
    return turn(value, limit.unit, base.readings[condition.reading].unit, base.units)


def _held(name: str, condition: ReadingIs, figure: Reduced, bike: Bike, base: Rulebase) -> Judged:
    limit = limit_for(condition, bike, base)
    decided = _decided(condition, figure, limit)
    held = {"over": True, "not over": False, "too close": None}[decided]
    grade = _grade(condition, figure, limit, base) if held else ""
    value, bound = _value_said(condition, figure, base), _bound_said(condition, figure, limit, base)
    against = f"{value} against {bound}" + (", far over" if grade == FAR else "")
    return Judged(
        name=name,
        side=figure.side,
        held=held,
        against=against,
        said=f"{figure.said}; {against}",
        reading=condition.reading,
        of=condition.of,
        limit=condition.limit,
        by=figure.value if condition.above or condition.of != "lead" else -figure.value,
        value=value,
        bound=bound,
        grade=grade,
    )


def _decided(condition: ReadingIs, figure: Reduced, limit: float) -> str:
    """Return whether a figure is over a limit as its condition means it, not over, or too close to call."""
    if condition.above:
        return verdict(figure.low, figure.high, limit)
    if condition.of == "lead":  # below the other side by 50 means the other side is above this one by 50
        return verdict(-figure.high, -figure.low, limit)
    # below is over seen from the other end; exactly on the limit is not below
    return "over" if figure.high < limit else "not over" if figure.low >= limit else "too close"


def _grade(condition: ReadingIs, figure: Reduced, limit: float, base: Rulebase) -> str:
    """Return how far over its limit a figure is: '' if the limit does not say what is far, or it is close to that."""
    page = base.limits[condition.limit]
    if page.far is None:
        return ""
    unit = page.unit if figure_of(condition, base) == "lead %" else base.readings[condition.reading].unit
    beyond = widen(page.far, page.unit, unit, base.units)
    down = not condition.above and condition.of != "lead"
    return GRADES[_decided(condition, figure, limit - beyond if down else limit + beyond)]


def _value_said(condition: ReadingIs, figure: Reduced, base: Rulebase) -> str:
    """Return the figure in the unit the mechanic used."""
    value = figure.value if condition.above or condition.of != "lead" else -figure.value
    turn = convert if condition.of == "reading" else widen
    return (
        show(turn(value, figure.unit, figure.written, base.units), figure.written)
        if math.isfinite(value)
        else "a stall"
    )


def _bound_said(condition: ReadingIs, figure: Reduced, limit: float, base: Rulebase) -> str:
    """Return the limit in the unit the mechanic used, and in its own if that differs."""
    written = figure.written
    turn = convert if condition.of == "reading" else widen
    bound = show(turn(limit, figure.unit, written, base.units), written)
    own = base.limits[condition.limit].unit
    if own not in (written, "%"):
        bound += f" ({show(turn(limit, figure.unit, own, base.units), own)})"
    return bound


def unknown_figures(judged: Iterable[Judged], bike: Bike, base: Rulebase) -> list[str]:
    """Return the figures of the bike that were needed here but are not on its sheet."""
    needed = {base.limits[one.limit].figure for one in judged}
    return sorted(name for name in needed if name and name not in bike.figures)
