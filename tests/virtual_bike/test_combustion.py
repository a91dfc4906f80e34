"""Spark, mixture and burnt gas: limits, best timing, what leaks."""

import numpy as np
import pytest

from advisor.virtual_bike import combustion, engine, exhaust, ignition
from advisor.virtual_bike.batch import Batch, pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.flow import Array


def one(value: float) -> Array:
    return np.asarray(value, float)


def packed(**parts: float) -> Batch:
    return pack([Bike().change(None, **parts)])


def missed(excess: float, residual: float = 0.08, energy: float = 1.0, rpm: float = 2500.0) -> float:
    return float(combustion.missed(one(excess), one(residual), one(energy), one(rpm)))


def test_mixture_limits() -> None:
    """Gasoline fires from about 0.5 to 1.5 of excess air (Heywood 1988, ch. 9 and 10, from memory)."""
    assert missed(0.9) < 0.01
    assert missed(1.3) < 0.05
    assert missed(1.7) > 0.9
    assert missed(0.38) > 0.9


def test_weak_sparks_and_burnt_gas_narrow_the_limits() -> None:
    assert missed(1.38, energy=0.2) > missed(1.38) + 0.1
    assert missed(1.38, residual=0.2) > missed(1.38) + 0.1
    assert missed(0.53, energy=0.2) > missed(0.53)
    assert missed(0.9, residual=0.16, rpm=900.0) > missed(0.9, residual=0.16, rpm=2500.0) + 0.05


def test_best_timing() -> None:
    """Earlier for speed, burnt gas and lean mixtures; 20 to 45 degrees (Heywood 1988, ch. 9, from memory)."""
    base = combustion.best_advance(one(0.95), one(0.06), one(3000.0))
    assert 20 < base < 45
    assert combustion.best_advance(one(0.95), one(0.06), one(5000.0)) > base
    assert combustion.best_advance(one(0.95), one(0.12), one(3000.0)) > base
    assert combustion.best_advance(one(1.2), one(0.06), one(3000.0)) > base


def test_most_torque_at_best_timing() -> None:
    rpm = np.full((1, 1, 1), 3500.0)
    work = [engine.run(pack([Bike().share(static_deg=d, grip_mm=20.0)]), rpm).net[0, 0] for d in (-12.0, 6.0, 24.0)]
    assert work[1] > work[0]
    assert work[1] > work[2]


def test_weak_springs_advance_sooner() -> None:
    usual, weak = (float(ignition.advance(pack([Bike().share(spring_share=s)]), one(1400.0)).flat[0]) for s in (1, 0.5))
    assert usual == 8.0
    assert weak > 12


def test_wide_gaps_miss_under_load_first() -> None:
    """The voltage a gap asks for grows with the charge (Paschen): a weak coil misses under load, not at idle."""
    weak = packed(plug_gap_mm=1.2, coil_share=0.65)
    assert ignition.passes(weak, one(0.3)).min() > 0.95
    assert ignition.passes(weak, one(0.9)).max() < 0.6
    assert ignition.passes(packed(spark=0.0), one(0.3)).max() == 0


def test_series_resistance_saps_the_spark() -> None:
    """5 kohm in the cap and next to none in the plug are 5 in all (Ohm's law), as usual; 60 more halve the energy."""
    assert ignition.resistance(packed()).flat[0] == pytest.approx(5_000, abs=5)
    assert ignition.energy(packed()).flat[0] == pytest.approx(1.0)
    assert ignition.energy(packed(cap_ohm=65_000.0)).flat[0] == pytest.approx(0.5)


def test_leaks_matter_less_the_faster_it_turns() -> None:
    slow, fast = (combustion.sealing(packed(ring_leak_mm2=1.0), one(rpm)).flat[0] for rpm in (1000.0, 5000.0))
    assert slow < fast < 1
    assert combustion.sealing(packed(), one(1000.0)).flat[0] == 1


def test_a_tight_valve_is_held_open_once_hot() -> None:
    assert combustion.held_open(packed(exhaust_clearance_mm=0.05, head_c=20.0)).flat[0] == 0
    assert combustion.held_open(packed(exhaust_clearance_mm=0.05, head_c=150.0)).flat[0] > 1


def test_a_leaking_valve_lets_burnt_gas_into_the_tract() -> None:
    r = engine.run(pack([Bike(), Bike().change("left", valve_leak_mm2=0.8)]), np.full((1, 1, 1), 1000.0))
    assert r.residual[1, 0, 0] > r.residual[0, 0, 0] + 0.02
    assert r.air[1, 0, 0] < r.air[0, 0, 0]
    assert r.air[1, 1, 0] == r.air[0, 1, 0]


def test_a_blocked_silencer_costs_torque_at_speed() -> None:
    open_, shut = (
        engine.run(pack([Bike().share(grip_mm=32.0).change(silencer_share=s)]), np.full((1, 1, 1), 5500.0)).net[0, 0]
        for s in (1.0, 0.25)
    )
    assert shut < 0.97 * open_


def test_an_exhaust_leak_fools_the_probe_only() -> None:
    b = pack([Bike().change("left", exhaust_leak=0.3)])
    r = engine.run(b, np.full((1, 1, 1), 1000.0))
    assert r.excess[0, 0, 0] == r.excess[0, 1, 0]
    assert exhaust.probed(b, r)[0, 0, 0] > exhaust.probed(b, r)[0, 1, 0] + 0.1


def test_rich_mixtures_waste_heat() -> None:
    """What the oxygen cannot burn stays in the fuel: at 0.8 about a quarter (Heywood 1988, ch. 4, from memory)."""
    assert float(exhaust.heat_released(one(1.1))) == pytest.approx(0.97)
    assert 0.68 < float(exhaust.heat_released(one(0.8))) < 0.8


def test_plug_looks() -> None:
    healthy = packed()
    looks = [str(exhaust.plug_look(healthy, one(x), one(1.0)).flat[0]) for x in (0.7, 0.84, 0.95, 1.1, 1.3)]
    assert looks == ["black", "dark", "tan", "pale", "white"]
    assert exhaust.plug_look(healthy, one(0.95), one(0.2)).flat[0] == "wet"
    assert exhaust.plug_look(packed(ring_leak_mm2=2.0), one(0.95), one(1.0)).flat[0] == "oily"
