"""One constant-velocity carburettor per side: openings, slide position, and the fuel from each circuit.

The slide's mean-value equilibrium and the circuits follow SAE 900616 (from memory). All areas are effective, m2.
Arrays have the shape (condition, side, speed).
"""

from dataclasses import dataclass

import numpy as np

from advisor.quantities import GRAVITY
from advisor.virtual_bike import table
from advisor.virtual_bike.atmosphere import ZERO_CELSIUS
from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array, liquid_flow, series
from advisor.virtual_bike.needle import annulus

MM2 = 1e-6
HALVINGS = 10
PILOT_JET = E.jet_discharge * np.pi / 4 * E.pilot_jet**2
MAIN_JET = E.jet_discharge * np.pi / 4 * E.main_jet**2
ENRICHER_JET = E.jet_discharge * np.pi / 4 * E.enricher_jet**2
HOT_HEAD_C, COLD_HEAD_C = 150.0, 20.0
GUIDE_LEAK = 3.0  # mm2 effective per mm of inlet guide wear
FLOOD_MM = 6.0  # rise of the level when the float valve leaks as much as the engine draws
VENT_AIR = 1.2  # kg/m3
UNBLED, HALF_BLED_PA = 0.45, 800.0  # fuel gained by a main circuit without bleed air, at a strong signal
LEAST_DUTY = 0.12  # share of the cycle in which a pulsing circuit flows


@dataclass(frozen=True)
class Openings:
    """Air paths into one tract, m2 effective; `angle` in degrees of plate above closed."""

    angle: Array
    plate: Array
    leak: Array
    outlet: Array
    enricher: Array

    @property
    def beside(self) -> Array:
        """All air that bypasses the plate."""
        return self.leak + self.outlet + self.enricher


@dataclass(frozen=True)
class Draught:
    """The tract, in shares of outside pressure: `before` (slide and filter) and `whole`; `slide` is its lift in m."""

    slide: Array
    plate: Array
    before: Array
    whole: Array
    spot: table.Spot
    depression: Array
    pulsing: Array


def plate_area(angle: Array) -> Array:
    """Return the butterfly's effective area, m2, this many degrees above closed (Heywood 1988, ch. 7, from memory)."""
    turned = np.radians(E.closed_angle + np.clip(angle, 0.0, 90.0 - E.closed_angle))
    bare = np.pi / 4 * E.butterfly**2 * (1 - np.cos(turned) / np.cos(np.radians(E.closed_angle)))
    return np.asarray(E.closed_leak + E.butterfly_discharge * bare)


def plate_angle(b: Batch) -> Array:
    """Return the plate's degrees above closed: from the stop, or from the cable if that pulls further."""
    pull = np.maximum(b["grip_mm"], b["sticks_mm"]) - b["adjuster_mm"] - b["pull_lost_mm"]
    return np.asarray(np.maximum(b["stop_deg"], pull / E.lever_mm_per_degree))


def openings(b: Batch) -> Openings:
    """Return every air path into the tracts for the settings and leaks of the batch."""
    angle = plate_angle(b)
    worn = np.maximum(b["spindle_mm"] - E.spindle_clearance_mm, 0.0)
    plate = plate_area(angle) + E.plate_gap_leak * b["plate_gap_mm"]
    warmth = np.clip((b["head_c"] - COLD_HEAD_C) / (HOT_HEAD_C - COLD_HEAD_C), 0.0, 1.5)
    leak = np.where(b["sealed"] > 0, 0.0, b["joint_leak_mm2"] + b["port_leak_mm2"]) + b["crack_mm2"] * (
        0.4 + 0.6 * warmth
    )
    # a worn spindle draws outside air past its ends into the low pressure behind the plate, not past the slide
    leak = (leak + GUIDE_LEAK * b["guide_mm"] + b["screw_leak_mm2"]) * MM2 + E.spindle_leak * worn
    uncovered = np.clip((angle - E.progression_starts) / E.progression_span, 0.0, 1.0)
    turns = np.clip(b["screw_turns"] + b["screw_seat_turns"], 0.0, 5.0) / E.screw_turns
    outlet = E.pilot_outlet * (1 - E.screw_share + E.screw_share * turns)
    outlet = outlet + E.progression * b["progression_share"] * uncovered
    return Openings(angle, plate, leak, outlet, E.enricher_air * enricher_open(b))


def enricher_open(b: Batch) -> Array:
    """Return how far the enrichers are open, 0 to 1."""
    return np.asarray(np.maximum(b["enricher"] * b["enricher_works"], b["enricher_leak"]))


def _draught(b: Batch, way: Openings, slide: Array, rpm: Array, names: tuple[str, ...]) -> tuple[Array, ...]:
    before = series(E.slide_base + E.slide_width * slide, E.filter_area * b["filter_share"])
    plate = series(before, way.plate)
    spot = table.locate(plate + way.beside, rpm)
    return (before, plate, *(table.read(name, spot) for name in names))


