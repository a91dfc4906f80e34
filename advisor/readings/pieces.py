"""A log's pieces: its rows from one pause of the recorder to the next. Nothing is worked out across a pause.

Times in s, in ascending order.
"""

from collections.abc import Iterable
from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from advisor.errors import CaseError, Problem
from advisor.intake.logfile import Log

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Chosen = slice | NDArray[np.bool_]

PAUSE_ROWS, MOST_PAUSES = 10, 1_000  # rows missing one after another; pauses of a log that is still one: judgement
MOST_MISSING = 0.25  # share of a log in pauses too short to count, up to which it is worked out across them: judgement
BURSTS = 3.0  # if the mean is this many times the median, the rows come in bursts, and the mean says more


class Rows(msgspec.Struct, frozen=True):
    """Rows of an idle log: times in s, speeds in 1/min, temperatures in degrees C if it has them."""

    time: "Column"
    revs: "Column"
    temperature: "Column | None"

    def taken(self, chosen: "Chosen") -> "Rows":
        """Return some of the rows."""
        return Rows(
            self.time[chosen],
            self.revs[chosen],
            None if self.temperature is None else self.temperature[chosen],
        )

    @property
    def lasts(self) -> float:
        """The time from the first row to the last, in s."""
        return float(self.time[-1] - self.time[0]) if len(self.time) else 0.0


def pieces(log: Log, least: float = 0.0) -> list[slice]:
    """Return the rows of each piece of a log. Raises CaseError when it pauses too often.

    A pause lasts longer than `least` seconds, and than ten rows as a rule. Where shorter ones make up a quarter of the
    log, too much is missing to go on across them, and they are pauses as well.
    """
    time = log.columns["time"]
    if len(time) < 2:  # noqa: PLR2004 - nothing lies between fewer
        return [slice(0, len(time))]
    between = np.diff(time)
    rows = PAUSE_ROWS * float(np.median(between))
    on_end = between[between <= max(rows, least)]
    if on_end[on_end > rows].sum() > MOST_MISSING * on_end.sum():
        least = rows
    ends = np.flatnonzero(between > max(rows, least)) + 1
    if len(ends) > MOST_PAUSES:
        raise CaseError([Problem(log.file, 0, f"pauses {len(ends)} times; record it again, without pauses")])
    return _between(ends, len(time))


def _between(ends: "NDArray[np.int64]", rows: int) -> list[slice]:
    bounds = [0, *ends.tolist(), rows]
    return [slice(start, end) for start, end in pairwise(bounds)]


def spacing(times: "Iterable[Column]") -> float:
    """Return how far apart the rows are as a rule, in s, from the times of each piece."""
    between = np.concatenate([np.diff(time) for time in times])
    return max(float(np.median(between)), float(np.mean(between)) / BURSTS)


def rows_in(seconds: float, step: float, least: int = 1) -> int:
    """Return how many rows `step` seconds apart there are in so many seconds, or the `least`."""
    return max(int(seconds / step + 1e-6), least)


def split(rows: Rows, hole: float) -> list[Rows]:
    """Return the rows apart wherever more than `hole` seconds are missing."""
    ends = np.flatnonzero(np.diff(rows.time) > hole) + 1
    return [rows.taken(one) for one in _between(ends, len(rows.time))]
