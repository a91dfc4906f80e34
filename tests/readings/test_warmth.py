"""Warm and cold rows of a log, and what a pause leaves unknown."""

import numpy as np
import pytest

from advisor.readings.pieces import Rows
from advisor.readings.warmth import warm_and_cold


def rows(start: float, end: float, heat: float | np.ndarray | None = None) -> Rows:
    time = np.arange(start, end, 1.0)
    return Rows(time, np.full(time.size, 1000.0), None if heat is None else np.zeros(time.size) + heat)


def seconds(parts: list[Rows], starts: str, warm_at: float | None = None) -> list[tuple[int, int]]:
    """Return of each piece how many seconds are warm, and how many cold."""
    return [(int(warm.sum()), int(cold.sum())) for warm, cold in warm_and_cold(parts, starts, warm_at)]


def test_a_pause_is_no_running_time() -> None:
    """Five minutes of running make it warm; what lies after them by the clock alone is neither."""
    assert seconds([rows(0, 400)], "cold") == [(100, 300)]
    assert seconds([rows(0, 100), rows(200, 500)], "cold") == [(0, 100), (100 - 1, 100)]
    assert seconds([rows(0, 100), rows(200, 500)], "warm") == [(100, 0), (300, 0)]


@pytest.mark.parametrize(("pause", "warm"), [(800, 400), (1_000, 100)])
def test_after_a_quarter_of_an_hour_nobody_knows_that_it_is_warm(pause: int, warm: int) -> None:
    """Judgement, written here once more; after it, it has to run for five minutes again."""
    found = seconds([rows(0, 60), rows(60 + pause, 460 + pause)], "warm")
    assert found == [(60, 0), (warm, 0)]


def test_by_temperature_each_piece_has_its_own_warm_part() -> None:
    heat = np.linspace(20, 100, 100)
    cooled = [rows(0, 100, heat), rows(5_000, 5_100, heat)]
    assert seconds(cooled, "", 60.0) == [(50, 50), (50, 50)]
    still = [rows(0, 100, heat), rows(150, 160, 55.0), rows(200, 210, 45.0)]
    assert seconds(still, "", 60.0) == [(50, 50), (10, 0), (0, 10)]
    assert seconds([rows(0, 100, heat)], "") == [(16, 84)]


@pytest.mark.parametrize(("starts", "found"), [("cold", (0, 50)), ("warm", (50, 0)), ("", (50, 0))])
def test_a_temperature_that_hardly_rises_leaves_it_to_what_is_told(starts: str, found: tuple[int, int]) -> None:
    assert seconds([rows(0, 50, 80.0)], starts) == [found]
