"""The times of a log: one stray row is left out and said, all else that cannot be is refused with its row."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import CaseError
from advisor.intake.log_times import Times, in_order, left_out

EVEN = np.arange(0, 60, 0.1)
EPOCH = 1.7e9


def sound(time: np.ndarray) -> Times:
    return in_order("ours.csv", time, np.arange(2, len(time) + 2))


def refusal(time: np.ndarray) -> tuple[int, str]:
    with pytest.raises(CaseError) as caught:
        sound(time)
    (problem,) = caught.value.problems
    assert problem.file == "ours.csv"
    return problem.line, problem.text


@pytest.mark.parametrize("stray", [1e7, EPOCH, 1e12, 200.0])
@pytest.mark.parametrize("place", [0, 1, 300, 598])
def test_one_row_far_on_is_left_out_and_the_rest_is_as_before(stray: float, place: int) -> None:
    found = sound(np.insert(EVEN, place, stray))
    assert np.array_equal(found.time, EVEN)
    assert np.flatnonzero(~found.kept).tolist() == [place]
    assert found.repairs == (f"1 row with a time after the row below left out: line {place + 2}",)


@pytest.mark.parametrize("stray", [-1e7, -EPOCH, 0.0])
def test_one_row_far_back_is_left_out(stray: float) -> None:
    found = sound(np.insert(EVEN, 300, stray))
    assert np.array_equal(found.time, EVEN)
    assert found.repairs == ("1 row with a time before the row above left out: line 302",)


@pytest.mark.parametrize(("place", "stray"), [(600, 1e7), (600, EPOCH), (0, -1e7)])
def test_a_row_alone_on_its_day_is_left_out(place: int, stray: float) -> None:
    found = sound(np.insert(EVEN, place, stray))
    assert np.array_equal(found.time, EVEN)
    assert found.repairs == (f"1 row with a time more than a day from the others left out: line {place + 2}",)


def test_a_pause_of_hours_stays() -> None:
    time = np.append(EVEN, [9_000.0, 86_000.0])
    assert np.array_equal(sound(time).time, time)


@pytest.mark.parametrize("by", [90_000.0, 1e7, EPOCH, 1e13])
def test_two_stretches_on_different_days_are_refused_with_the_row(by: float) -> None:
    line, text = refusal(np.concatenate([EVEN, EVEN + by]))
    assert line == 602
    assert text.startswith("the time jumps by ")
    assert refusal(np.concatenate([EVEN, EVEN + by, EVEN]))[0] == 1202  # it runs backwards there


def test_two_rows_on_different_days_are_no_log() -> None:
    assert refusal(np.array([0.0, 1e7]))[0] == 3


def test_a_log_that_runs_backwards_is_refused_at_the_row() -> None:
    assert refusal(EVEN[::-1].copy()) == (
        4,
        "the time runs backwards from here on; are these two logs in one file? split them",
    )
    assert refusal(np.concatenate([EVEN, EVEN]))[0] == 602


@pytest.mark.parametrize(
    ("between", "hint"),
    [(2.1, True), (5.0, True), (100.0, True), (120.0, True), (2_001.0, False), (80_000.0, False)],
)
def test_rows_too_far_apart_are_refused(between: float, hint: bool) -> None:
    """Two seconds: judgement, written here once more. 100 'seconds' from row to row may be ms."""
    line, text = refusal(np.arange(100) * between)
    assert line == 3
    assert text.startswith(f"the rows are {between:.0f} s apart, from this one on; 2 s at most are of use")
    assert text.endswith("Then write 'time ms'") is hint
    assert len(sound(np.arange(100) * 2.0).time) == 100


@pytest.mark.parametrize("start", [EPOCH, 1.7e12])
def test_a_clocks_times_count_from_the_first_row(start: float) -> None:
    """All of them in seconds since a date: only how far they lie apart matters, so they are as good as any."""
    found = sound(EVEN + start)
    assert found.time == pytest.approx(EVEN, abs=1e-3)
    assert found.repairs == ("a clock's times, counted from the first row",)
    assert sound(EVEN + 1e7).repairs == ()  # four months on: a recorder's own counter


@pytest.mark.parametrize("start", [-10.0, -1e6])
def test_times_before_a_trigger_are_negative_and_as_good(start: float) -> None:
    assert np.array_equal(sound(EVEN + start).time, EVEN + start)


def test_repeated_times_are_left_out() -> None:
    found = sound(np.repeat(EVEN[:10], 2))
    assert np.array_equal(found.time, EVEN[:10])
    assert found.repairs == ("10 rows with a repeated time left out: lines 3, 5, 7, 9, 11, ...",)


@pytest.mark.parametrize("rows", [0, 1])
def test_of_less_than_two_rows_nothing_is_out_of_order(rows: int) -> None:
    assert len(sound(np.zeros(rows)).time) == rows


def test_what_was_left_out_names_five_lines_at_most() -> None:
    assert left_out(np.arange(0), "x") == []
    assert left_out(np.arange(5), "x") == ["5 rows x left out: lines 0, 1, 2, 3, 4"]


@settings(deadline=None)
@given(time=st.lists(st.floats(-1e13, 1e13, allow_nan=False), max_size=40))
def test_any_times_are_put_in_order_or_refused_with_a_row(time: list[float]) -> None:
    try:
        found = sound(np.array(time))
    except CaseError as error:
        (problem,) = error.problems
        assert 2 <= problem.line <= len(time) + 1
        assert re.search("jumps|backwards|apart", problem.text)
        return
    assert len(found.time) == found.kept.sum()
    assert np.all(np.diff(found.time) > 0)
    assert len(found.time) < 2 or found.time[-1] - found.time[0] <= 86_400 * len(time)
