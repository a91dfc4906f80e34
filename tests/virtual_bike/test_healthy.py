"""A healthy bike lies inside common practice, and settles where it should."""

import numpy as np
import pytest

from advisor.virtual_bike import idle, respond, steady, still, warmup
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike


@pytest.fixture(scope="module")
def healthy() -> steady.Steady:
    return steady.steady(Bike())


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        # common practice for air-cooled twins, no published source
        ("idle_rpm", 1000, 1100),
        ("drop_rpm", 150, 400),
        ("depression_kpa", 15, 30),
        ("excess", 0.88, 1.0),
        ("header_c", 200, 400),
        ("misfire", 0.0, 0.12),
        ("held_excess", 0.85, 1.1),
        ("cruise_excess", 0.82, 1.0),
        ("cruise_header_c", 450, 750),
        ("full_excess", 0.82, 0.95),
        ("full_torque_nm", 38, 60),
        ("first_order_rpm", 10, 60),
    ],
)
def test_healthy_figures(healthy: steady.Steady, name: str, low: float, high: float) -> None:
    values = getattr(healthy, name)
    assert (values >= low).all()
    assert (values <= high).all()


def test_healthy_sides_are_alike(healthy: steady.Steady) -> None:
    assert not healthy.stalls.any()
    assert healthy.column_mm[0] == pytest.approx(0, abs=1e-9)
    assert healthy.held_column_mm[0] == pytest.approx(0, abs=1e-9)
    assert healthy.drop_rpm[0, 0] == pytest.approx(healthy.drop_rpm[0, 1])
    assert healthy.half_order_rpm[0] == pytest.approx(0, abs=1e-9)
    assert healthy.plug_look.tolist() == [["tan", "tan"]]


def test_healthy_at_rest() -> None:
    """Compression 9 to 12 bar, 10 kohm of cap and plug, a millimetre of slack (common practice)."""
    found = still.still(Bike())
    assert (found.compression_kpa > 900).all()
    assert (found.compression_kpa < 1250).all()
    assert found.resistance_ohm[0, 0] == pytest.approx(5_000, rel=0.01)
    assert 0.5 < found.slack_mm[0, 0] < 2.0
    assert (found.leak_down < 0.1).all()


def test_a_blip_falls_in_a_few_seconds() -> None:
    found = respond.fall(Bike(), Bike().share(spring_share=0.5))
    assert 1.0 < found.seconds[0] < 4.0
    assert found.seconds[1] > found.seconds[0]
    assert found.rests_rpm[0] == pytest.approx(steady.steady(Bike()).idle_rpm[0])


def test_warm_up() -> None:
    """The idle climbs as the oil thins; heads outrun the oil; ten minutes do not boil it."""
    log = warmup.warm_up(Bike(), Bike().mirrored())
    off = int(np.searchsorted(log.seconds, warmup.ENRICHER_FOR_S)) + 1
    assert (np.diff(log.rpm[off:, 0]) > -2).all()
    assert log.rpm[-1, 0] > log.rpm[off, 0] + 80
    assert log.excess[0, 0, 0] < 0.85 < log.excess[off, 0, 0]
    assert 90 < log.head_c[-1, 0, 0] < 180
    assert 40 < log.oil_c[-1, 0] < 90
    assert (log.head_c[1:, 0, 0] > log.oil_c[1:, 0]).all()
    assert np.allclose(log.rpm[:, 0], log.rpm[:, 1])


def test_heads_and_oil_level_off() -> None:
    """Idling in still air for an hour: hot, but each minute less so."""
    log = warmup.warm_up(Bike(), minutes=60)
    assert 140 < log.head_c[-1, 0, 0] < 260
    assert 80 < log.oil_c[-1, 0] < 140
    tenth = len(log.seconds) // 10
    rise = np.diff(log.head_c[::tenth, 0, 0])
    assert (np.diff(rise) < 1).all()
    assert rise[-1] < rise[0] / 8


def test_warm_up_keeps_its_heat_balance() -> None:
    """With no fuel to burn nothing warms above the air."""
    cold = warmup.warm_up(Bike().change(spark=0.0), minutes=5)
    assert (cold.rpm == 0).all()
    assert cold.head_c[-1].max() == pytest.approx(20, abs=5)
    assert cold.oil_c[-1, 0] < 20


def test_a_hanging_idle() -> None:
    """Late timing and a leak, the stops opened to make up for them: it hangs after a blip."""
    late = Bike().share(static_deg=-2.0)
    net = idle.balance(pack([late.change(joint_leak_mm2=4.0, stop_deg=s) for s in np.linspace(6.5, 8.5, 41).tolist()]))
    low, high = idle.follow(net, 900.0), idle.follow(net, 3500.0)
    assert (high >= low - 1e-9).all()
    hangs = high > low + 300
    assert hangs.any()
    assert (low[hangs] < 1600).all()
    assert respond.fall(Bike()).rests_rpm[0] == pytest.approx(steady.steady(Bike(), start=900.0).idle_rpm[0])


def test_an_idle_is_followed() -> None:
    """Two stable speeds: from below to the lower, from above to the upper; below the unstable one it stalls."""
    net = np.interp(idle.GRID, [380, 700, 1000, 1600, 2000, 2600, 6800], [-5, 2, -2, -1, 2, -3, -9])[None, :]
    low, high = idle.follow(net, 900.0)[0], idle.follow(net, 3500.0)[0]
    assert 700 < low < 1000
    assert 2000 < high < 2600
    assert idle.follow(net, 1700.0)[0] == pytest.approx(low)
    assert idle.follow(net, 1950.0)[0] == pytest.approx(high)
    assert np.isnan(idle.follow(net, 420.0)[0])


def test_the_grip_is_not_pulled_where_the_engine_is_faster_by_itself() -> None:
    fast, dead = steady.steady(Bike().change(stop_deg=30.0), Bike().change(spark=0.0)).held_grip_mm
    assert fast == 0
    assert np.isnan(dead)


def test_an_engine_that_only_gains_is_held_and_one_that_only_loses_stalls() -> None:
    net = np.ones((2, len(idle.GRID))) * np.array([[1.0], [-1.0]])
    found = idle.follow(net)
    assert found[0] == idle.GRID[-1]
    assert np.isnan(found[1])
