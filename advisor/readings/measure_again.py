"""What to measure again, and how often, if a figure is too close to its limit to call."""

import math
from collections.abc import Iterable

from advisor.case import Bike
from advisor.readings.reduced import Reduced
from advisor.readings.verdicts import Judged, figure_of, limit_for, of_sides, questions
from advisor.report import Again
from advisor.rulebase.model import Rulebase

MOST_REPEATS = 20


def again(judged: Iterable[Judged], reduced: Iterable[Reduced], bike: Bike, base: Rulebase) -> tuple[Again, ...]:
    """Return each figure that is too close to call, once, with the number of repeats.

    Sides that clearly differ need not be measured again to find out by how much.
    """
    asked = questions(base)
    judged = sorted(judged, key=lambda one: _in_turn(one, base))
    apart = {one.reading for one in judged if one.held and asked[one.name].of == "lead"}
    figures = {(one.of, one.reading, one.side): one for one in reduced}
    found: dict[tuple[str, str], Again] = {}
    for one in judged:
        if one.held is None:
            condition = asked[one.name]
            if condition.of == "lead" and one.reading in apart:
                continue
            figure = figures[figure_of(condition, base), one.reading, one.side]
            limit = limit_for(condition, bike, base)
            if condition.of == "lead" and not condition.above:
                limit = -limit
            repeats = _repeats(abs(figure.value - limit), figure.half, one.reading, base)
            found.setdefault((one.reading, condition.of), Again(reading=one.reading, said=one.said, repeats=repeats))
    return tuple(found.values())


def _in_turn(one: Judged, base: Rulebase) -> tuple[str, int, int, float]:
    """Return the sort key of a question: the order of readings in their pages, the coarser lead, the smaller limit."""
    page, leads = base.readings[one.reading], of_sides(base).get(one.reading, [])
    return page.file, page.line, leads.index(one.name) if one.name in leads else -1, base.limits[one.limit].value


def _repeats(gap: float, half: float, reading: str, base: Rulebase) -> int:
    """Return how many readings would decide it at this figure (0: no reasonable number would).

    The half-width of a mean falls with the square root of their number, down to the share of the instrument.
    """
    instrument = base.readings[reading].instrument
    if not math.isfinite(gap) or gap <= instrument or not math.isfinite(half):
        return 0
    random = max(half**2 - instrument**2, 0.0) ** 0.5
    needed = math.ceil((random / (gap**2 - instrument**2) ** 0.5) ** 2) + 1
    return needed if needed <= MOST_REPEATS else 0
