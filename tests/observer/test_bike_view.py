"""Views: many at once are as one by one; the road, the idle and the acts behind them."""

import time

import numpy as np
import pytest

from advisor.observer import exchanges, manipulations, on_the_road
from advisor.observer.bike_view import View, usual, view, views
from advisor.observer.idling import NAMES
from advisor.observer.severity import trouble, uneven, weak_side
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant, plant_all

LEAK = plant(Bike(), "intake-joint-leak", "left", 0.6)
DRY = plant(Bike(), "supply-restricted", None, 0.8)


def test_many_at_once_are_as_one_by_one() -> None:
    together = views([Bike(), LEAK, DRY])
    for one in together:
        alone = view(one.bike)
        assert alone.one("idle_rpm") == pytest.approx(one.one("idle_rpm"), rel=1e-9)
        assert np.allclose(alone.road.excess, one.road.excess)
        assert np.allclose(alone.idling.swing_rpm, one.idling.swing_rpm)
        assert alone.resting == one.resting
    assert views([]) == []


def test_views_are_one_a_bike() -> None:
    assert [one.bike == Bike() for one in views([Bike(), plant(Bike(), "plug-dead", "left", 1.0)])] == [True, False]
    assert views([]) == []


def test_nothing_dear_is_worked_out_unasked() -> None:
    v = view(LEAK)
    assert not {"answers", "fall", "_tried"} & set(vars(v))
    assert v.answers["wet joint left"].felt()
    assert not v.answers["wet joint right"].felt()


def test_the_gauge_shows_its_own_errors() -> None:
    v = view(plant(LEAK, "hoses-exchanged"))
    true, shown = v.two("depression_kpa"), v.shown("depression_kpa")
    assert true[0] < true[1]
    assert shown[0] > shown[1]


def test_a_dry_supply_shows_on_the_road_and_not_at_idle() -> None:
    v = view(DRY)
    assert v.one("idle_rpm") > 950
    assert max(v.at("drawn", "full")) == pytest.approx(1.0, abs=0.02)
    assert v.pull("full") < 0.5 * usual().pull("full")
    assert max(usual().at("drawn", "full")) < 0.7


def test_the_idle_wanders_more_on_a_weak_spark() -> None:
    calm, weak = usual().idling, view(plant(Bike(), "condenser-failed", None, 0.8)).idling
    assert 30 < float(calm.swing_rpm) < 50
    assert float(weak.swing_rpm) > 1.3 * float(calm.swing_rpm)
    assert calm.rpm[NAMES.index("hot")] > calm.rpm[NAMES.index("half")]


def test_acts_that_change_nothing_say_so() -> None:
    changes = manipulations.changes(Bike())
    assert changes["seal joint left"] == changes["cover port right"]
    assert changes["seal joint left"].rpm == 0
    assert not changes["stops off"].runs
    assert set(changes) == set(manipulations.acts(Bike()))


def test_exchanges_exchange_and_come_back() -> None:
    bike = plant_all(Bike(), [("plug-gap-wrong", "left", 0.5), ("needle-jet-worn", "left", 0.5)])
    for names in exchanges.EXCHANGES.values():
        once = exchanges.exchanged(bike, names)
        assert exchanges.exchanged(once, names) == bike
    assert exchanges.tried(bike, "exchange plug").right.plug_gap_mm == bike.left.plug_gap_mm
    assert exchanges.tried(bike, "exchange plug").left.needle_wear_mm == bike.left.needle_wear_mm


def test_a_cure_of_one_common_fault_leaves_the_other() -> None:
    bike = plant_all(
        Bike(), [("condenser-failed", None, 0.5), ("points-gap-wrong", None, 0.4), ("timing-wrong", None, 0.3)]
    )
    cured = exchanges.tried(bike, "another condenser")
    left = plant_all(Bike(), [("points-gap-wrong", None, 0.4), ("timing-wrong", None, 0.3)])
    assert cured.coil_share == pytest.approx(left.coil_share)
    assert cured.static_deg == pytest.approx(left.static_deg)
    assert exchanges.without(left, "condenser-failed") == left


def test_trouble_is_none_on_a_healthy_bike_and_names_the_side() -> None:
    assert trouble(usual()) < 0.5
    assert weak_side(usual()) is None
    for side, number in (("left", 0), ("right", 1)):
        v = view(plant(Bike(), "plug-dead", "left" if number == 0 else "right", 0.7))
        assert weak_side(v) == number, side
        assert trouble(v) > 5
    assert uneven(view(LEAK))["rich at idle"] < -0.5


def test_points_of_the_road_are_in_their_order() -> None:
    assert on_the_road.NAMES[:3] == ("opening", "barely", "cruise")  # held or just opened, set by their place
    assert all(pull is not None for _, pull in list(on_the_road.POINTS.values())[3:])


@pytest.mark.bench
def test_many_at_once_take_less_time() -> None:
    usual()  # the table of the cycle is made or read before the clock runs
    bikes = [plant(Bike(), "rings-worn", "left", i / 40) for i in range(40)]

    def seconds(work: list[list[Bike]]) -> float:
        start = time.perf_counter()
        found: list[View] = [one for part in work for one in views(part)]
        assert len(found) == 40
        return time.perf_counter() - start

    assert seconds([bikes]) < 0.6 * seconds([[bike] for bike in bikes])
