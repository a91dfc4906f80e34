"""Screws that a check turns: where they begin, what is kept of them, and when nobody can tell."""

import numpy as np

from advisor.observer.turning import STOP, stands
from advisor.rulebase import Rulebase
from advisor.scoring.screws import Level, left_level, turn
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant

MISSET = plant(Bike(), "out-of-adjustment", "left", 0.7)


def rng() -> np.random.Generator:
    return np.random.default_rng(1)


def test_a_check_that_turns_nothing_leaves_all_as_it_is(base: Rulebase) -> None:
    before = {STOP: Level("left", (1.0, 2.0))}
    found = turn(base.checks["wet-the-joint"], MISSET, before, rng())
    assert (found.signs, found.bike, found.left) == ({}, MISSET, before)


def test_a_screw_that_helped_is_kept_with_where_it_had_stood(base: Rulebase) -> None:
    found = turn(base.checks["turn-a-stop-and-read"], MISSET, {}, rng())
    assert found.signs == {(STOP, "left"): False, (STOP, "right"): True}
    assert found.left == {STOP: Level("right", stands(MISSET, STOP))}
    assert stands(found.bike, STOP) != stands(MISSET, STOP)


def test_a_screw_is_turned_back_before_it_is_turned_again(base: Rulebase) -> None:
    check = base.checks["turn-a-stop-and-read"]
    first = turn(check, MISSET, {}, rng())
    again = turn(check, first.bike, first.left, rng())
    assert again == first  # not: level already, so it is no help


def test_a_screw_that_is_no_help_is_put_back_and_forgotten(base: Rulebase) -> None:
    leaking = plant(Bike(), "intake-joint-leak", "left", 0.9)
    before = {STOP: Level("left", stands(leaking, STOP))}
    found = turn(base.checks["turn-a-stop-and-read"], leaking, before, rng())
    assert found.signs == {(STOP, "left"): False, (STOP, "right"): False}
    assert (found.bike, found.left) == (leaking, {})


def test_where_shorting_shows_no_difference_nobody_can_tell(base: Rulebase) -> None:
    found = turn(base.checks["turn-an-adjuster-and-short"], Bike(), {}, rng())
    assert found.signs is None
    assert (found.bike, found.left) == (Bike(), {})


def test_a_screw_speaks_for_its_own_side_only() -> None:
    left = {STOP: Level("right", (1.0, 1.0))}
    assert left_level(left, {(STOP, "right"), ("joint-wetting-moves-idle", "left")})
    assert not left_level(left, {(STOP, "left")})
    assert not left_level(left, {("joint-wetting-moves-idle", "right")})
    assert not left_level({}, {(STOP, "right")})
