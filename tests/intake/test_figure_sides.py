"""The sides of figures told in turn, or of 'the other': named, or left open where nobody said which is which."""

from hypothesis import given
from hypothesis import strategies as st

from advisor.intake.figure_sides import order_of, which_is_not_said, with_sides
from advisor.sides import BOTH, Side, other

FIGURES = st.integers(1, 999)
SIDES = st.sampled_from(BOTH)


@given(SIDES, FIGURES, FIGURES)
def test_a_pair_is_of_the_sides_in_the_order_told(side: Side, one: int, two: int) -> None:
    named = f"{side} {one}, {other(side)} {two}"
    assert named in with_sides(f"{side} and {other(side)} gauges show {one} and {two}", None, None)
    assert named in with_sides(f"gauges show {one} and {two}, {side} first", None, None)
    assert named in with_sides(f"gauges show {one} and {two}", None, order_of(f"I tell the {side} first"))


@given(FIGURES, FIGURES)
def test_a_pair_with_no_order_is_left_open(one: int, two: int) -> None:
    pair = f"gauges show {one} and {two}"
    assert with_sides(pair, None, None) == pair
    assert which_is_not_said(pair, f" and {two}")


@given(SIDES, FIGURES, FIGURES)
def test_the_other_is_the_side_not_named_last(side: Side, one: int, two: int) -> None:
    assert f"the {other(side)} {two}" in with_sides(f"{side} {one}, the other {two}", None, None)
    assert with_sides(f"it reads {one}, the other {two}", side, None).startswith(f"on the {side} ")


@given(FIGURES)
def test_another_day_is_no_side(one: int) -> None:
    text = f"the other day the left was at {one}"
    assert with_sides(text, "right", None) == text
