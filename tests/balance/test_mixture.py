"""Where a mixture screw should stand, against a library's fit and arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.balance.mixture import Best, Go, NoTop, TooFew, climb, on_line, to_figure, top

PLACES = [1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75]


@given(st.floats(1.4, 2.4), st.floats(30, 200))
def test_the_top_of_an_exact_parabola_is_found_to_an_eighth(at: float, bend: float) -> None:
    found = top(PLACES, [1050 - bend * (one - at) ** 2 for one in PLACES], 0.5)
    assert isinstance(found, Best)
    assert abs(found.at - at) <= 1 / 16 + 1e-9
    assert found.low <= at <= found.high


def test_the_top_is_that_of_a_library_fit() -> None:
    # numpy.polynomial on the same readings
    rng = np.random.default_rng(1)
    revs = [1050 - 90 * (one - 1.9) ** 2 + rng.normal(0, 4) for one in PLACES]
    fit = np.polynomial.Polynomial.fit(PLACES, revs, 2).convert().coef
    found = top(PLACES, revs, 4.0)
    assert isinstance(found, Best)
    assert found.at == pytest.approx(-fit[1] / (2 * fit[2]), abs=1 / 16)


def test_its_bounds_hold_the_truth_as_often_as_two_standard_deviations_should() -> None:
    rng, held, sure = np.random.default_rng(2), 0, 0
    for _ in range(300):
        found = top(PLACES, [1050 - 120 * (one - 1.9) ** 2 + rng.normal(0, 5) for one in PLACES], 5.0)
        if isinstance(found, Best):
            sure += 1
            held += found.low <= 1.9 <= found.high
    assert sure > 250
    assert held / sure > 0.92


@pytest.mark.parametrize(("slope", "why"), [(0.0, "flat"), (60.0, "out"), (-60.0, "in")])
def test_no_top_is_said_and_which_way_it_rises(slope: float, why: str) -> None:
    assert top(PLACES, [1000 + slope * one for one in PLACES], 4.0) == NoTop(why=why)


def test_few_places_or_one_sided_ones_ask_for_more() -> None:
    assert top([1.0, 1.5, 2.0], [1000, 1040, 1000], 5.0) == TooFew(more=1)
    rising = [1050 - 90 * (one - 3.2) ** 2 for one in PLACES[:5]]
    assert top(PLACES[:5], rising, 0.5) == TooFew(more=1, towards="out")


@given(st.floats(1.2, 2.6), st.floats(0.5, 3))
def test_a_line_is_read_backwards(at: float, slope: float) -> None:
    found = on_line(PLACES, [3.0 + slope * (one - at) for one in PLACES], 0.01, 3.0)
    assert isinstance(found, Best)
    assert abs(found.at - at) <= 1 / 16 + 1e-9
    assert found.low <= at <= found.high


def test_gas_that_hardly_answers_the_screw_is_said() -> None:
    assert on_line(PLACES, [2.0, 2.1, 1.9, 2.0, 2.1, 1.9, 2.0, 2.1], 0.1, 3.0) == NoTop(why="flat")


@given(st.floats(-1.2, 1.2), st.integers(0, 50))
def test_the_climb_ends_at_the_top_after_few_places(at: float, seed: int) -> None:
    rng, read = np.random.default_rng(seed), list[tuple[int, float]]()
    found: Go | Best | NoTop = climb(read, 3.0)
    while isinstance(found, Go):
        read.append((found.to, 1050 - 130 * (found.to / 16 - at) ** 2 + rng.normal(0, 3)))
        found = climb(read, 3.0)
    assert isinstance(found, Best), found
    assert abs(found.at - at) < 0.3
    assert len(read) <= 10


def test_a_screw_that_does_nothing_has_no_top() -> None:
    rng, read = np.random.default_rng(4), list[tuple[int, float]]()
    found: Go | Best | NoTop = climb(read, 5.0)
    while isinstance(found, Go):
        read.append((found.to, 1000 + rng.normal(0, 5)))
        found = climb(read, 5.0)
    assert isinstance(found, NoTop)
    assert len(read) <= 16
    assert min(at for at, _ in read) == -32  # it was leaned by two turns, and nothing came of it


@given(st.floats(-1.2, 1.2), st.floats(0.8, 3))
def test_a_figure_of_gas_is_walked_to(at: float, slope: float) -> None:
    read = list[tuple[int, float]]()
    found: Go | Best | NoTop = to_figure(read, 0.1, 2.75)
    while isinstance(found, Go):
        read.append((found.to, 2.75 + slope * (found.to / 16 - at)))
        found = to_figure(read, 0.1, 2.75)
    assert isinstance(found, Best)
    assert abs(found.at - at) <= 1 / 16 + 1e-9


def test_a_screw_is_not_leaned_on_past_where_the_idle_has_clearly_fallen() -> None:
    read = [(0, 1057.0), (4, 1080.0), (8, 1080.0), (12, 1070.0), (-4, 1083.0), (-8, 1010.0)]
    found = climb(read, 8.0)
    assert not (isinstance(found, Go) and found.to < -8)
