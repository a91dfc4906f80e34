"""When readings that come one after the other have settled, and what they then are.

They have settled where, over the last five seconds, neither the revs nor a column move by more than they scatter: the
line fitted through each rises or falls by less than two standard deviations of what is left about it, and that
scatter is no wider than an even idle has. Comparing a trend with the scatter about it is the usual test for a steady
state (S. Cao and R. R. Rhinehart 1995, 'An efficient method for on-line identification of steady state', J. Process
Control 5, 363: from memory; they take a ratio of variances). The lengths and widths are judgement.
"""

import math
from collections.abc import Sequence

import msgspec

from advisor.intake.live_table import Row

SETTLED_S = 5.0  # s: five lags of damped gauges
BIN_S = 0.2  # s: rows that come faster are taken together
FEWEST = 6  # rows or bins
REPEAT_S = 1.0  # s: means over so long count as repeats of one reading; what a throttle flutters is over by then
WITHIN = 2.0  # standard deviations
FINEST = (1.5, 1.5, 10.0)  # mmHg, mmHg, rpm: a smaller rise is none that a reading is wrong by
WIDEST = (12.0, 12.0, 45.0)  # mmHg, mmHg, rpm: what scatters by more, one standard deviation, swings


class Settled(msgspec.Struct, frozen=True, kw_only=True):
    """A settled stretch: the means over each second of it, left and right in mmHg, revs in rpm. `lasts` in s."""

    left: tuple[float, ...]
    right: tuple[float, ...]
    revs: tuple[float, ...]
    lasts: float

    @property
    def means(self) -> tuple[float, float, float]:
        """Left and right (mmHg) and revs (rpm) over all of it."""
        left, right, revs = (math.fsum(one) / len(one) for one in (self.left, self.right, self.revs))
        return left, right, revs


class Settling:
    """Readings as they come in. Rows must come in the order of their times."""

    def __init__(self, lasts: float = SETTLED_S) -> None:
        self.lasts = lasts
        self.clear()

    def clear(self) -> None:
        """Forget what came before: something was done."""
        self._bins: list[Row] = []
        self._now: list[Row] = []
        self.swings = False  # whether what keeps it from being settled is how wide it scatters

    def take(self, row: Row) -> bool:
        """Take in a row; return whether there is more to tell from than before it."""
        more = bool(self._now) and row.time - self._now[0].time >= BIN_S
        if more:
            self._bins.append(_mean(self._now))
            self._now = []
        self._now.append(row)
        while len(self._bins) > FEWEST and self._bins[-1].time - self._bins[1].time >= self.lasts:
            self._bins.pop(0)
        return more

    @property
    def so_far(self) -> float:
        """How long it has been watched, in s, up to as long as it takes."""
        return min(self._bins[-1].time - self._bins[0].time, self.lasts) if self._bins else 0.0

    @property
    def found(self) -> Settled | None:
        """The settled stretch that ends now, if one does."""
        bins = self._bins
        if len(bins) < FEWEST or bins[-1].time - bins[0].time < self.lasts:
            return None
        time = [one.time for one in bins]
        columns = [[one.left for one in bins], [one.right for one in bins], [one.revs for one in bins]]
        trends = [_rise_and_scatter(time, values) for values in columns]
        self.swings = any(scatter > most for (_, scatter), most in zip(trends, WIDEST, strict=True))
        still = all(abs(rise) <= max(WITHIN * one, least) for (rise, one), least in zip(trends, FINEST, strict=True))
        if self.swings or not still:
            return None
        left, right, revs = (tuple(_by_second(time, values)) for values in columns)
        return Settled(left=left, right=right, revs=revs, lasts=time[-1] - time[0])


def _mean(rows: Sequence[Row]) -> Row:
    def over(name: str) -> float:
        return math.fsum(getattr(one, name) for one in rows) / len(rows)

    return Row(over("time"), over("revs"), over("left"), over("right"))


def _rise_and_scatter(time: Sequence[float], values: Sequence[float]) -> tuple[float, float]:
    """Return by how much the line fitted through these rises from end to end, and the standard deviation about it."""
    size = len(time)
    middle, mean = math.fsum(time) / size, math.fsum(values) / size
    across = math.fsum((one - middle) ** 2 for one in time)
    pairs = list(zip(time, values, strict=True))
    slope = math.fsum((at - middle) * (value - mean) for at, value in pairs) / across
    left = math.fsum((value - mean - slope * (at - middle)) ** 2 for at, value in pairs)
    return slope * (time[-1] - time[0]), (left / (size - 2)) ** 0.5


def _by_second(time: Sequence[float], values: Sequence[float]) -> list[float]:
    """Return the mean of each second, or each value where rows come more slowly."""
    found: dict[int, list[float]] = {}
    for at, value in zip(time, values, strict=True):
        found.setdefault(int((at - time[0]) / REPEAT_S), []).append(value)
    return [math.fsum(one) / len(one) for one in found.values()]