def equilibrium(b: Batch, way: Openings, rpm: Array) -> Draught:
    """Return where the slides float, by bisection: lift force against weight, spring and friction (SAE 900616)."""
    low = np.zeros(np.broadcast_shapes(way.plate.shape, rpm.shape))
    high = low + E.slide_lift
    signal = 1 / (1 + (b["diaphragm_hole_mm2"] / E.signal_hole_mm2) ** 2)
    force = signal * b["pressure_pa"] * E.diaphragm_area
    held = E.slide_mass * GRAVITY + E.slide_preload + b["slide_drag_n"]
    reduced = rpm * np.sqrt(E.reference_temperature / (b["air_c"] + ZERO_CELSIUS))
    for _ in range(HALVINGS):
        lift = (low + high) / 2
        throat = E.slide_base + E.slide_width * lift
        _, plate, depression = _draught(b, way, lift, reduced, ("depression",))
        up = force * depression * (plate / throat) ** 2 > held + E.slide_rate * lift
        low, high = np.where(up, lift, low), np.where(up, high, lift)
    lift = np.where(low > 0, (low + high) / 2, 0.0)
    lift = np.maximum(lift, np.minimum(b["slide_hung_mm"] * 1e-3, E.slide_lift))
    before, plate, depression, root = _draught(b, way, lift, reduced, ("depression", "root"))
    spot = table.locate(plate + way.beside, reduced)
    return Draught(lift, plate, before, plate + way.beside, spot, depression, root)


def pulsed(mean: Array, root: Array) -> tuple[Array, Array]:
    """Return the share of time in which a pulsing pressure drop acts, and its height, from its two moments.

    A drop that is on for a share d of the time at a height h has mean d h and mean root d sqrt(h).
    """
    duty = np.clip(root**2 / np.maximum(mean, 1e-3), LEAST_DUTY, 1.0)
    return duty, mean / duty


@dataclass(frozen=True)
class Fuel:
    """Fuel of each circuit, kg/s per side."""

    pilot: Array
    main: Array
    enricher: Array
    spray: Array

    @property
    def total(self) -> Array:
        """All of it."""
        return self.pilot + self.main + self.enricher + self.spray


def _unbled(b: Batch, signal: Array) -> Array:
    """Return how much more the main circuit gives without its bleed air, which holds it back as flow grows."""
    pull = np.maximum(signal, 0.0)
    return np.asarray(1 + UNBLED * (1 - b["main_air_share"]) * pull / (pull + HALF_BLED_PA))


def _circuits(b: Batch, way: Openings, d: Draught, air: Array, lost: Array) -> Fuel:
    """Return the fuel with `lost` (Pa) of head to the float's level and the bowl's vent; `air` is kg/s."""
    outside = b["pressure_pa"]
    head = E.fuel_density * GRAVITY * (E.fuel_head - 1e-3 * b["float_mm"]) + lost
    duty, drop = pulsed(d.depression * outside, d.pulsing * np.sqrt(outside))
    bleed = E.pilot_air * b["pilot_air_share"] + b["screw_leak_mm2"] * MM2
    share = way.outlet**2 / (way.outlet**2 + bleed**2)
    pilot = liquid_flow(PILOT_JET * b["pilot_share"] * duty, share * drop - head)
    rich = liquid_flow(ENRICHER_JET * enricher_open(b) * duty, 0.05 * drop - head)
    # behind the butterfly the flow past the slide pulses like the drop in the tract: on for the same share of the time
    rho = outside / (E.gas_constant * (b["air_c"] + ZERO_CELSIUS))
    drop = (air * d.plate / d.whole / d.before / duty) ** 2 / (2 * rho)
    # the filter's loss acts on the main circuit in full; that of the throat is boosted at the needle jet
    filter_ = np.clip((d.before / (E.filter_area * b["filter_share"])) ** 2, 0.0, 1.0)
    signal = drop * (E.spray_boost * (1 - filter_) + filter_)
    ring = (annulus(d.slide + 1e-3 * b["needle_mm"]) + E.annulus_per_mm * b["needle_wear_mm"]) * b["needle_jet_share"]
    main = liquid_flow(series(ring, MAIN_JET * b["main_share"]) * duty, signal - head) * _unbled(b, signal)
    spray = np.where((b["sprayed"] > 0) & (b["sealed"] == 0), 0.10, 0.0) * b["joint_leak_mm2"] * MM2 / d.whole * air
    return Fuel(pilot, main, rich, spray)


def supply(b: Batch) -> Array:
    """Return the fuel, kg/s, that can reach each bowl with its float valve wide open.

    An unvented tank gives less the longer the bike is ridden, down to what vapour makes up for.
    """
    sealed = np.clip(1 - b["tank_vent_share"], 0.0, 1.0) * np.clip(b["ridden_min"] / E.tank_minutes, 0.0, 1.0)
    return np.asarray(E.supply_flow * np.maximum(b["supply_share"], 1e-3) * (1 - (1 - E.tank_least) * sealed))


def fuel(b: Batch, way: Openings, d: Draught, air: Array) -> Fuel:
    """Return each circuit's fuel, kg/s; `air` is the air into the tract, kg/s.

    The level falls with the flow through the float valve, and a narrow vent lets the bowl's pressure fall with it.
    If the jets draw more than the supply gives, the bowl runs low until they draw no more than that.
    """
    first = _circuits(b, way, d, air, np.zeros(()))
    leak, most = b["valve_leak_mg_s"] * 1e-6, supply(b)
    droop = E.valve_droop_mm * np.clip(np.maximum(first.total - leak, 0.0) / most, 0.0, 1.0)
    raised = FLOOD_MM * np.clip(leak / np.maximum(first.total, 1e-9), 0.0, 1.5)
    lost = E.fuel_density * GRAVITY * 1e-3 * (droop - raised)
    vent = np.maximum(b["vent_share"], 1e-4) * E.vent_area
    lost = lost + 0.5 * VENT_AIR * (first.total / E.fuel_density / vent) ** 2
    given = _circuits(b, way, d, air, lost)
    share = np.minimum(1.0, most / np.maximum(given.total - given.spray, 1e-12))
    return Fuel(given.pilot * share, given.main * share, given.enricher * share, given.spray)
