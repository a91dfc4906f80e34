"""Every reading of the rule base that can be taken on the virtual bike: `FIGURES`, `take`; the bike's own `SHEET`.

Resolutions and scatter are those of the virtual bike's instruments, or judgement.
"""

import numpy as np

from advisor.errors import AdvisorError, nearest
from advisor.observer.bike_view import Pair, View
from advisor.observer.readings_running import RUNNING
from advisor.observer.senses_fire import timing
from advisor.observer.senses_parts import clips, levels
from advisor.observer.taken_reading import Reader, Taken, sided, whole
from advisor.virtual_bike.atmosphere import standard
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.instruments import INSTRUMENTS, Instrument

__all__ = ["FIGURES", "NOT_READ", "SHEET", "Taken", "take"]

FUEL_MM, FLOAT_G, FLOW_ML = 21.0, 6.0, 420.0  # on a healthy bike: depth of fuel, a float's weight, flow a minute
SUNK_G = 3.0  # of fuel in a float that has sunk for good
POINTS_MM, POINTS_WIDER_MM, DWELL_DEG, DWELL_LESS_DEG = 0.38, 0.25, 80.0, 22.0
PRIMARY_OHM, SECONDARY_KOHM, BROKEN_KOHM, SHORTED = 1.5, 12.0, 30.0, 0.6
FEED_V, REST_V, REST_LESS_V, CHARGE_V, CHARGE_LESS_V = 0.2, 12.7, 1.2, 14.1, 1.7
REACH_MM, OPENED_MM = 9.0, 7.0  # that a healthy coil's spark jumps in open air; to which a tester is opened
NOTCH, NOTCH_MM = 3.0, 0.9
FULL_DEG = ENGINE.static_advance + ENGINE.advance_span
# What the handbook of the virtual bike says, by the name of a figure of the rule base: lowest, highest, unit.
SHEET: dict[str, tuple[float, float, str]] = {
    "idle-speed": (1000.0, 1100.0, "rpm"),
    "timing-idle": (ENGINE.static_advance - 1, ENGINE.static_advance + 1, "deg"),
    "timing-full": (FULL_DEG - 1, FULL_DEG + 1, "deg"),
    "fuel-level": (FUEL_MM - 1, FUEL_MM + 1, "mm"),
    "float-weight": (FLOAT_G - 0.3, FLOAT_G + 0.3, "g"),
    "cable-slack": (0.5, 2.5, "mm"),
    "stop-turns": (1.0, 2.2, "turns"),
    "mixture-turns": (0.75, 1.25, "turns"),
    "needle-notch": (NOTCH, NOTCH, "notches"),
    "plug-gap": (0.6, 0.8, "mm"),
    "points-gap": (0.33, 0.43, "mm"),
}


def _coil(v: View) -> Pair:
    own, common = v.how_bad("coil-failing"), v.how_bad("coil-common-failing")
    return max(own[0], common[0]), max(own[1], common[1])


def _primary(v: View) -> Pair:
    left, right = (PRIMARY_OHM * (1 - SHORTED * bad) for bad in _coil(v))
    return left, right


def _secondary(v: View) -> Pair:
    left, right = (SECONDARY_KOHM + BROKEN_KOHM * bad for bad in _coil(v))
    return left, right


def _reach(v: View) -> Pair:
    b, common = v.bike, v.bike.coil_share
    left, right = (
        REACH_MM * min(s.coil_share * common, s.cap_share) / (1 + max(s.cap_ohm - 5000, 0) / 200e3)
        for s in (b.left, b.right)
    )
    # a tester is never opened further: what jumps that far is sound
    return min(left, OPENED_MM) if left > 1 else float("nan"), min(right, OPENED_MM) if right > 1 else float("nan")


def _late(v: View) -> Pair:
    left, right = timing(v, full=True)
    return FULL_DEG - left, FULL_DEG - right


def _flow(v: View) -> Pair:
    strained = v.how_bad("inlet-strainer-blocked")
    shares = v.bike.left.supply_share, v.bike.right.supply_share
    left, right = (FLOW_ML * (1.0 if bad else share) for share, bad in zip(shares, strained, strict=True))
    return left, right


def _weight(v: View) -> Pair:
    left, right = (FLOAT_G + SUNK_G * bad for bad in v.how_bad("float-sunk"))
    return left, right


def _fuel(v: View) -> Pair:
    left, right = levels(v)
    return FUEL_MM + left, FUEL_MM + right


def _notch(v: View) -> Pair:
    left, right = (NOTCH + mm / NOTCH_MM for mm in clips(v))
    return left, right


