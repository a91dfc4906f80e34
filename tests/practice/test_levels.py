"""Levels of practice: how bad a bike is drawn, how many faults it has, and where."""

import pytest

from advisor.observer.bike_view import view
from advisor.observer.severity import trouble
from advisor.practice.levels import LEVELS, SLIGHT, BikeId, draw_bike, faults_of, may_have_two
from advisor.rulebase.model import Rulebase

SEEDS = range(6)


@pytest.mark.parametrize("level", ["easy", "fair"])
def test_one_fault_as_bad_as_the_level_asks(base: Rulebase, level: str) -> None:
    asked = LEVELS[level]
    for seed in SEEDS:
        hidden, seen = draw_bike(BikeId(seed=seed, level=level), faults_of("", base))
        ((_, _, severity),) = hidden.faults
        assert asked.severity[0] <= severity <= asked.severity[1]
        assert trouble(seen) >= asked.least_trouble
        assert seen.bike == view(hidden.bike).bike
        assert not hidden.set_around


def test_a_hard_bike_has_two_faults_or_a_slight_one(base: Rulebase) -> None:
    drawn = [draw_bike(BikeId(seed=seed, level="hard"), faults_of("", base))[0] for seed in SEEDS]
    counts = {len(one.faults) for one in drawn}
    assert counts == {1, 2}
    for one in drawn:
        low, high = SLIGHT if len(one.faults) == 1 else LEVELS["hard"].severity
        assert all(low <= severity <= high for _, _, severity in one.faults)


def test_a_place_with_one_fault_cannot_give_two() -> None:
    for seed in SEEDS:
        assert len(draw_bike(BikeId(seed=seed, level="hard"), ["slide-sticking"])[0].faults) == 1


def test_the_worst_is_taken_where_none_is_bad_enough() -> None:
    hidden, seen = draw_bike(BikeId(seed=1, level="easy"), ["hoses-exchanged"])  # only the readings are exchanged
    assert hidden.causes == (("hoses-exchanged", None),)
    assert trouble(seen) < LEVELS["easy"].least_trouble


def test_faults_are_those_of_the_place(base: Rulebase) -> None:
    assert {base.causes[one].place for one in faults_of("valves", base)} == {"valves"}
    assert len(faults_of("", base)) > len(faults_of("fuel", base)) > 2
    assert faults_of("nowhere", base) == []


def test_only_hard_bikes_may_have_two_faults() -> None:
    assert [one for one in LEVELS if may_have_two(one)] == ["hard"]


def test_the_command_brings_the_same_bike() -> None:
    assert BikeId(seed=7, level="easy").command == "advisor practice --seed 7 --level easy"
    assert BikeId(seed=7, level="hard", area="fuel").command.endswith("--level hard --area fuel")
