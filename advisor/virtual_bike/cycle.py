"""Filling and emptying of one cylinder and its tract over a whole cycle, for many openings and speeds at once.

The tract is isothermal (its walls are warm and large for its volume), the cylinder adiabatic while it fills. The flow
in a step never exceeds the mass that would equalise the pressures (Heywood 1988, ch. 14, from memory). Angles
count from the top dead centre between exhaust and inlet. Pressures are for the reference atmosphere.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import GAMMA, Array, gas_flow
from advisor.virtual_bike.geometry import cylinder_volume, valve_area

P0, T0, R, VM = E.reference_pressure, E.reference_temperature, E.gas_constant, E.tract_volume
TR = E.gas_exchange_temperature
LEAST = 1e3  # Pa, lower bound of cylinder pressure
SMALL_UNTIL = 75.0  # degrees up to which one step changes the cylinder volume by a large share
CLOSED_STEP = 8.0  # degrees while only the tract refills
TINY = 1e-15  # kg
SAME = 1e-6  # Pa


@dataclass
class Charge:
    """Running sums of one cycle: kg, joules, pascal seconds."""

    tract: Array
    cylinder: Array
    mass: Array
    burnt: Array
    air: Array
    inducted: Array
    seconds: Array
    depression: Array
    root: Array
    pumping: Array
    energy: Array = field(default_factory=lambda: np.zeros(()))
    work: Array = field(default_factory=lambda: np.zeros(()))


@dataclass(frozen=True)
class Variant:
    """Parameters of a solution: overlap (degrees at either end), speed swing at half order (share of mean)."""

    overlap: Array | float = 0.0
    cosine: Array | float = 0.0
    sine: Array | float = 0.0


def _limited(raw: Array, equalising: Array) -> Array:
    """Return the mass that flows in a step; `raw` is the mass at the initial pressures.

    Near equilibrium the flow goes with the root of what is left to equalise, so it is reached in finite time.
    """
    share = np.minimum(raw / equalising, 2.0)
    return np.asarray(equalising * (share - share**2 / 4))


def _through_throttle(area: Array, tract: Array, dt: Array) -> Array:
    """Return the mass, kg, that enters the tract from outside in `dt`; negative for blow-back."""
    high, low = np.maximum(tract, P0), np.minimum(tract, P0)
    raw = gas_flow(area, high, low, T0) * dt + TINY
    return np.asarray(np.sign(P0 - tract) * _limited(raw, np.abs(P0 - tract) * VM / (R * T0) + TINY))


def _through_valve(charge: Charge, area: Array, volume: float, dt: Array) -> tuple[Array, Array]:
    """Return mass (kg) and enthalpy over cp (kg K) that pass the inlet valve into the cylinder in `dt`."""
    warm = charge.cylinder * volume / (charge.mass * R)
    inward = charge.tract > charge.cylinder
    source = np.where(inward, T0, warm)
    high, low = np.maximum(charge.tract, charge.cylinder), np.minimum(charge.tract, charge.cylinder)
    raw = gas_flow(area, high, low, source) * dt + TINY
    equal = (high - low) / (R * T0 * (1 / VM + GAMMA / volume)) + TINY
    mass = np.where(inward, 1.0, -1.0) * _limited(raw, equal)
    return mass, np.asarray(mass * source)


def _through_exhaust(charge: Charge, area: Array, volume: float, dt: Array) -> tuple[Array, Array]:
    warm = charge.cylinder * volume / (charge.mass * R)
    inward = charge.cylinder < P0
    source = np.where(inward, TR, warm)
    high, low = np.maximum(P0, charge.cylinder), np.minimum(P0, charge.cylinder)
    raw = gas_flow(area, high, low, source) * dt + TINY
    mass = np.where(inward, 1.0, -1.0) * _limited(raw, (high - low) / (GAMMA * R * source) * volume + TINY)
    return mass, np.asarray(mass * source)


def _expand(charge: Charge, before: float, after: float) -> Array:
    """Change the closed cylinder's volume (m3) without heat; return the work done on the piston, J."""
    pressure = charge.cylinder * (before / after) ** GAMMA
    work = (charge.cylinder * before - pressure * after) / (GAMMA - 1)
    charge.cylinder = pressure
    return np.asarray(work)


