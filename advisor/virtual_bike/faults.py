"""Faults by cause id: what each does to the parts of the bike, from a trace (severity near 0) to ruined (1).

Start with `plant`. A one-sided fault without a side is planted on both. If a fault of the whole bike
needs an odd side out (mixture screws, stops, unlike parts), the side says which; the default is left.
"""

from collections.abc import Callable, Iterable

from advisor.errors import AdvisorError, nearest
from advisor.sides import BOTH, Side
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults_elsewhere import GAUGE, SETTINGS, advance_sticking, too_high_up
from advisor.virtual_bike.not_shown import NOT_SHOWN

__all__ = ["CAUSES", "NOT_SHOWN", "ONE_SIDED", "Fault", "plant", "plant_all"]

Fault = Callable[[Bike, Side, float], Bike]


def _adds(**most: float) -> Fault:
    """Return a fault that adds to fields of a side, in proportion to its severity."""

    def fault(bike: Bike, side: Side, severity: float) -> Bike:
        for one in ("left", "right") if side is None else (side,):
            state = bike.side(one)
            bike = bike.change(one, **{name: getattr(state, name) + severity * by for name, by in most.items()})
        return bike

    return fault


def _leaves(**least: float) -> Fault:
    """Return a fault that narrows fields of a side; each value is the share left at severity 1, its root at half."""

    def fault(bike: Bike, side: Side, severity: float) -> Bike:
        for one in ("left", "right") if side is None else (side,):
            state = bike.side(one)
            left = {name: getattr(state, name) * share**severity for name, share in least.items()}
            bike = bike.change(one, **left)
        return bike

    return fault


def _common(**most: float) -> Fault:
    """Return a fault that adds to shared fields."""

    def fault(bike: Bike, _: Side, severity: float) -> Bike:
        return bike.share(**{name: getattr(bike, name) + severity * by for name, by in most.items()})

    return fault


def _dead(bike: Bike, side: Side, severity: float) -> Bike:
    """Make a plug misfire more and more; from severity one half it is dead."""
    for one in ("left", "right") if side is None else (side,):
        bike = bike.change(one, spark=bike.side(one).spark * max(0.0, 1 - 2 * severity))
    return bike


def _sticking_cable(bike: Bike, side: Side, severity: float) -> Bike:
    """Leave the plate up to 1.6 degrees above its stop."""
    for one in ("left", "right") if side is None else (side,):
        state = bike.side(one)
        rest = state.adjuster_mm + state.stop_deg * 0.35
        bike = bike.change(one, sticks_mm=max(rest + 1.6 * 0.35 * severity, state.sticks_mm))
    return bike


def _cap(bike: Bike, side: Side, severity: float) -> Bike:
    """Burn out a cap or lead inside, so that it flashes over to earth when the gap needs a high voltage: under load."""
    return _leaves(cap_share=0.4)(_adds(cap_ohm=250_000.0)(bike, side, severity), side, severity)


def _gap(bike: Bike, side: Side, severity: float) -> Bike:
    """Close the gap to 0.15 mm."""
    return _adds(plug_gap_mm=-0.55)(bike, side, severity)


def _timing(bike: Bike, _: Side, severity: float) -> Bike:
    return bike.share(static_deg=bike.static_deg - 9 * severity)


