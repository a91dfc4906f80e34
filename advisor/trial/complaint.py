"""What the rider tells first, and how it began."""

from collections.abc import Collection, Iterable, Mapping

import numpy as np

from advisor.sides import Side
from advisor.trial.senses import SENSES, VAGUE, sensed
from advisor.trial.senses_idle import IDLE
from advisor.trial.senses_road import ROAD
from advisor.trial.view import View

SignSide = tuple[str, Side]
FEWEST, MOST = 2, 4
VAGUE_SHARE = 0.5  # chance that the vague word is taken before the exact one: judgement
LOOKED_AT = frozenset(
    {"header-cold", "filter-out-helps", "gas-rich", "gas-lean", "idles-off-its-stops", "tap-off-helps"}
)
# what is noticed without a look at any part
UNASKED = (
    frozenset(IDLE | ROAD | VAGUE)
    | {*("smokes", "smokes-pulling", "smokes-after-downhill", "exhaust-louder", "lights-dim", "cranks-slowly")}
    | {*("fuel-drips", "valve-noise-odd", "oil-use-high")}
) - LOOKED_AT
MISSED_BY_RIDER = 0.15  # chance that a rider leaves out a sign that is there: judgement
WEAR, SETTING, DIRT, BREAKAGE = "slowly-worse", "began-after-work", "began-after-standing", "began-suddenly"
# What was worked on when a setting was left wrong: what the fault sits in. Judgement; fuel side where it is not named.
VALVES, IGNITION, FUEL_SIDE, CABLES, SET = (
    *("began-after-valve-work", "began-after-ignition-work", "began-after-fuel-work", "began-after-cable-work"),
    "began-after-setting",
)
WORKS = (VALVES, IGNITION, FUEL_SIDE, CABLES, SET)
_WORKED_ON = {
    VALVES: ("clearance-wide", "head-leaking"),
    IGNITION: ("plug-loose", "plug-gap-wrong", "points-gap-wrong", "timing-wrong", "timing-sides-differ"),
    CABLES: ("cable-slack-unequal", "no-cable-slack", "sheath-out-of-socket"),
    SET: ("out-of-adjustment", "mixture-out", "set-too-cold", "set-too-hot"),
}
WORKED_ON = {cause: work for work, causes in _WORKED_ON.items() for cause in causes}
LIKELY, ELSE = 0.75, 0.06  # chance of the usual beginning of a fault, of any other one: judgement
_BEGINS = {
    WEAR: (
        *(
            "throttle-spindle-worn",
            "guides-worn",
            "air-filter-blocked",
            "needle-jet-worn",
            "points-burnt",
            "rings-worn",
        ),
        *("advance-sticking", "clearance-tight", "valve-gear-worn", "compression-lost", "silencer-blocked"),
        *("exhaust-leaking", "butterfly-not-sealing", "too-much-resistance", "plug-fouled", "slide-sticking"),
        *("battery-or-charging-low", "intake-joint-leak", "enricher-leaking"),
    ),
    SETTING: (
        *("air-tube-off", "intake-altered", "main-jet-loose", "mixture-screw-seal-leaking", "mixture-screw-damaged"),
        *("needle-unlike", "needle-loose", "float-level-high", "float-level-low", "fuel-hose-pinched", "plug-loose"),
        *("plug-gap-wrong", "points-gap-wrong", "timing-wrong", "timing-sides-differ", "clearance-wide"),
        *("cable-slack-unequal", "no-cable-slack", "sheath-out-of-socket", "out-of-adjustment", "mixture-out"),
        *("unlike-parts", "set-too-cold", "set-too-hot", "gauge-at-fault", "hoses-exchanged", "gauge-undamped"),
        *("head-leaking", "vacuum-port-leak"),
    ),
    DIRT: (
        *("idle-passage-blocked", "idle-air-jet-blocked", "progression-blocked", "main-jet-blocked"),
        *("main-air-jet-blocked", "needle-jet-blocked", "enricher-stuck-open", "enricher-not-opening"),
        *("float-valve-leaking", "inlet-strainer-blocked", "supply-restricted", "bowl-vent-blocked"),
        *("tank-vent-blocked", "fuel-stale-or-wrong", "cable-end-sticking"),
    ),
    BREAKAGE: (
        *("manifold-cracked", "diaphragm-torn", "plug-dead", "cap-or-lead-failing", "coil-failing", "float-sunk"),
        *("coil-common-failing", "condenser-failed", "throttle-lever-slips"),
    ),
}
BEGINS: dict[str, str] = {cause: begin for begin, causes in _BEGINS.items() for cause in causes}


def history(causes: Iterable[str], rng: np.random.Generator) -> dict[SignSide, bool]:
    """Return how it may have begun, by sign: what the faults' kinds make likely. A cause of no known kind adds nothing.

    What is not in the answer is unknown.
    """
    causes = list(causes)
    known = [BEGINS[cause] for cause in causes if cause in BEGINS]
    found: dict[SignSide, bool] = {}
    for sign in (WEAR, SETTING, DIRT, BREAKAGE) if known else ():
        found[sign, None] = bool(rng.random() < (LIKELY if sign in known else ELSE))
    if found.get((WEAR, None)) and found.get((BREAKAGE, None)):
        # nobody tells both of one trouble
        found[BREAKAGE if rng.random() < LIKELY else WEAR, None] = False
    return found | _worked_on(causes, found, rng)


def _worked_on(
    causes: Collection[str], found: Mapping[SignSide, bool], rng: np.random.Generator
) -> dict[SignSide, bool]:
    """Return what was worked on last, if it began with that: what the fault sits in, for what was left wrong there."""
    if (SETTING, None) not in found:
        return {}
    left_wrong = [WORKED_ON.get(cause, FUEL_SIDE) for cause in causes if BEGINS.get(cause) == SETTING]
    work = left_wrong[0] if left_wrong else str(rng.choice(WORKS))
    return {(one, None): found[SETTING, None] and one == work for one in WORKS}


def complaint(
    view: View, begun: Mapping[SignSide, bool], rng: np.random.Generator, by_rider: Collection[str]
) -> dict[SignSide, bool]:
    """Return the two to four signs that the rider tells first; fewer where no more can be perceived.

    `by_rider` names the signs that a rider perceives. Half of the riders begin with vague words. Where nothing is felt
    on the road, it is what he or a mechanic has found.
    """
    there: list[SignSide] = []
    for among in (UNASKED & set(by_rider), by_rider, SENSES):
        there = there or [key for key, seen in sensed(view, among).items() if seen]
    told = [key for key in there if rng.random() > MISSED_BY_RIDER] or there
    began = [key for key, seen in begun.items() if seen and key[0] in by_rider]
    vague = rng.random() < VAGUE_SHARE  # only that it was worked on, or on what
    told += [key for key in began if key[0] not in (WORKS if vague else (SETTING,))]
    vague_first = rng.random() < VAGUE_SHARE
    order = rng.permutation(len(told)).tolist()
    ranked = sorted((told[i] for i in order), key=lambda key: (key[0] in VAGUE) != vague_first)
    wanted = int(rng.integers(FEWEST, MOST + 1))
    return dict.fromkeys(ranked[:wanted], True)
