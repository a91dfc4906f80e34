"""The screws of a balance, in words."""

import pytest

from advisor.balance.turns import ADJUSTER, MIXTURE, STOP, WHOLE, Turn, how_far


@pytest.mark.parametrize(
    ("sixteenths", "says"),
    [
        (1, "half of 1/8 turn"),
        (2, "1/8 turn"),
        (-3, "3/16 turn"),
        (4, "1/4 turn"),
        (6, "3/8 turn"),
        (8, "1/2 turn"),
        (16, "1 turn"),
        (-20, "1 1/4 turns"),
        (32, "2 turns"),
    ],
)
def test_how_far_is_said_as_a_mechanic_says_it(sixteenths: int, says: str) -> None:
    assert how_far(sixteenths) == says


def test_in_is_clockwise_and_opens_lets_go_or_leans() -> None:
    # common practice, no source: right-hand threads
    assert str(Turn("left", STOP, 4)) == "left idle stop: in 1/4 turn, clockwise; it opens that throttle"
    assert (
        str(Turn("right", ADJUSTER, 2))
        == "right cable adjuster: in 1/8 turn, clockwise; it gives that cable more slack"
    )
    assert str(Turn("left", MIXTURE, -2)).endswith("out 1/8 turn, anticlockwise; it makes that idle richer")


def test_turns_and_the_other_side() -> None:
    turn = Turn("left", STOP, 4)
    assert turn.turns == 4 / WHOLE
    assert turn.mirrored == Turn("right", STOP, 4)
    assert turn.mirrored.mirrored == turn
