"""What a shake comes with, recorded or told, by the shipped pages."""

import numpy as np
import pytest
from msgspec.structs import replace

from advisor.case import Bike, ShakeReport
from advisor.intake.logfile import Log
from advisor.readings.orders import next_step, reduce_shake, shown
from advisor.readings.shake_reports import ENGINE, ONE_SPEED, ROAD, THROTTLE, belongs_to
from advisor.readings.shake_reports import next_step as next_after_feeling
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import ShakeOrder

BIKE = Bike(gears=(15.0, 10.0, 7.5, 6.0, 5.0), tyre="4.00-18")
KMH = 3.6


def at(speed: float, gear: int = 0, *, shakes: bool = True, clutch: bool = False, throttle: str = "") -> ShakeReport:
    return ShakeReport(shakes=shakes, speed=speed / KMH, gear=gear, clutch_in=clutch, throttle=throttle, how="told")


def test_the_same_in_any_gear_and_with_the_clutch_in_is_the_road() -> None:
    found = belongs_to([at(90, 5), at(90, 4), at(90, clutch=True)], BIKE)
    assert found == {ROAD: True, ENGINE: False, ONE_SPEED: False}


def test_gone_with_the_clutch_in_is_not_the_road() -> None:
    found = belongs_to([at(90, 5), at(72, 4), at(90, clutch=True, shakes=False)], BIKE)
    assert found[ROAD] is False
    assert found[ENGINE] is True


def test_smooth_below_and_above_is_one_engine_speed() -> None:
    told = [at(90, 5), at(75, 4), at(70, 5, shakes=False), at(110, 5, shakes=False)]
    assert belongs_to(told, BIKE)[ONE_SPEED] is True


def test_gone_on_a_shut_throttle_is_the_throttle() -> None:
    told = [at(90, 5, throttle="part"), at(90, 5, throttle="shut", shakes=False)]
    found = belongs_to(told, BIKE)
    assert found[THROTTLE] is True
    assert ROAD not in found


@pytest.mark.parametrize("told", [[], [at(90, 5)], [at(90, 5), at(91, 5)]])
def test_one_moment_leaves_it_open(told: list[ShakeReport]) -> None:
    assert belongs_to(told, BIKE) == {}


def test_without_gears_and_tyre_nothing_is_made_up() -> None:
    assert ENGINE not in belongs_to([at(90, 5), at(75, 4), at(70, 5, shakes=False)], Bike())


def shaken(amplitudes: dict[float, float], revs: float = 3500.0, seconds: float = 20, *, sweep: float = 0.0) -> Log:
    """Return a shake with sines at these orders; `sweep` makes the engine's speed wander by this share."""
    rng = np.random.default_rng(3)
    time = np.arange(0, seconds, 1 / 800)
    speed = revs * (1 + sweep * np.sin(2 * np.pi * time / seconds))
    turns = np.concatenate([[0], np.cumsum((speed[1:] + speed[:-1]) / 120 / 800)])
    shake = sum(
        (a * np.sin(2 * np.pi * order * turns) for order, a in amplitudes.items()), rng.normal(0, 0.2, time.size)
    )
    return Log(file="shake.csv", columns={"time": time, "acceleration": shake, "revs": speed}, repairs=())


@pytest.mark.parametrize("order", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("sweep", [0.0, 0.15])
def test_orders_come_back_even_from_a_wandering_engine(base: Rulebase, order: float, sweep: float) -> None:
    found = reduce_shake(shaken({order: 3.0}, sweep=sweep), base.shakes, ratio=5.0)
    assert base.shakes[found.owner_id].turns == order
    assert base.shakes[found.owner_id].called == found.owner
    assert found.orders[0].amplitude == pytest.approx(3.0, rel=0.1)


def test_the_wheel_is_told_from_the_engine(base: Rulebase) -> None:
    found = reduce_shake(shaken({1 / 5.0: 4.0, 1.0: 1.0}), base.shakes, ratio=5.0)
    assert base.shakes[found.owner_id].turns is None
    assert found.orders[0].rate == pytest.approx(3500 / 60 / 5, rel=1e-6)


def test_even_firing_of_the_twin(base: Rulebase) -> None:
    """Arithmetic: an evenly firing four-stroke twin fires rpm / 60 times a second, each side rpm / 120."""
    found = reduce_shake(shaken({1.0: 3.0, 0.5: 1.0}, revs=3600), base.shakes)
    rates = {one.order: one.rate for one in found.orders}
    assert rates[1.0] == pytest.approx(60.0)
    assert rates[0.5] == pytest.approx(30.0)


@pytest.mark.parametrize("amplitudes", [{0.5: 2.0, 1.0: 2.2}, {}])
def test_two_alike_are_not_called(base: Rulebase, amplitudes: dict[float, float]) -> None:
    found = reduce_shake(shaken(amplitudes), base.shakes)
    assert (found.owner, found.owner_id) == ("", "")
    assert shown(found, base) == {}
    assert next_step(found, base) == base.ride_next.none_stands_out


def test_nothing_stands_out_where_nothing_shakes(base: Rulebase) -> None:
    flat = shaken({})
    flat.columns["acceleration"][:] = 0.0
    assert reduce_shake(flat, base.shakes, ratio=5.0).owner_id == ""
    one = {"first-order": base.shakes["first-order"]}
    assert reduce_shake(shaken({1.0: 3.0}), one).owner_id == ""


def test_a_shake_shows_the_sign_of_its_order_and_none_of_the_others(base: Rulebase) -> None:
    found = reduce_shake(shaken({1.0: 3.0}), base.shakes)
    assert shown(found, base) == {ROAD: False, ENGINE: True}
    assert next_step(found, base) == base.shakes["first-order"].do


def test_a_shops_own_order_is_told_from_the_others(base: Rulebase) -> None:
    """What shakes three times for two turns: it goes by its id, whatever it is called."""
    ours = ShakeOrder(id="ours", file="x", line=1, called="first order", turns=1.5, shows=ONE_SPEED, do="See to it.")
    more = replace(base, shakes=base.shakes | {"ours": ours})
    found = reduce_shake(shaken({1.5: 3.0, 1.0: 0.5}), more.shakes)
    assert (found.owner_id, found.owner) == ("ours", "first order")
    assert shown(found, more) == {ROAD: False, ENGINE: False, ONE_SPEED: True}
    assert next_step(found, more) == "See to it."


@pytest.mark.parametrize(
    ("found", "by"),
    [
        ({ROAD: True, THROTTLE: True}, ROAD),
        ({ENGINE: False, ONE_SPEED: True, THROTTLE: True}, THROTTLE),
        ({ENGINE: False, ONE_SPEED: True}, ONE_SPEED),
    ],
)
def test_the_most_telling_sign_says_what_to_do(base: Rulebase, found: dict[str, bool], by: str) -> None:
    assert base.signs[by].do
    assert next_after_feeling(found, base) == base.signs[by].do
    assert next_after_feeling({ROAD: False}, base) == base.ride_next.left_open
