"""How far a mean is trusted, and the guard band, against the published tables and the reference library."""

import math
import random
import statistics
import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.readings.uncertainty import DIXON, STUDENT, half_width, odd_one_out, scatters, verdict


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


def test_two_that_scatter_are_trusted_by_student_with_one_degree_of_freedom() -> None:
    """JCGM 100:2008, table G.2: 13.97 at one degree of freedom; the mean of 400 and 600 has a spread of 100."""
    assert half_width([400, 600], 30.0, 5.0) == pytest.approx(13.97 * 100, rel=0.01)
    assert half_width([200, 215], 20.0, 5.0) == pytest.approx(math.hypot(19.36 / math.sqrt(2), 5.0), rel=0.01)


def test_the_odd_one_out() -> None:
    assert odd_one_out([200, 205, 900], 20.0) == 2
    assert odd_one_out([10, 205, 200, 210], 20.0) == 0
    assert odd_one_out([200, 200, 215], 20.0) is None  # further than two readings can differ it is not
    assert odd_one_out([200, 400, 600], 20.0) is None
    assert odd_one_out([200, 900], 20.0) is None


def test_the_odd_one_out_stands_further_off_than_two_readings_can_differ() -> None:
    """Each trusted within 20, two of them can lie 40 apart, however well the others agree."""
    assert odd_one_out([200.0, 200.0, 241.0], 20.0) == 2
    assert odd_one_out([200.0, 200.0, 239.0], 20.0) is None
    assert odd_one_out([200.0, 200.0, 240.0], 20.0) is None
    assert odd_one_out([160.0, 200.0, 200.0], 19.0) == 0


def test_more_readings_than_the_table_go_by_its_last_figure() -> None:
    """From ten on 0.466: of twelve from 0 to 100 the last must stand off by more than 46.6 of them."""
    many = [0.0] * 10
    assert odd_one_out([*many, 53.0, 100.0], 1.0) == 11
    assert odd_one_out([*many, 54.0, 100.0], 1.0) is None
    assert odd_one_out([*many, *many, 53.0, 100.0], 1.0) == 21


def test_the_odd_one_out_by_a_published_example() -> None:
    """An example often shown with Dixon's test, from memory: of these ten, 0.167 has Q = 0.455, too little at 95 %."""
    ten = [0.189, 0.167, 0.187, 0.183, 0.186, 0.182, 0.181, 0.184, 0.181, 0.177]
    assert odd_one_out(ten, 0.0) is None
    assert odd_one_out([*ten[:1], 0.160, *ten[2:]], 0.0) == 1


def test_dixons_figures_by_simulation() -> None:
    """At 95 %, one set of normal readings in twenty has one that stands out by chance."""
    rng = random.Random(7)
    for size in (3, 5, 10):
        odd = sum(odd_one_out([rng.gauss(0, 1) for _ in range(size)], 0.0) is not None for _ in range(4_000))
        assert 0.035 < odd / 4_000 < 0.065
    assert len(DIXON) == 8


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


def test_repeats_scatter_where_they_spread_more_than_chance_lets_one_set_in_twenty() -> None:
    """Chi-squared over its degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.5.8): 1.96 of two readings, 1.75 of more.

    A reading trusted within 10 has a standard deviation of 5; with 6 of it from the instrument, of 4.
    """
    for more, times in ((0.01, True), (-0.01, False)):
        two = (1.96 + more) * 5 * math.sqrt(2)  # apart: their standard deviation is that over root 2
        assert scatters([0.0, two], 10.0, 0.0) is times
        three = (1.75 + more) * 5
        assert scatters([-three, 0.0, three], 10.0, 0.0) is times
        assert scatters([-three * 0.8, 0.0, three * 0.8], 10.0, 6.0) is times
    assert not scatters([5.0], 1.0, 0.0)
    assert not scatters([], 1.0, 0.0)


@pytest.mark.parametrize("size", [16, 17, 40])
def test_scatter_is_trusted_by_students_figure_and_by_two_beyond_the_table(size: int) -> None:
    """JCGM 100:2008, table G.2: 2.18 at 15 degrees of freedom, its last line here; two beyond it."""
    values = [10.0 * (-1) ** n for n in range(size)]
    spread = statistics.stdev(values)
    factor = 2.18 if size == 16 else 2.0
    assert half_width(values, 1.0, 0.0) == pytest.approx(factor * spread / size**0.5)


def test_one_reading_is_trusted_as_it_is() -> None:
    assert half_width([5.0], 3.0, 2.0) == 3.0
    assert half_width([], 3.0, 2.0) == 3.0
