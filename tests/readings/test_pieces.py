"""A log in pieces: every row is in one, and none goes over a pause."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import CaseError
from advisor.intake.logfile import Log
from advisor.readings.pieces import Rows, pieces, spacing, split


def of(time: np.ndarray) -> Log:
    return Log(file="ours.csv", columns={"time": time}, repairs=())


@given(between=st.lists(st.floats(0.01, 100.0), max_size=60), least=st.floats(0.0, 50.0))
def test_each_row_is_in_one_piece_and_no_piece_goes_over_a_pause(between: list[float], least: float) -> None:
    time = np.concatenate([[0.0], np.cumsum(between)])
    found = pieces(of(time), least)
    assert [row for one in found for row in range(one.start, one.stop)] == list(range(len(time)))
    rows = 10 * float(np.median(np.diff(time))) if between else 0.0
    short = [one for one in np.diff(time) if rows < one <= least]
    missing = sum(short) > 0.25 * sum(one for one in np.diff(time) if one <= max(rows, least))
    pause = rows if missing else max(rows, least)
    assert all(np.all(np.diff(time[one]) <= pause) for one in found)
    assert all(time[two.start] - time[one.stop - 1] > pause for one, two in pairwise(found))


@pytest.mark.parametrize(("off", "count"), [(2.0, 1), (2.9, 20)])
def test_where_a_quarter_is_missing_short_pauses_count_as_well(off: float, count: int) -> None:
    """Judgement, written here once more; a row of an hour later has no part in it."""
    time = np.concatenate([np.arange(0, 8, 0.1) + number * (8 + off) for number in range(20)])
    assert len(pieces(of(time), 3.0)) == count
    assert len(pieces(of(np.append(time, 9_000.0)), 3.0)) == count + 1


@pytest.mark.parametrize("rows", [0, 1])
def test_of_less_than_two_rows_all_are_one_piece(rows: int) -> None:
    assert pieces(of(np.zeros(rows))) == [slice(0, rows)]


@pytest.mark.parametrize("pauses", [1_000, 1_001])
def test_a_thousand_pauses_are_the_most(pauses: int) -> None:
    """Judgement, written here once more."""
    time = np.arange(10_000.0)
    time[-pauses:] += 100 * np.arange(1, pauses + 1)
    if pauses == 1_000:
        assert len(pieces(of(time))) == 1_001
        return
    with pytest.raises(CaseError) as caught:
        pieces(of(time))
    assert caught.value.problems[0].text == "pauses 1001 times; record it again, without pauses"


def test_rows_in_bursts_are_as_far_apart_as_they_are_on_the_whole() -> None:
    even = np.arange(0, 20, 0.5)
    assert spacing([even, even + 900]) == pytest.approx(0.5)
    bursts = np.sort(np.concatenate([np.arange(0.0, 60.0, 1.5), np.arange(0.0, 60.0, 1.5) + 1e-6, [0.5e-6]]))
    assert spacing([bursts]) == pytest.approx(np.mean(np.diff(bursts)) / 3)


def test_a_hole_parts_the_rows() -> None:
    time = np.array([0.0, 1.0, 17.0, 18.0])
    one, two = split(Rows(time, 900 + time, None), 15.0)
    assert (one.time.tolist(), one.lasts) == ([0.0, 1.0], 1.0)
    assert two.revs.tolist() == [917.0, 918.0]
    (whole,) = split(Rows(time, time, time), 16.0)
    assert whole.temperature is not None
    assert whole.temperature.tolist() == time.tolist()
    assert Rows(time[:0], time[:0], None).lasts == 0.0
