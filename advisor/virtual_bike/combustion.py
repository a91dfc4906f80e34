"""From mixture, residual gas and spark to work: torque against excess air, misfire, timing, heat to the exhaust."""

from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import ignition
from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array

# Torque against excess air, as a share of the maximum (Heywood 1988, ch. 15, from memory).
EXCESS = (0.45, 0.55, 0.62, 0.70, 0.80, 0.88, 0.95, 1.0, 1.1, 1.2, 1.3, 1.45, 1.7)
TORQUE = (0.45, 0.70, 0.83, 0.925, 0.985, 1.0, 0.985, 0.96, 0.885, 0.80, 0.70, 0.52, 0.2)
LEAN_LIMIT, RICH_LIMIT = 1.48, 0.50  # excess air at which half the cycles misfire, with a full spark
WIDTH_LEAN, WIDTH_RICH = 0.035, 0.03
# With little turbulence, at idle, a lean flame is slow: misfires begin sooner and rise less sharply (Heywood 1988,
# ch. 9, from memory; how much is judgement).
CALM_LIMIT, CALM_WIDTH = 0.08, 0.045
USUAL_RESIDUAL = 0.10
TIMING_CURVE = 2.7e-4  # share of torque lost per square degree off the best timing
WALL_CHARGE = 150e-6  # kg per cycle above which most of the heat no longer goes to the walls
WALL_SHARE = 0.85
COLD_VAPOUR, VAPOUR_SPAN = 0.72, 70.0  # share of fuel that evaporates at 10 degrees, degrees until all does
FULL_CHARGE = E.reference_pressure / (E.gas_constant * E.reference_temperature) * E.swept  # kg


@dataclass(frozen=True)
class Fire:
    """How the charge burns; `excess` is excess air at the flame, `burn` the share of cycles, `work` in J per cycle."""

    excess: Array
    burn: Array
    advance: Array
    best: Array
    work: Array


def vapour(head_c: Array) -> Array:
    """Return the share of fuel that reaches the flame as vapour at a head temperature (degrees Celsius)."""
    return np.asarray(np.clip(COLD_VAPOUR + (1 - COLD_VAPOUR) * (head_c - 10) / VAPOUR_SPAN, 0.65, 1.0))


def _logistic(value: Array) -> Array:
    return np.asarray(1 / (1 + np.exp(-np.clip(value, -40, 40))))


def missed(excess: Array, residual: Array, energy: Array, rpm: Array) -> Array:
    """Return the share of work lost to misfires and partial burns (0 to 1)."""
    weak = np.log(energy)
    calm = np.clip(2 - rpm / 1000, 0, 1)
    lean = LEAN_LIMIT - CALM_LIMIT * calm - 1.3 * np.maximum(residual - USUAL_RESIDUAL, 0) + 0.10 * weak
    rich = RICH_LIMIT - 0.03 * weak
    lost = _logistic((excess - lean) / (WIDTH_LEAN + CALM_WIDTH * calm)) + _logistic((rich - excess) / WIDTH_RICH)
    # partial burns at idle: much burnt gas, a weak spark or little turbulence
    slow = np.clip(6.0 * (residual - USUAL_RESIDUAL - 0.01 - 0.02 * weak), 0.0, 0.45) * calm
    dying = _logistic((0.12 - energy) / 0.03)
    return np.asarray(np.clip(lost + slow + 0.9 * dying, 0.0, 1.0))


def best_advance(excess: Array, residual: Array, rpm: Array) -> Array:
    """Return the timing for best torque, degrees before top dead centre (Heywood 1988, ch. 9 and 15, from memory)."""
    thousand = rpm / 1000
    speed = 15 + 11 * np.minimum(thousand, 1.3) + 2.2 * np.maximum(thousand - 1.3, 0)
    slow = 110 * np.maximum(residual - 0.05, 0) * np.clip(1.6 - rpm / 2500, 0.3, 1.2)
    return np.asarray(np.clip(speed + slow + 22 * np.maximum(excess - 1.0, 0), 14.0, 52.0))


def sealing(b: Batch, rpm: Array) -> Array:
    """Return the share of a charge's work that is left after leaks past valves and rings.

    A choked leak from some 80 cc while the pressure is high (some 120 degrees).
    """
    area = (b["valve_leak_mm2"] + b["ring_leak_mm2"] + b["plug_leak_mm2"] + held_open(b)) * 1e-6
    rate = area * 0.685 * np.sqrt(E.gas_constant * E.gas_exchange_temperature) / 80e-6
    return np.asarray(np.exp(-rate * 20.0 / rpm))


def held_open(b: Batch) -> Array:
    """Return the leak, mm2, of valves held open: no clearance left at this head temperature (degrees Celsius)."""
    growth = E.valve_growth_mm * np.clip((b["head_c"] - 20) / 130, 0, 1.5)
    return np.asarray(40.0 * sum(np.maximum(growth - b[f"{valve}_clearance_mm"], 0) for valve in ("inlet", "exhaust")))


def burn(b: Batch, charge: Array, excess: Array, residual: Array, rpm: Array) -> Fire:
    """Return how a charge burns: kg of air per cycle, excess air as delivered, burnt gas share before combustion."""
    seen = np.clip(excess / vapour(b["head_c"]), 0.3, 5.0)
    full = charge / FULL_CHARGE
    fired = (1 - missed(seen, residual, ignition.energy(b), rpm)) * ignition.passes(b, full)
    best, when = best_advance(seen, residual, rpm), ignition.advance(b, rpm)
    timing = np.clip(1 - TIMING_CURVE * (best - when) ** 2, 0.2, 1.0)
    walls = 1 - WALL_SHARE * np.exp(-charge / WALL_CHARGE)
    heat = charge / E.stoichiometric * E.heating_value * b["fuel_share"]
    work = E.burn_efficiency * heat * np.interp(seen, EXCESS, TORQUE) * timing * fired * walls * sealing(b, rpm)
    return Fire(seen, fired, when, best, work)
