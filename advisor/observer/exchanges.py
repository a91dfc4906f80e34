"""Exchanges and cures: the bike after parts were changed over, left off, or others fitted, by name."""

from collections.abc import Callable
from dataclasses import replace

from advisor.sides import BOTH
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike, SideState
from advisor.virtual_bike.faults import plant

PLUG = ("spark", "plug_fouling", "plug_gap_mm", "plug_ohm")  # exchanged, a loose one is tightened on either side
JETS = ("pilot_share", "main_share", "needle_jet_share", "needle_wear_mm")
SLIDE = ("slide_drag_n", "slide_hung_mm", "diaphragm_hole_mm2", "needle_mm")
FLOAT = ("float_mm", "valve_leak_mg_s")
BODY = (
    *("spindle_mm", "plate_gap_mm", "pilot_air_share", "main_air_share", "progression_share", "screw_leak_mm2"),
    *("screw_seat_turns", "enricher_leak", "enricher_works", "vent_share"),
)
CARBURETTOR = (*JETS, *SLIDE, *FLOAT, *BODY, "screw_turns", "stop_deg")
EXCHANGES: dict[str, tuple[str, ...]] = {
    "carburettor": CARBURETTOR,
    "slide": SLIDE,
    "jets": JETS,
    "float": FLOAT,
    "plug": PLUG,
    "cap": ("cap_ohm", "cap_share"),
    "lead": ("cap_ohm", "cap_share", "lead_ohm"),
    "coil": ("coil_share",),
}
HEALTHY = SideState()
COMMON = ("condenser-failed", "points-burnt", "points-gap-wrong", "battery-or-charging-low", "coil-common-failing")
FREE_FILTER = 1.5  # share of the usual area with the element out
SEA_LEVEL_PA = 101_325.0


def exchanged(bike: Bike, names: tuple[str, ...]) -> Bike:
    """Return the bike with these fields of the two sides exchanged."""
    left = {name: getattr(bike.right, name) for name in names}
    right = {name: getattr(bike.left, name) for name in names}
    return replace(bike, left=replace(bike.left, **left), right=replace(bike.right, **right))


def renewed(bike: Bike, names: tuple[str, ...]) -> Bike:
    """Return the bike with these fields of both sides as on a healthy one."""
    return bike.change(**{name: getattr(HEALTHY, name) for name in names})


def without(bike: Bike, cause: str) -> Bike:
    """Return the bike cured of one fault of the ignition that both sides share; its other faults stay."""
    left = [mark for mark in bike.marks if mark[0] in COMMON and mark[0] != cause]
    if not any(name == cause for name, _, _ in bike.marks):
        return bike
    healthy = Bike()
    late = bike.static_deg - sum(plant(healthy, *mark).static_deg - healthy.static_deg for mark in left)
    own = [mark for mark in bike.marks if mark[0] == cause]
    late -= sum(plant(healthy, *mark).static_deg - healthy.static_deg for mark in own)
    cured = bike.share(coil_share=1.0, static_deg=late)
    for mark in left:
        cured = plant(cured, *mark)
    return cured


def from_a_can(bike: Bike) -> Bike:
    """Feed both carburettors from a small tank of fresh fuel through a separate hose; strainers stay."""
    fed = bike.share(fuel_share=1.0, tank_vent_share=1.0)
    kept = {side for name, side, _ in bike.marks if name == "inlet-strainer-blocked"}
    for side in BOTH:
        fed = fed if side in kept else fed.change(side, supply_share=1.0)
    return fed


def from_base(bike: Bike) -> Bike:
    """Set screws, stops and cables from base and balance."""
    return operate.tune(renewed(bike, ("stop_deg", "adjuster_mm", "screw_turns")))


def standard(bike: Bike) -> Bike:
    """Fit the standard filter and silencers if others had been fitted."""
    altered = any(name == "intake-altered" for name, _, _ in bike.marks)
    return renewed(bike, ("filter_share", "silencer_share")) if altered else bike


CURES: dict[str, Callable[[Bike], Bike]] = {
    "other bodies": lambda bike: renewed(bike, BODY),
    "good plugs": lambda bike: renewed(bike, PLUG),
    "another coil": lambda bike: without(bike, "coil-common-failing"),
    "another condenser": lambda bike: without(bike, "condenser-failed"),
    "element out": lambda bike: bike.change(filter_share=FREE_FILTER),
    "standard parts": standard,
    "a can": from_a_can,
    "cap open": lambda bike: bike.share(tank_vent_share=1.0),
    "lower down": lambda bike: bike.share(pressure_pa=SEA_LEVEL_PA, air_c=20.0),
    "mixture only": operate.best_mixture,
    "from base": from_base,
    "set warm": lambda bike: from_base(bike) if any(m[0].startswith("set-too") for m in bike.marks) else bike,
    "clean plug left": lambda bike: bike.change("left", plug_fouling=0.0),
    "clean plug right": lambda bike: bike.change("right", plug_fouling=0.0),
    "silencer off left": lambda bike: bike.change("left", silencer_share=max(1.0, bike.left.silencer_share)),
    "silencer off right": lambda bike: bike.change("right", silencer_share=max(1.0, bike.right.silencer_share)),
}

SLOW = frozenset({"mixture only", "from base", "set warm"})  # cures that set screws again by trial
QUICK = (*(f"exchange {name}" for name in EXCHANGES), *(name for name in CURES if name not in SLOW))


def tried(bike: Bike, name: str) -> Bike:
    """Return the bike after a cure of `CURES`, or after an exchange, `exchange` and a name of `EXCHANGES`."""
    if name.startswith("exchange "):
        return exchanged(bike, EXCHANGES[name.removeprefix("exchange ")])
    return CURES[name](bike)
