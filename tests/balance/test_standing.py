"""What is known of one place."""

import pytest

from advisor.balance.choice import Aim
from advisor.balance.course_steps import COLUMNS, IDLE, OFF_IDLE, Seen, Turned
from advisor.balance.standing import SURPRISES, Standing, level
from advisor.balance.turns import ADJUSTER, STOP, Turn
from advisor.sides import Side

AIM = Aim(at=(0.0, 1000.0), within=(10.0, 100.0))


def seen(behind: float, revs: float = 1000.0) -> Seen:
    """Return a reading of the columns at idle."""
    return Seen(where=IDLE, by=COLUMNS, behind=behind, behind_half=3.0, revs=revs)


def stop(side: Side, sixteenths: int) -> Turned:
    """Return an idle stop turned."""
    return Turned(turns=(Turn(side, STOP, sixteenths),))


def test_a_reading_that_moved_though_nothing_was_turned_surprises() -> None:
    at = Standing(where=IDLE, by=COLUMNS)
    assert at.see(seen(20)) == 0
    assert at.see(seen(21)) < 1
    assert at.see(seen(60)) > SURPRISES


def test_a_stop_that_answers_not_at_all_is_found_and_one_that_answers_is_not() -> None:
    dead, alive = Standing(where=IDLE, by=COLUMNS), Standing(where=IDLE, by=COLUMNS)
    for number in range(4):
        dead.see(seen(30))
        alive.see(seen(30 - number * 0.25 * 40, 1000 + number * 0.25 * 200))
        for one in (dead, alive):
            one.turn(stop("left", 4))
    dead.see(seen(30))
    alive.see(seen(-10, 1200))
    assert dead.amiss() == ("no answer", "left")
    assert alive.amiss() is None


def test_hoses_on_the_wrong_sides_answer_the_wrong_way() -> None:
    at = Standing(where=IDLE, by=COLUMNS)
    at.see(seen(30))
    for number in (1, 2):
        at.turn(stop("left", 4))
        at.see(seen(30 + 10 * number, 1000 + 50 * number))
    assert at.amiss() == ("wrong way", None)


def test_a_screw_turned_far_from_where_it_was_found_is_named() -> None:
    at = Standing(where=OFF_IDLE, by=COLUMNS)
    assert at.screw == ADJUSTER
    at.turn(Turned(turns=(Turn("right", ADJUSTER, 44),)))
    assert at.far == "right"
    at.turn(Turned(turns=(Turn("right", ADJUSTER, -20),)))
    assert at.far is None


def test_a_guard_band_is_kept_off_the_limit() -> None:
    at = Standing(where=IDLE, by=COLUMNS)
    at.see(seen(9.0))
    assert at.stand is not None
    assert level(at.stand, AIM, guarded=False)
    assert not level(at.stand, AIM)


@pytest.mark.parametrize(("behind", "side"), [(5.0, "left"), (-5.0, "right"), (0.0, None)])
def test_the_side_behind_is_that_of_the_last_reading(behind: float, side: Side) -> None:
    at = Standing(where=IDLE, by=COLUMNS)
    at.see(seen(behind))
    assert at.behind == side
