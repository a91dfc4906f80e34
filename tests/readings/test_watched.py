"""What is amiss with readings while they come."""

from collections.abc import Iterable

import numpy as np

from advisor.intake.live_table import Row
from advisor.readings.watched import BACK, FROZEN, LOOKED, RUNS, STANDS, STOPS, SWAPPED, Amiss, Watch


def said(rows: Iterable[Row]) -> list[Amiss]:
    at = Watch()
    return [found for one in rows if (found := at.take(one)) is not None]


def even(
    seconds: float, start: float = 0.0, revs: float = 1_000.0, left: float = 240.0, right: float = 205.0
) -> list[Row]:
    rng = np.random.default_rng(3)
    return [
        Row(start + at / 10, *(np.array([revs, left, right]) + rng.normal(size=3) * [8, 2, 2]).tolist())
        for at in range(int(seconds * 10))
    ]


def test_an_even_idle_and_a_turn_are_nothing() -> None:
    assert not said([*even(20), *even(20, 20, left=205, right=205), *even(20, 40, left=205, right=240)])


def test_a_pause_and_a_time_that_jumps_back_are_said_once() -> None:
    assert [one.says for one in said([*even(5), *even(5, 12), *even(5, 0)])] == [
        "Nothing was written for 7 s; it goes on.",
        BACK,
    ]


def test_an_engine_that_stops_and_runs_again() -> None:
    found = said([*even(5), *even(5, 5, revs=20, left=0, right=0), *even(5, 10)])
    assert [one.says for one in found] == [STOPS, RUNS]


def test_sides_that_change_places_hold_everything() -> None:
    found = said([*even(5), *even(5, 5, left=205, right=240)])
    assert found == [Amiss(SWAPPED, holds=True, typed=LOOKED)]


def test_the_very_same_figures_again_and_again_are_no_reading() -> None:
    assert [one.says for one in said(Row(at / 10, 1_000, 240, 205) for at in range(200))] == [FROZEN]


def test_a_column_that_stands_still_while_the_revs_rise_is_named() -> None:
    rise = [Row(at / 10, 1_000 + 20 * min(at, 60), 240, 205 + at / 4) for at in range(100)]
    assert [one.says for one in said(rise)] == [STANDS.format(side="left")]
    assert not said(Row(one.time, one.revs, 240 - one.time, one.right) for one in rise)
    assert not said(Row(one.time, one.revs, 3, 3 + one.time / 10) for one in rise)  # both hoses are off
    late = [Row(one.time, one.revs, 240 - 30 * (one.time > 4), one.right) for one in rise]
    assert not said(late)  # a damped gauge follows some seconds later
