"""Blips inside one piece of a log, and those that its ends cut off."""

from typing import Any

import numpy as np
import pytest

from advisor.readings.blips import falls, off_idle, running_level
from tests.readings.test_idle_log import _blip

STEP = 0.1
TIME = np.arange(0, 60, STEP)
BLIP = _blip(30, 2.0)(TIME)  # from 30 s on, held for a second, down again at 33 s


def timed(chosen: Any, revs: np.ndarray = BLIP) -> tuple[list[float], int, int]:
    off = off_idle(revs[chosen], STEP, 1000.0, 1000.0)
    return falls(TIME[chosen], revs[chosen], off, STEP)


@pytest.mark.parametrize(
    ("start", "end", "count", "cut"),
    [
        (0, 60, 1, (0, 0)),
        (25, 40, 1, (0, 0)),
        (0, 33.2, 1, (0, 0)),
        (0, 31, 0, (0, 1)),  # at its height
        (0, 32, 0, (0, 1)),  # half-way down
        (30.1, 60, 0, (1, 0)),  # on its way up
        (32, 60, 0, (1, 0)),  # half-way down
        (0, 29, 0, (0, 0)),
        (35, 60, 0, (0, 0)),
    ],
)
def test_a_piece_that_ends_in_a_blip_times_nothing_and_says_so(
    start: float, end: float, count: int, cut: tuple[int, int]
) -> None:
    found, at_start, at_end = timed((start <= TIME) & (end > TIME))
    assert found == pytest.approx([1.6] * count, abs=0.11)
    assert (at_start, at_end) == cut


@pytest.mark.parametrize(("hole", "count"), [(0.8, 1), (1.3, 0)])
def test_a_fall_with_rows_missing_is_not_timed(hole: float, count: int) -> None:
    found, _, _ = timed((TIME < 31.5) | (31.5 + hole <= TIME))
    assert len(found) == count


def test_a_short_piece_of_nothing_but_a_blip_is_off_idle() -> None:
    fast = np.full(60, 1800.0)
    assert off_idle(fast, STEP, 1000.0, 1000.0).all()
    assert not off_idle(fast, STEP, 1750.0, 1800.0).any()
    long = np.full(400, 1800.0)  # over half a minute: that is its idle, a fast one
    assert not off_idle(long, STEP, 1000.0, 1000.0).any()


@pytest.mark.parametrize("start", [20, 50, 59.9])
def test_an_engine_that_dies_is_no_blip(start: float) -> None:
    dies = np.where(start <= TIME, 0.0, 1000.0)
    assert falls(TIME, dies, dies < 200, STEP) == ([], 0, 0)
    again = np.where((start <= TIME) & (start + 5 > TIME), 0.0, 1000.0)
    assert falls(TIME, again, again < 200, STEP) == ([], 0, 0)


def test_the_level_goes_by_half_a_minute_and_a_blip_is_not_in_it() -> None:
    assert running_level(BLIP, STEP) == pytest.approx(np.full(600, 1000.0))
