"""When readings that come one after the other have settled."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.intake.live_table import Row
from advisor.readings.settling import SETTLED_S, Settled, Settling


def fed(rows: list[Row]) -> list[tuple[float, Settled]]:
    """Return when a stretch was settled, and as what, at each row."""
    at, found = Settling(), []
    for row in rows:
        if at.take(row) and (one := at.found) is not None:
            found.append((row.time, one))
    return found


def rows(
    seconds: float = 20.0, rate: float = 10.0, *, left: float = 240.0, scatter: float = 2.0, seed: int = 1
) -> list[Row]:
    rng = np.random.default_rng(seed)
    return [
        Row(at / rate, *(np.array([1_000.0, left, 205.0]) + rng.normal(size=3) * [8.0, scatter, scatter]).tolist())
        for at in range(int(seconds * rate))
    ]


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 200), rate=st.sampled_from([2.0, 5.0, 10.0, 40.0]))
def test_an_even_idle_settles_within_a_few_seconds_at_its_mean(seed: int, rate: float) -> None:
    found = fed(rows(40, rate, seed=seed))
    assert found
    first, one = found[0]
    assert SETTLED_S <= first < 30
    assert all(abs(got - true) < most for got, true, most in zip(one.means, (240, 205, 1000), (4, 4, 16), strict=True))


@pytest.mark.parametrize("lag", [0.8, 3.0])
def test_what_still_moves_after_a_turn_is_not_settled(lag: float) -> None:
    moving = [
        Row(one.time, one.revs, one.left - 40 * (1 - math.exp(-one.time / lag)), one.right) for one in rows(40, rate=5)
    ]
    ends = [one.means[0] for _, one in fed(moving)]
    assert ends
    assert all(abs(one - 200) < 5 for one in ends)


def test_a_swing_and_a_drift_are_not_settled() -> None:
    swings = [Row(one.time, one.revs + 120 * math.sin(2 * math.pi * one.time / 3), *one_of(one)) for one in rows()]
    assert not fed(swings)
    drifts = [Row(one.time, one.revs + 20 * one.time, *one_of(one)) for one in rows()]
    assert not fed(drifts)


def one_of(row: Row) -> tuple[float, float]:
    return row.left, row.right


def test_swinging_is_told_from_moving() -> None:
    at = Settling()
    for one in rows():
        at.take(Row(one.time, one.revs + 120 * math.sin(2 * math.pi * one.time / 3), one.left, one.right))
    assert at.found is None
    assert at.swings


def test_a_wider_scatter_gives_means_by_the_second_that_scatter_more() -> None:
    quiet, loud = (fed(rows(60, scatter=one))[-1][1].left for one in (0.5, 8.0))
    assert np.std(loud) > 3 * np.std(quiet)
    assert len(quiet) >= int(SETTLED_S)


def test_what_came_before_is_forgotten() -> None:
    at = Settling()
    for one in rows():
        at.take(one)
    assert at.found
    at.clear()
    assert not at.found
    assert not at.so_far