def _fill(charge: Charge, angle: float, step: float, dt: Array, variant: Variant) -> Array:
    """Advance the cylinder by one step: half the piston movement, the flows, the other half.

    Return the mass, kg, that left the tract.
    """
    before, after = float(cylinder_volume(angle)), float(cylinder_volume(angle + step))
    middle, centre = (before + after) / 2, angle + step / 2
    done = _expand(charge, before, middle)
    inlet = valve_area(centre, E.inlet_opens - variant.overlap, E.inlet_closes, (E.inlet_diameter, E.inlet_lift))
    mass, heat = _through_valve(charge, inlet, middle, dt)
    closes = E.exhaust_closes + variant.overlap
    if centre < np.max(closes):
        size = (E.exhaust_diameter, E.exhaust_lift)
        back, hot = _through_exhaust(charge, valve_area(centre, E.exhaust_opens, closes, size), middle, dt)
        charge.burnt, charge.mass, heat = charge.burnt + back, charge.mass + back, heat + hot
    charge.cylinder = np.maximum(charge.cylinder + GAMMA * R * heat / middle, LEAST)
    charge.mass = charge.mass + mass
    done = done + _expand(charge, middle, after)
    charge.energy = charge.energy + heat * R * GAMMA / (GAMMA - 1)
    charge.work = charge.work + done
    on_stroke = max(min(angle + step, 180.0) - max(angle, 0.0), 0.0) / step
    charge.pumping = charge.pumping + on_stroke * (P0 * (after - before) - done)
    return mass


def _steps(step: float, earliest: float) -> Iterator[tuple[float, float]]:
    """Yield start and width of each step: finest while the cylinder is small, coarse while only the tract refills."""
    legs = ((earliest, SMALL_UNTIL, step / 2), (SMALL_UNTIL, E.inlet_closes, step * 4 / 3))
    for start, end, wanted in (*legs, (E.inlet_closes, earliest + 720.0, max(CLOSED_STEP, step))):
        count = math.ceil((end - start) / wanted)
        width = (end - start) / count
        yield from ((start + i * width, width) for i in range(count))


def run_cycle(area: Array, rpm: Array, tract: Array, step: float, variant: Variant | None = None) -> Charge:
    """Return the sums of one cycle that starts at this tract pressure (Pa) as the inlet valve opens.

    `area` is the effective opening from outside into the tract (m2), `step` the width of a step (degrees).
    """
    variant = variant or Variant()
    start = E.inlet_opens - float(np.max(variant.overlap))
    none = np.zeros(np.broadcast_shapes(area.shape, rpm.shape, tract.shape))
    burnt = none + P0 * float(cylinder_volume(start)) / (R * TR)
    charge = Charge(tract + none, none + P0, burnt, burnt, none, none, none, none, none, none, none, none)
    for angle, width in _steps(step, start):
        half = np.radians(angle + width / 2) / 2
        # counted from the cylinder's own firing dead centre, one turn earlier, both waves change sign
        swing = 1 - variant.cosine * np.cos(half) - variant.sine * np.sin(half)
        dt = width / (6 * rpm * swing)
        entered = _through_throttle(area, charge.tract, dt)
        left = _fill(charge, angle, width, dt, variant) if angle < E.inlet_closes - 1e-9 else np.zeros(())
        charge.tract = charge.tract + (entered - left) * R * T0 / VM
        charge.air, charge.inducted = charge.air + entered, charge.inducted + left
        under = P0 - charge.tract
        charge.seconds = charge.seconds + dt
        charge.depression = charge.depression + under * dt
        charge.root = charge.root + np.sqrt(np.maximum(under, 0.0)) * dt
    return charge


def settled(area: Array, rpm: Array, step: float = 1.5, cycles: int = 7, variant: Variant | None = None) -> Charge:
    """Return the cycle that ends as it began: tract pressure by the secant method on whole cycles."""
    shape = np.broadcast_shapes(area.shape, rpm.shape, np.shape((variant or Variant()).overlap))
    first = np.full(shape, 0.9 * P0)
    charge = run_cycle(area, rpm, first, step, variant)
    start = charge.tract
    last, last_end = first, charge.tract
    for _ in range(cycles - 1):
        charge = run_cycle(area, rpm, start, step, variant)
        apart = start - last
        slope = np.where(np.abs(apart) > SAME, (charge.tract - last_end) / np.where(apart == 0, 1.0, apart), 0.0)
        last, last_end = start, charge.tract
        start = np.clip(start + (charge.tract - start) / (1 - np.clip(slope, -0.9, 0.97)), 0.02 * P0, 1.1 * P0)
    return charge
