"""Which rows of an idle log are of a warm engine, and which of a cold one; what a pause hides is neither."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from advisor.readings.pieces import Rows

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]

WARM_AFTER, WARM_SHARE = 300.0, 0.85  # s; share of the whole rise in temperature
LEAST_RISE = 10.0  # degrees C, to follow the idle by temperature
COOLS = 900.0  # s: after a longer pause nobody can tell that it is still warm; judgement


def warm_and_cold(parts: Sequence[Rows], starts: str, warm_at: float | None) -> "list[tuple[Mask, Mask]]":
    """Return for each piece of a log which of its rows are warm, and which are cold.

    By temperature: warm from `warm_at` degrees C, or from most of the rise on, and still warm after a pause unless it
    has cooled. Without temperatures, or if they hardly rise: from the start if it `starts` warm, else once it has run
    for five minutes. The time of a pause counts as running time for neither.
    """
    heat = [one.temperature for one in parts if one.temperature is not None]
    if not heat:
        return _by_time(parts, starts)
    if warm_at is None:
        low, high = np.percentile(np.concatenate(heat), [1, 99])
        if high - low < LEAST_RISE:
            return [_all(one, warm=starts != "cold") for one in parts]
        warm_at = float(low + WARM_SHARE * (high - low))
    found, was_warm = [], False
    for one in heat:
        over = np.flatnonzero(one >= warm_at)
        still = was_warm and one[0] > warm_at - LEAST_RISE
        start = 0 if still else int(over[0]) if len(over) else len(one)
        warm = np.arange(len(one)) >= start
        was_warm = bool(warm[-1])
        found.append((warm, ~warm))
    return found


def _all(rows: Rows, *, warm: bool) -> "tuple[Mask, Mask]":
    return np.full(len(rows.time), warm), np.full(len(rows.time), not warm)


def _by_time(parts: Sequence[Rows], starts: str) -> "list[tuple[Mask, Mask]]":
    found = []
    ran, begun, before = WARM_AFTER if starts == "warm" else 0.0, parts[0].time[0], parts[0].time[0]
    for one in parts:
        if one.time[0] - before > COOLS:
            ran = 0.0
        since = ran + (one.time - one.time[0])
        warm = since >= WARM_AFTER
        found.append((warm, ~warm & (one.time - begun < WARM_AFTER)))
        ran, before = float(since[-1]), one.time[-1]
    return found
