"""Readings as they come, on one line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.intake.live_table import Row
from advisor.show.live import live_line

SIZE = st.floats(0, 1_000)


@given(left=SIZE, right=SIZE, revs=st.floats(0, 20_000), wide=st.integers(40, 80))
def test_it_stays_on_one_line_of_any_screen_and_the_higher_column_is_no_shorter(
    left: float, right: float, revs: float, wide: int
) -> None:
    line = live_line(Row(0.0, revs, left, right), "look at the hoses, then Enter", wide)
    assert len(line) < wide
    one, _, other = line.partition("|")
    if round(left) > round(right):
        assert one.count("█") >= other.count("█")


@pytest.mark.parametrize(("state", "end"), [("settling", " 205  1,050 rpm  settling"), ("", " 205  1,050 rpm")])
def test_it_says_both_the_revs_and_what_it_does(state: str, end: str) -> None:
    line = live_line(Row(3.0, 1_050, 240, 205), state, 80)
    assert line.startswith(" 240 ")
    assert line.endswith(end)
