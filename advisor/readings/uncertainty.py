"""How far a mean of repeats is trusted, and the guard band's verdict near a limit."""

import math
from collections.abc import Sequence
from typing import Literal

Verdict = Literal["over", "not over", "too close"]

# Student's t for 95.45 % (two standard deviations) by degrees of freedom 1, 2, ...: JCGM 100:2008, table G.2.
STUDENT = (13.97, 4.53, 3.31, 2.87, 2.65, 2.52, 2.43, 2.37, 2.32, 2.28, 2.25, 2.23, 2.21, 2.20, 2.18)
MANY = 2.0
CLEARLY_MORE = 1.75  # of three readings, one spread in twenty is this much over its true value by chance
FEWEST_FOR_SPREAD = 3  # the spread of two repeats says next to nothing of how far they scatter


def half_width(values: Sequence[float], give: float, instrument: float) -> float:
    """Return the half-width within which the mean of repeats is trusted (about 95 %), in the values' unit.

    `give` is trusted of one reading, `instrument` the part of it that repeating does not take away.
    Repeats that scatter clearly more than one reading should are trusted by their own spread instead.
    """
    if len(values) <= 1:
        return give
    size = len(values)
    random = max(give**2 - instrument**2, 0.0) ** 0.5  # two standard deviations of one reading
    mean = math.fsum(values) / size
    spread = (math.fsum((one - mean) ** 2 for one in values) / (size - 1)) ** 0.5
    if size >= FEWEST_FOR_SPREAD and spread > CLEARLY_MORE * random / 2:
        random = (STUDENT[size - 2] if size - 2 < len(STUDENT) else MANY) * spread
    return math.hypot(random / size**0.5, instrument)


def verdict(low: float, high: float, limit: float) -> Verdict:
    """Return whether a figure lies over a limit, given the bounds within which it is trusted.

    The decision rule of ISO 14253-1:2017: over (or not over) is only said where the whole interval of
    uncertainty lies on one side of the limit; between, neither can be said.
    """
    if low > limit:
        return "over"
    return "not over" if high <= limit else "too close"
