"""Bikes to balance, and what counts as balanced."""

import numpy as np
import pytest

from advisor.scoring.balance_bikes import Truth, faulty, is_level, prevents, truly
from advisor.sides import BOTH
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant


def test_the_model_by_the_book_is_level_and_nothing_prevents_it() -> None:
    assert is_level(truly(Bike()))
    assert not prevents(Bike())


@pytest.mark.parametrize("side", BOTH)
def test_a_dead_plug_prevents_a_balance_on_either_side(side: str) -> None:
    assert prevents(plant(Bike(), "plug-dead", side, 1.0))  # type: ignore[arg-type]


def test_idle_and_columns_must_be_within_the_limits_of_the_pages() -> None:
    right = Truth(idle_mmhg=5.0, held_mmhg=-5.0, rpm=1000.0, drops=0.0)
    assert is_level(right)
    for change in ({"idle_mmhg": 12.0}, {"held_mmhg": -12.0}, {"rpm": 1150.0}, {"rpm": np.nan}):
        assert not is_level(Truth(**{"idle_mmhg": 5.0, "held_mmhg": -5.0, "rpm": 1000.0, "drops": 0.0} | change))


def test_a_port_that_leaks_without_the_gauge_prevents_it_only_where_that_is_felt() -> None:
    assert prevents(plant(Bike(), "vacuum-port-leak", "left", 1.0))
    assert not prevents(plant(Bike(), "vacuum-port-leak", "left", 0.01))


def test_fuel_that_runs_short_only_under_way_does_not_prevent_it() -> None:
    bike = plant(Bike(), "supply-restricted", None, 0.8)
    assert np.isnan(truly(bike).held_mmhg)
    assert not prevents(bike)


def test_a_bike_to_search_has_one_fault_that_prevents_it() -> None:
    hidden = faulty(4)
    assert len(hidden.causes) == 1
    assert prevents(hidden.bike)
