"""True values of what can be measured with the engine stopped, as pairs (left, right)."""

from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import ignition
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.combustion import held_open
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.geometry import cylinder_volume

CRANKING_EXPONENT = 1.25  # polytropic, including heat lost to the walls at cranking speed
CRANKING_FILL = 0.95  # with the throttle open
LEAK_TIME = 12.0 / E.cranking_rpm  # s of high pressure in one turn
OIL_SEALS = 0.7  # share of a ring leak that a spoonful of oil seals
TESTER_JET = 1.5  # mm2 effective, of the leak-down tester


@dataclass(frozen=True)
class Still:
    """Arrays (bike, side). Pressures in kPa above outside, lengths in mm, resistance in ohm, angles in degrees."""

    compression_kpa: Array
    compression_oiled_kpa: Array
    leak_down: Array  # share of the tester's pressure lost
    resistance_ohm: Array  # cap, lead and plug together
    cap_ohm: Array
    float_mm: Array  # level above standard
    slack_mm: Array  # cable slack with the grip closed; below 0 the cable holds the plate off its stop
    stop_deg: Array
    screw_turns: Array
    inlet_clearance_mm: Array  # cold
    exhaust_clearance_mm: Array
    plug_gap_mm: Array
    diaphragm_hole_mm2: Array
    spindle_mm: Array
    static_deg: Array  # timing of each side, with the engine at idle


def cranked(outside: Array, leak: Array) -> Array:
    """Return the compression gauge's pressure, kPa above outside, for a leak (mm2 effective) and outside air (Pa)."""
    ratio = float(cylinder_volume(E.inlet_closes)) / E.clearance_volume
    peak = CRANKING_FILL * outside * ratio**CRANKING_EXPONENT
    lost = leak * 1e-6 * 0.685 * np.sqrt(E.gas_constant * 500.0) / 80e-6 * LEAK_TIME
    return np.asarray((np.maximum(peak * np.exp(-lost), outside) - outside) / 1e3)


def still(*bikes: Bike) -> Still:
    """Return what can be measured on these bikes with the engine stopped."""
    b = {name: value[:, :, 0] for name, value in pack(bikes).items()}
    valves = b["valve_leak_mm2"] + b["plug_leak_mm2"] + held_open(b)
    leak = valves + b["ring_leak_mm2"]
    return Still(
        compression_kpa=cranked(b["pressure_pa"], leak),
        compression_oiled_kpa=cranked(b["pressure_pa"], valves + b["ring_leak_mm2"] * (1 - OIL_SEALS)),
        leak_down=0.05 + 0.95 * leak**2 / (leak**2 + TESTER_JET**2),
        resistance_ohm=ignition.resistance(b),
        cap_ohm=b["cap_ohm"],
        float_mm=b["float_mm"],
        slack_mm=b["adjuster_mm"]
        + E.lever_mm_per_degree * b["stop_deg"]
        - b["sticks_mm"]
        + np.minimum(b["pull_lost_mm"], 0.0),
        stop_deg=b["stop_deg"],
        screw_turns=b["screw_turns"],
        inlet_clearance_mm=b["inlet_clearance_mm"],
        exhaust_clearance_mm=b["exhaust_clearance_mm"],
        plug_gap_mm=b["plug_gap_mm"],
        diaphragm_hole_mm2=b["diaphragm_hole_mm2"],
        spindle_mm=b["spindle_mm"],
        static_deg=b["static_deg"] + b["timing_deg"],
    )