def _altitude(v: View) -> float:
    heights = np.arange(0.0, 5001.0, 50.0)
    return float(heights[np.argmin([abs(standard(h)[0] - v.bike.pressure_pa) for h in heights])])


def _rest(name: str, by: float = 1.0) -> Reader:
    def of(v: View) -> Pair:
        left, right = v.rest(name)
        return left * by, right * by

    known = INSTRUMENTS[name]
    unit = {"mm": "mm", "kpa": "bar", "down": "%", "ohm": "kohm", "turns": "turns"}[name.rsplit("_", 1)[-1]]
    return sided(unit, Instrument(known.noise * by, known.resolution * by, known.relative), of)


def _ohms(name: str) -> Reader:
    def of(v: View) -> Pair:
        return getattr(v.bike.left, name) / 1e3, getattr(v.bike.right, name) / 1e3

    return sided("kohm", Instrument(0.02, 0.1, 0.01), of)


def _slack(v: View) -> Pair:
    left, right = v.rest("slack_mm")
    return max(left, 0.0), max(right, 0.0)


def _stop_turns(v: View) -> Pair:
    left, right = v.rest("stop_deg")
    return left / ENGINE.stop_degree_turn, right / ENGINE.stop_degree_turn


GAP, BATTERY = "points-gap-wrong", "battery-or-charging-low"
ROUGH_MM, DEGREE = Instrument(0.5, 0.5), Instrument(0.7, 0.5)
VOLT = Instrument(0.05, 0.05)
FIGURES: dict[str, Reader] = RUNNING | {
    "fuel-level": sided("mm", ROUGH_MM, _fuel),
    "float-weight": sided("g", Instrument(0.1, 0.1), _weight),
    "fuel-flow": sided("ml/min", Instrument(10.0, 10.0, 0.04), _flow),
    "spark-reach": sided("mm", ROUGH_MM, _reach),
    "points-gap": whole("mm", Instrument(0.02, 0.01), lambda v: POINTS_MM + POINTS_WIDER_MM * v.how_bad(GAP)[0]),
    "points-dwell": whole("deg", Instrument(1.0, 1.0), lambda v: DWELL_DEG - DWELL_LESS_DEG * v.how_bad(GAP)[0]),
    "timing-idle": sided("deg", DEGREE, lambda v: timing(v, full=False)),
    "timing-full": sided("deg", DEGREE, lambda v: timing(v, full=True)),
    "timing-late": sided("deg", DEGREE, _late),
    "plug-gap": _rest("plug_gap_mm"),
    "cap-resistance": _ohms("cap_ohm"),
    "plug-resistance": _ohms("plug_ohm"),
    "plug-path-resistance": _rest("resistance_ohm", 1e-3),
    "coil-primary": sided("ohm", Instrument(0.05, 0.1), _primary),
    "coil-secondary": sided("kohm", Instrument(0.2, 0.1, 0.01), _secondary),
    "coil-feed-drop": whole("V", VOLT, lambda _: FEED_V),
    "battery-rest": whole("V", VOLT, lambda v: REST_V - REST_LESS_V * v.how_bad(BATTERY)[0]),
    "charging-volts": whole("V", VOLT, lambda v: CHARGE_V - CHARGE_LESS_V * v.how_bad(BATTERY)[0]),
    "clearance-inlet": _rest("inlet_clearance_mm"),
    "clearance-exhaust": _rest("exhaust_clearance_mm"),
    "compression": _rest("compression_kpa", 0.01),
    "leak-down": _rest("leak_down", 100.0),
    "stop-turns": sided("turns", Instrument(0.05, 0.125), _stop_turns),
    "mixture-turns": _rest("screw_turns"),
    "cable-slack": sided("mm", INSTRUMENTS["slack_mm"], _slack),
    "needle-notch": sided("notches", Instrument(0.0, 1.0), _notch),
    "altitude": whole("m", Instrument(20.0, 50.0), _altitude),
}
NOT_READ: dict[str, str] = {
    "rim-runout": "the model ends at the clutch and has no wheel",
    "rocker-end-float": "noise only; the model has no rockers",
}


def take(v: View, reading: str, rng: np.random.Generator) -> Taken:
    """Return this reading as it is taken on the bike; AdvisorError for one that cannot be taken there."""
    if reading in FIGURES:
        return FIGURES[reading](v, rng)
    why = NOT_READ.get(reading, f"no such reading{nearest(reading, FIGURES)}")
    message = f"{reading} cannot be read on the virtual bike: {why}"
    raise AdvisorError(message)
