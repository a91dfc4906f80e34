"""How a trouble began, as the rider tells it: for each fault, how many of a hundred begin in each way.

Judgement: two estimates made blind, with no sight of rules or model, averaged and rounded to five. What was not asked
is left out. Figures that add up to more than a hundred are scaled down to it; if they add up to less, the rider cannot
tell how the rest began.
"""

from collections.abc import Iterable

import numpy as np

from advisor.sides import Sided

WEAR, BREAKAGE, STANDING, WORK = "slowly-worse", "began-suddenly", "began-after-standing", "began-after-work"
VALVES, IGNITION, FUEL_SIDE, CABLES, SET = (
    *("began-after-valve-work", "began-after-ignition-work", "began-after-fuel-work", "began-after-cable-work"),
    "began-after-setting",
)
WORKS = (VALVES, IGNITION, FUEL_SIDE, CABLES, SET)  # kinds of the vague `WORK`
BEGINNINGS = (WEAR, BREAKAGE, STANDING, *WORKS)
BEGAN: dict[str, dict[str, int]] = {
    "advance-sticking": {WEAR: 55, STANDING: 20},
    "air-filter-blocked": {WEAR: 80, STANDING: 15},
    "air-tube-off": {BREAKAGE: 40, FUEL_SIDE: 55},
    "battery-or-charging-low": {WEAR: 45, STANDING: 40},
    "bowl-vent-blocked": {STANDING: 30, FUEL_SIDE: 30},
    "butterfly-not-sealing": {WEAR: 30, FUEL_SIDE: 40},
    "cable-end-sticking": {WEAR: 50, BREAKAGE: 20, STANDING: 20},
    "cable-slack-unequal": {WEAR: 20, FUEL_SIDE: 20, CABLES: 50},
    "cap-or-lead-failing": {BREAKAGE: 55, IGNITION: 20},
    "clearance-tight": {WEAR: 50, VALVES: 50},
    "clearance-wide": {WEAR: 50, BREAKAGE: 10, VALVES: 45, SET: 10},
    "coil-common-failing": {WEAR: 40},
    "coil-failing": {WEAR: 30, BREAKAGE: 45},
    "compression-lost": {WEAR: 65},
    "condenser-failed": {BREAKAGE: 65, IGNITION: 25},
    "diaphragm-torn": {WEAR: 20, BREAKAGE: 45, FUEL_SIDE: 25},
    "enricher-leaking": {WEAR: 35, BREAKAGE: 10, STANDING: 20, FUEL_SIDE: 30},
    "enricher-not-opening": {STANDING: 30, FUEL_SIDE: 30},
    "enricher-stuck-open": {STANDING: 25},
    "exhaust-leaking": {WEAR: 45, BREAKAGE: 25},
    "float-level-high": {FUEL_SIDE: 60},
    "float-level-low": {FUEL_SIDE: 65},
    "float-sunk": {WEAR: 50, BREAKAGE: 20, STANDING: 20},
    "float-valve-leaking": {BREAKAGE: 35, STANDING: 45, FUEL_SIDE: 30},
    "fuel-hose-pinched": {WEAR: 30, FUEL_SIDE: 45},
    "fuel-stale-or-wrong": {STANDING: 60},
    "gauge-undamped": {FUEL_SIDE: 10},
    "guides-worn": {WEAR: 85},
    "head-leaking": {WEAR: 45, VALVES: 50},
    "hoses-exchanged": {FUEL_SIDE: 20, SET: 80},
    "idle-air-jet-blocked": {WEAR: 20, STANDING: 35, FUEL_SIDE: 30},
    "idle-passage-blocked": {WEAR: 20, STANDING: 65},
    "inlet-strainer-blocked": {WEAR: 45, STANDING: 45},
    "intake-altered": {FUEL_SIDE: 35},
    "intake-joint-leak": {WEAR: 50, VALVES: 15, FUEL_SIDE: 40},
    "main-air-jet-blocked": {WEAR: 20, STANDING: 30, FUEL_SIDE: 30},
    "main-jet-blocked": {BREAKAGE: 40, STANDING: 40},
    "main-jet-loose": {WEAR: 10, BREAKAGE: 50, FUEL_SIDE: 60},
    "manifold-cracked": {WEAR: 45, BREAKAGE: 25, FUEL_SIDE: 25},
    "mixture-out": {WEAR: 15, FUEL_SIDE: 45, SET: 50},
    "mixture-screw-damaged": {FUEL_SIDE: 55},
    "mixture-screw-seal-leaking": {WEAR: 40, FUEL_SIDE: 40, SET: 20},
    "needle-jet-blocked": {BREAKAGE: 25, STANDING: 55, FUEL_SIDE: 25},
    "needle-jet-worn": {WEAR: 80},
    "needle-loose": {WEAR: 10, BREAKAGE: 60, FUEL_SIDE: 40},
    "needle-unlike": {FUEL_SIDE: 70},
    "no-cable-slack": {FUEL_SIDE: 20, CABLES: 60},
    "out-of-adjustment": {WEAR: 50, VALVES: 15, FUEL_SIDE: 40, CABLES: 30, SET: 40},
    "plug-dead": {BREAKAGE: 80, IGNITION: 20},
    "plug-fouled": {WEAR: 40, BREAKAGE: 30, STANDING: 20},
    "plug-gap-wrong": {WEAR: 30, IGNITION: 55},
    "plug-loose": {WEAR: 25, IGNITION: 65},
    "points-burnt": {WEAR: 65, BREAKAGE: 15, STANDING: 30},
    "points-gap-wrong": {WEAR: 50, IGNITION: 60},
    "progression-blocked": {WEAR: 15, STANDING: 60},
    "rings-worn": {WEAR: 90, STANDING: 15},
    "set-too-cold": {SET: 90},
    "set-too-hot": {SET: 90},
    "sheath-out-of-socket": {BREAKAGE: 50, FUEL_SIDE: 30, CABLES: 50, SET: 10},
    "silencer-blocked": {WEAR: 55, BREAKAGE: 20, STANDING: 25},
    "slide-sticking": {WEAR: 35, STANDING: 35},
    "supply-restricted": {WEAR: 45, STANDING: 45},
    "tank-vent-blocked": {BREAKAGE: 30, STANDING: 10, FUEL_SIDE: 10},
    "throttle-lever-slips": {BREAKAGE: 60, CABLES: 30},
    "throttle-spindle-worn": {WEAR: 80},
    "timing-sides-differ": {WEAR: 20, IGNITION: 45},
    "timing-wrong": {WEAR: 20, IGNITION: 65},
    "too-much-resistance": {IGNITION: 65},
    "unlike-parts": {FUEL_SIDE: 70},
    "vacuum-port-leak": {WEAR: 40, BREAKAGE: 30, FUEL_SIDE: 30, SET: 40},
    "valve-gear-worn": {WEAR: 60, BREAKAGE: 30},
}


def history(causes: Iterable[str], rng: np.random.Generator) -> dict[Sided, bool]:
    """Return how it began, by sign: each fault in one way at most, drawn by how often it begins so.

    The answer is empty if no fault's beginnings are known.
    """
    known = [BEGAN[cause] for cause in causes if cause in BEGAN]
    began = {_drawn(one, rng) for one in known}
    found: dict[Sided, bool] = {(sign, None): sign in began for sign in BEGINNINGS if known}
    if known:
        found[WORK, None] = not began.isdisjoint(WORKS)
    return found


def _drawn(chances: dict[str, int], rng: np.random.Generator) -> str:
    """Return one beginning, or nothing if the rider cannot tell."""
    at, total = float(rng.uniform(0, max(100, sum(chances.values())))), 0
    for sign, chance in chances.items():
        total += chance
        if at < total:
            return sign
    return ""
