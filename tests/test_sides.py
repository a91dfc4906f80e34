"""Left and right exchange, and a thing of the whole bike has neither."""

import pytest

from advisor.sides import BOTH, Side, either, fill, named, other, sides_of

SIDES: tuple[Side, ...] = (*BOTH, None)


@pytest.mark.parametrize("side", SIDES)
def test_the_other_side_of_the_other_side_is_this_side(side: Side) -> None:
    assert other(other(side)) == side
    assert (other(side) == side) == (side is None)


def test_a_text_names_its_side_and_the_other() -> None:
    assert fill("the {side} one, not the {other} one", "left") == "the left one, not the right one"
    assert fill("the {side} one, not the {other} one", "right") == "the right one, not the left one"
    assert fill("no side here", "left") == "no side here"


def test_an_unknown_side_is_left_open() -> None:
    assert either("the {side} plug, then the {other} one", None) == "the left or right plug, then the other one"
    assert either("the {side} plug", "right") == "the right plug"


def test_a_name_carries_its_side() -> None:
    assert named("plug-dead", "left") == "plug-dead left"
    assert named("mixture-out", None) == "mixture-out"
    assert sides_of(sided=True) == ("left", "right")
    assert sides_of(sided=False) == (None,)
