"""What is found in ignition, valves and cylinders."""

import numpy as np

from advisor.observer.bike_view import Pair, Seen, View
from advisor.observer.senses_balance import Sense, above, below, less
from advisor.observer.severity import gone, moved
from advisor.observer.thresholds import FOUND as F
from advisor.observer.thresholds import NOTICED as N
from advisor.virtual_bike import ignition
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import SideState
from advisor.virtual_bike.constants import ENGINE

STILL = SideState()
FAINT = 0.3  # share of the usual in which a pair of plugs still sparks in the open


def timing(v: View, full: bool) -> Pair:
    """Return the timing of either lead by the strobe, degrees before top dead centre, at idle or fully advanced."""
    found = ignition.advance(pack([v.bike]), np.array([[[4500.0 if full else v.one("idle_rpm")]]]))[0, :, 0]
    return float(found[0]), float(found[1])


def spark(v: View) -> Pair:
    """Return the energy of the spark on a tester at each lead, as a share of a healthy one's; plugs do not count."""
    found = ignition.energy(
        pack([v.bike.change(plug_fouling=0.0, plug_gap_mm=STILL.plug_gap_mm, plug_ohm=STILL.plug_ohm)])
    )[0, :, 0]
    return float(found[0]), float(found[1])


def _weak(v: View) -> Seen:
    left, right = (N.no_spark < value < N.weak_spark for value in spark(v))
    return left, right


def _ends_off(v: View) -> tuple[Seen, Seen]:
    """Whether either side is off its mark at idle, and at full advance."""
    idle = (abs(one - ENGINE.static_advance) > N.timing_deg for one in timing(v, full=False))
    full = (abs(one - ENGINE.static_advance - ENGINE.advance_span) > N.timing_deg for one in timing(v, full=True))
    return (next(idle), next(idle)), (next(full), next(full))


def _timing_off(v: View) -> Seen:
    idle, full = _ends_off(v)
    return idle[0] or full[0], idle[1] or full[1]


def _one_end(v: View) -> Seen:
    idle, full = _ends_off(v)
    return idle[0] != full[0], idle[1] != full[1]


def _cleaned(v: View) -> Seen:
    fouled = above((v.bike.left.plug_fouling, v.bike.right.plug_fouling), F.fouled)
    return fouled[0] and _fires_again(v, 0), fouled[1] and _fires_again(v, 1)


def _fires_again(v: View, side: int) -> bool:
    after = v.trial(f"clean plug {('left', 'right')[side]}")
    points = ("barely", "full", "low", "quarter")
    return after is not None and (
        v.two("misfire")[side] - after.two("misfire")[side] > N.missed / 3
        or any(v.at("misfire", p)[side] - after.at("misfire", p)[side] > N.missed for p in points)
    )


def _looks(*words: str) -> Sense:
    def seen(v: View) -> Seen:
        look = v.running["plug_look"]
        return (look[0] in words, look[1] in words) if isinstance(look, tuple) else (False, False)

    return seen


def _clearances(tight: bool) -> Sense:
    def off(s: SideState) -> bool:
        inlet = s.inlet_clearance_mm - STILL.inlet_clearance_mm
        exhaust = s.exhaust_clearance_mm - STILL.exhaust_clearance_mm
        return min(inlet, exhaust) < -N.clearance_mm if tight else max(inlet, exhaust) > N.clearance_mm

    return lambda v: v.each(off)


def _oiled(v: View) -> Seen:
    dry, oiled = v.rest("compression_kpa"), v.rest("compression_oiled_kpa")
    return oiled[0] > 1.1 * dry[0], oiled[1] > 1.1 * dry[1]


def _lower(v: View) -> Seen:
    left, right = v.rest("compression_kpa")
    return left < 0.9 * right, right < 0.9 * left


def _gives_way(v: View) -> Seen:
    left, right = v.rest("leak_down")
    return left > F.gives_way > right, right > F.gives_way > left


def _marks(cause: str, least: float = N.mark) -> Sense:
    return lambda v: v.marks(cause, least)


def _mark(cause: str, least: float = N.mark) -> Sense:
    return lambda v: v.mark(cause, least)


