"""The whole engine at a given speed: air, fuel, combustion and torque balance. Shape (condition, side, speed)."""

from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import carburettor as carb
from advisor.virtual_bike import combustion, friction, table
from advisor.virtual_bike.atmosphere import ZERO_CELSIUS
from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array

NO_FUEL = 20.0  # cap on excess air
BACK_RESIDUAL = 3.0  # share of burnt gas gained per share of back pressure, through the overlap
EXHAUST_THROUGH_VALVE = 0.8  # mm2 of path into the tract for burnt gas, per mm2 of valve leak


@dataclass(frozen=True)
class Running:
    """The engine's state at one speed. Pressures in Pa, masses in kg per cycle, torques in N m, angles in degrees."""

    rpm: Array
    angle: Array
    opening: Array  # m2 effective, all paths into the tract
    lift: Array  # m, slide
    depression: Array
    swing: tuple[Array, Array]  # slopes of the depression (share) with the half-order speed swing
    residual: Array
    air: Array
    fuel: Array
    pilot: Array  # share of the fuel
    excess: Array  # air-fuel ratio over the stoichiometric one
    fire: combustion.Fire
    torque: Array  # each side's, less pumping
    friction: Array  # each side's
    net: Array  # (condition, speed): torque left to accelerate the engine


def _overlap(b: Batch) -> Array:
    """Return how much the mean valve clearance, hot, lengthens the overlap, degrees at either end."""
    less_inlet = E.inlet_clearance_mm - b["inlet_clearance_mm"]
    less_exhaust = E.exhaust_clearance_mm - b["exhaust_clearance_mm"]
    return np.asarray(E.lash_angle * (less_inlet + less_exhaust) / 2)


def _heating(b: Batch) -> Array:
    """Return the density of the charge after the warm port, as a share of that outside."""
    outside = b["air_c"] + ZERO_CELSIUS
    return np.asarray((outside / (outside + 0.10 * (b["head_c"] - 20))) ** 0.35)


def _back_pressure(b: Batch, air: Array, rpm: Array) -> Array:
    """Return the exhaust back pressure, Pa, of a cylinder's flow through its silencer."""
    flow = air * rpm / 120
    hot = E.reference_pressure / (E.gas_constant * 800.0)
    return np.asarray((flow / (E.exhaust_area * np.maximum(b["silencer_share"], 0.02))) ** 2 / (2 * hot))


def run(b: Batch, rpm: Array) -> Running:
    """Return the engine's state at these speeds (rpm, broadcast against condition, side, speed)."""
    way = carb.openings(b)
    d = carb.equilibrium(b, way, rpm)
    outside, overlap = b["pressure_pa"], _overlap(b)
    rho = outside / (E.gas_constant * (b["air_c"] + ZERO_CELSIUS))
    burnt = EXHAUST_THROUGH_VALVE * b["valve_leak_mm2"] * 1e-6 / d.whole
    burnt = np.clip(burnt, 0.0, 0.4) * np.clip(d.depression / 0.3, 0.0, 1.0)
    log_air = table.read("log_air", d.spot) + overlap * table.read("log_air_overlap", d.spot)
    air = np.exp(log_air) * rho * E.swept * _heating(b) * (1 - burnt)
    back = _back_pressure(b, air, rpm)
    residual = table.read("residual", d.spot) + overlap * table.read("residual_overlap", d.spot)
    residual = np.clip(residual * (1 + BACK_RESIDUAL * back / outside), 0.02, 0.6)
    residual = residual + burnt * (1 - residual)
    fuels = carb.fuel(b, way, d, air * rpm / 120)
    fuel = np.maximum(fuels.total * 120 / rpm, 1e-10)
    excess = np.minimum(air / (fuel * E.stoichiometric), NO_FUEL)
    fire = combustion.burn(b, air, excess, residual, rpm)
    pumping = table.read("pumping", d.spot) * outside + back
    torque = (fire.work - pumping * E.swept) / (4 * np.pi)
    rubbing = friction.engine_torque(b, rpm) + np.zeros_like(torque)
    net = (torque - rubbing).sum(1) - friction.driven(b, rpm)[:, 0]
    return Running(
        rpm=np.broadcast_to(rpm, torque.shape),
        angle=np.broadcast_to(way.angle, torque.shape),
        opening=d.whole,
        lift=d.slide,
        depression=(d.depression + overlap * table.read("depression_overlap", d.spot)) * outside,
        swing=(table.read("depression_cosine", d.spot), table.read("depression_sine", d.spot)),
        residual=residual,
        air=air,
        fuel=fuel,
        pilot=fuels.pilot * 120 / rpm / fuel,
        excess=excess,
        fire=fire,
        torque=torque,
        friction=rubbing,
        net=net,
    )