CAUSES: dict[str, Fault] = {
    "intake-joint-leak": _adds(joint_leak_mm2=4.0),
    "vacuum-port-leak": _adds(port_leak_mm2=5.0),
    "manifold-cracked": _adds(crack_mm2=4.0),
    "throttle-spindle-worn": _adds(spindle_mm=0.25),
    "butterfly-not-sealing": _adds(plate_gap_mm=0.12),
    "guides-worn": _adds(guide_mm=0.5),
    "air-tube-off": _adds(filter_share=2.0),
    "air-filter-blocked": lambda bike, _, severity: _leaves(filter_share=0.45)(bike, None, severity),
    "intake-altered": lambda bike, _, severity: _adds(filter_share=2.0, silencer_share=1.0)(bike, None, severity),
    "too-high-up": too_high_up,
    "enricher-stuck-open": _adds(enricher_leak=1.0),
    "enricher-leaking": _adds(enricher_leak=0.4),
    "enricher-not-opening": _adds(enricher_works=-1.0),
    "idle-passage-blocked": _leaves(pilot_share=0.5),
    "idle-air-jet-blocked": _leaves(pilot_air_share=0.55),
    "progression-blocked": _leaves(progression_share=0.05),
    "main-jet-blocked": _leaves(main_share=0.35),
    "main-jet-loose": _adds(main_share=1.0),
    "mixture-screw-seal-leaking": _adds(screw_leak_mm2=0.5),
    "mixture-screw-damaged": _adds(screw_seat_turns=2.0),
    "needle-unlike": _adds(needle_mm=2.0),
    "needle-loose": _adds(needle_mm=-2.5),
    "needle-jet-worn": _adds(needle_wear_mm=0.04),
    "needle-jet-blocked": _leaves(needle_jet_share=0.35),
    "main-air-jet-blocked": _adds(main_air_share=-1.0),
    "diaphragm-torn": _adds(diaphragm_hole_mm2=30.0),
    "slide-sticking": _adds(slide_drag_n=2.5),
    "float-level-high": _adds(float_mm=7.0),
    "float-level-low": _adds(float_mm=-7.0),
    "float-sunk": _adds(float_mm=9.0),
    "float-valve-leaking": _adds(valve_leak_mg_s=90.0),
    "fuel-hose-pinched": _leaves(supply_share=0.02),
    "inlet-strainer-blocked": _leaves(supply_share=0.02),
    "supply-restricted": lambda bike, _, severity: _leaves(supply_share=0.02)(bike, None, severity),
    "bowl-vent-blocked": _leaves(vent_share=0.004),
    "tank-vent-blocked": _common(tank_vent_share=-1.0),
    "fuel-stale-or-wrong": _common(fuel_share=-0.15),
    "plug-dead": _dead,
    "plug-fouled": _adds(plug_fouling=0.9),
    "plug-gap-wrong": _gap,
    "plug-loose": _adds(plug_leak_mm2=2.5),
    "cap-or-lead-failing": _cap,
    "too-much-resistance": lambda bike, _, severity: _adds(cap_ohm=20_000.0)(bike, None, severity),
    "coil-failing": _leaves(coil_share=0.30),
    "coil-common-failing": _common(coil_share=-0.6),
    "condenser-failed": _common(coil_share=-0.65),
    "points-burnt": _common(coil_share=-0.5, static_deg=2.0),
    "points-gap-wrong": _common(coil_share=-0.25, static_deg=5.0),
    "battery-or-charging-low": _common(coil_share=-0.5),
    "timing-wrong": _timing,
    "timing-sides-differ": _adds(timing_deg=-9.0),
    "advance-sticking": advance_sticking,
    "clearance-tight": _adds(exhaust_clearance_mm=-0.18),
    "clearance-wide": _adds(inlet_clearance_mm=0.35, exhaust_clearance_mm=0.25),
    "valve-gear-worn": _adds(inlet_clearance_mm=0.6),
    "compression-lost": _adds(valve_leak_mm2=3.0),
    "rings-worn": _adds(ring_leak_mm2=2.5),
    "head-leaking": _adds(plug_leak_mm2=3.0),
    "exhaust-leaking": _adds(exhaust_leak=0.5),
    "silencer-blocked": _leaves(silencer_share=0.12),
    "cable-slack-unequal": _adds(adjuster_mm=-0.8),
    "no-cable-slack": _adds(adjuster_mm=-1.6),
    "cable-end-sticking": _sticking_cable,
    "sheath-out-of-socket": _adds(pull_lost_mm=-2.2),
    "throttle-lever-slips": _adds(pull_lost_mm=12.0),
    **SETTINGS,
    **GAUGE,
}
ONE_SIDED = frozenset(CAUSES) - {
    *("air-filter-blocked", "intake-altered", "too-high-up", "supply-restricted", "tank-vent-blocked"),
    *("fuel-stale-or-wrong", "too-much-resistance", "coil-common-failing", "condenser-failed", "points-burnt"),
    *("points-gap-wrong", "battery-or-charging-low", "timing-wrong", "advance-sticking"),
    *SETTINGS,
    *GAUGE,
}

ODD_SIDE = frozenset({*SETTINGS, "gauge-at-fault"})  # whole-bike faults with an odd side out


def plant(bike: Bike, cause: str, side: Side = None, severity: float = 0.5) -> Bike:
    """Return the bike with a fault planted; AdvisorError for an unknown cause or a severity outside 0 to 1."""
    wrong = ""
    if cause in NOT_SHOWN:
        wrong = f"the virtual bike cannot show {cause}: {NOT_SHOWN[cause]}"
    elif cause not in CAUSES:
        wrong = f"no such cause: {cause}{nearest(cause, CAUSES)}"
    elif not 0 <= severity <= 1:
        wrong = f"severity {severity:g}: from 0 to 1, please"
    if wrong:
        raise AdvisorError(wrong)
    return marked(CAUSES[cause](bike, side, severity), cause, side, severity)


def marked(bike: Bike, cause: str, side: Side, severity: float) -> Bike:
    """Return the bike with the visible marks of the fault; severity 0 leaves none."""
    at: tuple[Side, ...] = (side,)
    if cause in ONE_SIDED:
        at = BOTH if side is None else (side,)
    elif cause not in ODD_SIDE:
        at = (None,)
    return bike.share(marks=bike.marks | {(cause, one, severity) for one in at if severity > 0})


def plant_all(bike: Bike, faults: Iterable[tuple[str, Side, float]]) -> Bike:
    """Return the bike with several faults planted, each a cause id, a side or None, and a severity."""
    for cause, side, severity in faults:
        bike = plant(bike, cause, side, severity)
    return bike