IGNITION: dict[str, Sense] = {
    "fault-follows-plug": lambda v: moved(v, "plug"),
    "fault-follows-cap": lambda v: moved(v, "cap"),
    "fault-follows-lead": lambda v: moved(v, "lead"),
    "fault-follows-coil": lambda v: moved(v, "coil"),
    "another-coil-cures": lambda v: gone(v, "another coil"),
    "good-plugs-cure": lambda v: gone(v, "good plugs"),
    "another-condenser-cures": lambda v: gone(v, "another condenser"),
    "clean-plug-cures": _cleaned,
    "plug-black": _looks("black"),
    "plug-wet": _looks("wet"),
    "plug-pale": _looks("pale", "white"),
    "plug-oily": _looks("oily"),
    "resistor-on-resistor": _mark("too-much-resistance"),
    "path-resistance-high": lambda v: above(v.rest("resistance_ohm"), N.path_ohm),
    "path-open": lambda v: above(v.rest("resistance_ohm"), N.open_ohm),
    "cap-or-lead-open": lambda v: v.each(lambda s: s.cap_ohm > N.open_ohm or s.lead_ohm > N.open_ohm),
    "plug-open": lambda v: v.each(lambda s: s.plug_ohm > N.open_ohm),
    "plug-leaks-to-shell": lambda v: v.each(lambda s: s.plug_fouling > F.fouled or s.spark < F.dead_spark),
    "plug-dark-outside": lambda v: v.each(lambda s: s.spark < FAINT or s.plug_fouling > F.sooted_over),
    "plug-not-tight": _marks("plug-loose"),
    "plug-gap-off": lambda v: v.each(lambda s: abs(s.plug_gap_mm - STILL.plug_gap_mm) > N.gap_mm),
    "lead-seen-damaged": lambda v: v.each(lambda s: s.cap_share < F.cracked),
    "leaks-in-the-dark": lambda v: v.each(lambda s: s.cap_ohm > F.tracks_ohm),
    "path-jumps-when-bent": lambda v: v.each(lambda s: s.cap_ohm > F.jumps_ohm),
    "spark-weak": _weak,
    "spark-none": lambda v: below(spark(v), N.no_spark),
    "points-faces-burnt": _mark("points-burnt"),
    "points-arc": _mark("condenser-failed"),
    "points-gap-off": _mark("points-gap-wrong"),
    "advance-hangs": _mark("advance-sticking"),
    "timing-off": _timing_off,
    "timing-off-one-end": _one_end,
    "timing-later": lambda v: less(timing(v, full=True), N.timing_apart_deg),
    "coil-resistance-off": lambda v: _both(v.marks("coil-failing", 0.3), v.mark("coil-common-failing", 0.3)),
    "battery-low": _mark("battery-or-charging-low", 0.25),
    "charging-off": _mark("battery-or-charging-low", 0.35),
    "lights-dim": _mark("battery-or-charging-low", 0.3),
    "cranks-slowly": _mark("battery-or-charging-low", N.plain_mark),
}
MECHANICAL: dict[str, Sense] = {
    "clearance-tight": _clearances(tight=True),
    "clearance-wide": _clearances(tight=False),
    "compression-lower": _lower,
    "hardly-resists": _gives_way,
    "compression-rises-with-oil": _oiled,
    "leak-down-high": lambda v: above(v.rest("leak_down"), F.leak_down),
    "air-out-at-filler": lambda v: v.each(lambda s: s.ring_leak_mm2 > N.leak_mm2),
    "air-out-at-valve": lambda v: v.each(
        lambda s: s.valve_leak_mm2 > N.leak_mm2 / 2 or s.exhaust_clearance_mm < F.no_clearance_mm
    ),
    "air-out-at-joint": _marks("head-leaking"),
    "head-joint-traces": _marks("head-leaking", 0.25),
    "head-stud-loose": _marks("head-leaking", N.plain_mark),
    "valve-gear-seen-worn": _marks("valve-gear-worn"),
    "under-cover-wrong": _marks("valve-gear-worn"),
    "valve-rocks-in-guide": lambda v: v.each(lambda s: s.guide_mm > N.play_mm),
    "smokes-pulling": lambda v: v.each(lambda s: s.ring_leak_mm2 > F.smoke_rings_mm2),
    "smokes-after-downhill": lambda v: v.each(lambda s: s.guide_mm > F.smoke_guide_mm),
    "smokes": lambda v: v.each(lambda s: s.ring_leak_mm2 > F.smoke_rings_mm2 or s.guide_mm > F.smoke_guide_mm),
    "oil-use-high": lambda v: any(
        v.each(lambda s: s.ring_leak_mm2 > F.smoke_rings_mm2 or s.guide_mm > F.smoke_guide_mm)
    ),
    "valve-noise-odd": lambda v: any(
        v.each(lambda s: s.inlet_clearance_mm > F.loud_inlet_mm or s.exhaust_clearance_mm > F.loud_exhaust_mm)
    ),
}


def _both(one: Seen, common: bool) -> Seen:
    return one[0] or common, one[1] or common
