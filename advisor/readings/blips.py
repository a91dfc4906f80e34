"""Blips of the throttle in an idle log: where the engine is off its idle, and how long its revs take to fall.

All inside one piece of a log. Arrays are one-dimensional and of one length; times in s, speeds in 1/min.
"""

from typing import TYPE_CHECKING

import numpy as np
from scipy import ndimage

from advisor.readings.pieces import rows_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Mask = NDArray[np.bool_]

LEVEL_OVER = 31.0  # s, longer than a blip, shorter than any drift
BLIP, TIMES_IDLE = 300.0, 2.2  # rpm over the idle around it; or so many times the slow part of the log
FROM, DOWN_TO = 0.9, 0.1  # the fall after a blip is timed from nine tenths of its rise to one tenth
BEFORE, WITHIN = 10.0, 15.0  # s of idle looked at before a blip; s within which it must have fallen
MOST_BETWEEN = 1.0  # s between two rows of a fall that can be timed
FEWEST = 3  # rows of idle before it


def off_idle(revs: "Column", step: float, low: float, middle: float) -> "Mask":
    """Return where the revs are well over the idle around them, or over that of the whole log.

    `low` and `middle` are the 20th percentile and the median of the whole log. A piece too short to hold more than a
    blip has no idle of its own around it.
    """
    level = running_level(revs, step)
    if len(revs) * step < LEVEL_OVER:
        level = np.minimum(level, middle)
    return (revs > level + BLIP) | (revs > TIMES_IDLE * low)


def running_level(revs: "Column", step: float) -> "Column":
    """Return the idle around each row: the median over half a minute, worked out once a second."""
    thin = rows_in(1.0, step)
    sparse = revs[::thin]
    width = rows_in(LEVEL_OVER, step * thin, 3) | 1
    middle = ndimage.median_filter(sparse, size=width, mode="nearest")
    level: Column = np.interp(np.arange(len(revs)), np.arange(len(sparse)) * thin, middle)
    return level


def falls(time: "Column", revs: "Column", off: "Mask", step: float) -> tuple[list[float], int, int]:
    """Return how long the revs took to fall after each blip, in s, and how many blips the piece's start and end cut."""
    parts, _ = ndimage.label(off | ndimage.binary_closing(off, iterations=rows_in(0.5, step)))
    found: list[float] = []
    at_start = at_end = 0
    for (place,) in ndimage.find_objects(parts):
        start, stop = place.start, place.stop
        before = revs[max(start - rows_in(BEFORE, step), 0) : max(start - rows_in(1.0, step, 0), 0)]
        if len(before) < FEWEST:
            at_start += int(float(revs[start:stop].max()) >= float(revs.min()) + BLIP)
            continue
        idle = float(np.median(before))
        rise = float(revs[start:stop].max()) - idle
        if rise < BLIP:  # or the engine stalls
            continue
        end = min(stop + rows_in(WITHIN, step), len(revs))
        high = np.flatnonzero(revs[start:end] >= idle + FROM * rise)
        after = start + int(high[-1])
        low = np.flatnonzero(revs[after:end] <= idle + DOWN_TO * rise)
        if not len(low):
            at_end += int(end == len(revs))
        elif float(np.diff(time[start - 1 : after + int(low[0]) + 1]).max()) < MOST_BETWEEN:
            found.append(float(time[after + low[0]] - time[after]))
    return found, at_start, at_end
