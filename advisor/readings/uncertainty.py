"""How far a mean of repeats is trusted, and the verdict near a limit, with a guard band."""

import math
from collections.abc import Sequence
from typing import Literal

Verdict = Literal["over", "not over", "too close"]

# Student's t for 95.45 % (two standard deviations) by degrees of freedom 1, 2, ...: JCGM 100:2008, table G.2.
STUDENT = (13.97, 4.53, 3.31, 2.87, 2.65, 2.52, 2.43, 2.37, 2.32, 2.28, 2.25, 2.23, 2.21, 2.20, 2.18)
MANY = 2.0
# Ratio of spread to its true value that one set of readings in twenty reaches by chance: the root of chi-squared over
# its degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.5.8); for two readings and for three (a little less for more).
CLEARLY_MORE_OF_TWO, CLEARLY_MORE = 1.96, 1.75
# Dixon's Q at 95 %, two-sided, for 3, 4, ... 10 readings: Rorabacher, Analytical Chemistry 63 (1991), 139, from memory.
# For more readings the last value is used, which is then strict.
DIXON = (0.970, 0.829, 0.710, 0.625, 0.568, 0.526, 0.493, 0.466)
FEWEST_FOR_ODD = 3  # if two differ, there is no telling which is wrong


def half_width(values: Sequence[float], give: float, instrument: float) -> float:
    """Return the half-width within which the mean of repeats is trusted (about 95 %), in the values' unit.

    `give` is the half-width of one reading, `instrument` the part of it that repeating does not reduce.
    Repeats that scatter clearly more than they should are trusted by their own spread instead: Student's t with
    one degree of freedom less than there are readings (JCGM 100:2008, G.3.2), which for two is 14 spreads over root 2.
    """
    if len(values) <= 1:
        return give
    size = len(values)
    random = _random(give, instrument)
    if scatters(values, give, instrument):
        random = (STUDENT[size - 2] if size - 2 < len(STUDENT) else MANY) * _spread(values)
    return math.hypot(random / size**0.5, instrument)


def scatters(values: Sequence[float], give: float, instrument: float) -> bool:
    """Return whether repeats scatter clearly more than readings trusted within `give` should."""
    if len(values) <= 1:
        return False
    most = CLEARLY_MORE if len(values) > 2 else CLEARLY_MORE_OF_TWO  # noqa: PLR2004 - two readings have their own figure
    return _spread(values) > most * _random(give, instrument) / 2


def odd_one_out(values: Sequence[float], give: float) -> int | None:
    """Return the index of the one repeat that does not fit the others, or None if all may belong together.

    Dixon's Q test: the gap between the odd one and its neighbour, over the whole range. It must also be further off
    than two readings trusted within `give` can differ, so that chance agreement among the others
    is not taken for precision.
    """
    if len(values) < FEWEST_FOR_ODD:
        return None
    order = sorted(range(len(values)), key=lambda place: values[place])
    low, next_low, next_high, high = (values[order[place]] for place in (0, 1, -2, -1))
    gap, place = max((next_low - low, order[0]), (high - next_high, order[-1]))
    critical = DIXON[min(len(values) - FEWEST_FOR_ODD, len(DIXON) - 1)]
    return place if gap > critical * (high - low) and gap > 2 * give else None


def _random(give: float, instrument: float) -> float:
    """Return two standard deviations of one reading, without the constant error of the instrument."""
    return math.sqrt(max(give**2 - instrument**2, 0.0))


def _spread(values: Sequence[float]) -> float:
    """Return the standard deviation of two or more values."""
    mean = math.fsum(values) / len(values)
    return math.sqrt(math.fsum((one - mean) ** 2 for one in values) / (len(values) - 1))


def verdict(low: float, high: float, limit: float) -> Verdict:
    """Return whether a figure lies over a limit, given the bounds within which it is trusted.

    The decision rule of ISO 14253-1:2017: over (or not over) only if the whole interval of
    uncertainty lies on one side of the limit; in between, neither.
    """
    if low > limit:
        return "over"
    return "not over" if high <= limit else "too close"
