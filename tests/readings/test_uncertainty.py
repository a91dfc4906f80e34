"""How far a mean is trusted, and the guard band, against the published tables and the reference library."""

import math
import random
import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.readings.uncertainty import STUDENT, half_width, verdict


def test_student_table() -> None:
    """JCGM 100:2008, table G.2, column 95.45 %, against scipy.stats.t."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from scipy import stats
    for freedom, printed in enumerate(STUDENT, start=1):
        assert printed == pytest.approx(stats.t.ppf(0.97725, freedom), abs=0.02 if freedom > 1 else 0.1)


def test_repeats_are_trusted_more_than_one_down_to_the_instrument() -> None:
    one = half_width([10.0], 2.0, 1.0)
    many = [half_width([10.0] * size, 2.0, 1.0) for size in (2, 4, 9, 100)]
    assert one == 2.0
    assert many == sorted(many, reverse=True)
    assert many[-1] == pytest.approx(math.hypot(math.sqrt(3) / 10, 1.0))
    assert all(half > 1.0 for half in many)


def test_scattered_repeats_are_trusted_by_their_own_spread() -> None:
    calm, wild = half_width([100, 101, 99], 5.0, 0.0), half_width([60, 100, 140], 5.0, 0.0)
    assert calm == pytest.approx(5 / math.sqrt(3))
    assert wild == pytest.approx(4.53 * 40 / math.sqrt(3))


def test_a_mean_lies_within_its_half_width_as_often_as_it_should() -> None:
    """By simulation: one reading has two standard deviations of `give`; 93 to 99 % of means lie within."""
    rng = random.Random(4)
    for size in (1, 2, 3, 5):
        hits = 0
        for _ in range(2_000):
            values = [rng.gauss(50.0, 2.5) for _ in range(size)]
            hits += abs(sum(values) / size - 50.0) <= half_width(values, 5.0, 0.0)
        assert 0.93 < hits / 2_000 < 0.99


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(51, 53, "over"), (49, 51, "too close"), (50, 52, "too close"), (47, 49, "not over"), (48, 50, "not over")],
)
def test_the_guard_band(low: float, high: float, said: str) -> None:
    """ISO 14253-1:2017, clause 5: conformity is proved only where the whole uncertainty interval conforms."""
    assert verdict(low, high, 50) == said


@given(st.floats(-1e6, 1e6), st.floats(0, 1e3), st.floats(-1e6, 1e6))
def test_never_both_and_wider_is_never_surer(value: float, half: float, limit: float) -> None:
    narrow, wide = verdict(value - half, value + half, limit), verdict(value - 2 * half, value + 2 * half, limit)
    assert wide in {narrow, "too close"}
    assert verdict(value, value, limit) == ("over" if value > limit else "not over")
