"""Sound bikes as they leave a workshop: no two alike, every part within tolerance, balanced as well as by hand.

No source can give these tolerances for an invented engine; each is common practice, no source, and
chosen so that a sound bike gives no cause for complaint.
"""

from collections.abc import Sequence

import numpy as np

from advisor.sides import BOTH
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike

Range = tuple[float, float]  # added to the values of the perfect bike

SHARED: dict[str, Range] = {
    "pressure_pa": (-2000.0, 1500.0),  # weather, and some 50 m of height
    "air_c": (-8.0, 8.0),
    "oil_c": (-5.0, 5.0),  # a warm engine is never at exactly the same temperature
    "static_deg": (-1.0, 1.0),  # the width of a strobe mark
    "friction_share": (-0.05, 0.05),
    "coil_share": (-0.04, 0.0),
}
OF_A_SIDE: dict[str, Range] = {
    "screw_turns": (-0.1, 0.1),  # the fastest idle is a flat maximum
    "spindle_mm": (0.0, 0.008),
    "pilot_share": (-0.02, 0.02),
    "main_share": (-0.02, 0.02),
    "needle_wear_mm": (0.0, 0.002),
    "float_mm": (-0.8, 0.8),
    "plug_gap_mm": (-0.04, 0.04),
    "cap_ohm": (-500.0, 500.0),
    "timing_deg": (-0.5, 0.5),
    "inlet_clearance_mm": (-0.015, 0.015),  # a feeler gauge's drag is judged to about one blade size
    "exhaust_clearance_mm": (-0.015, 0.015),
    "valve_leak_mm2": (0.0, 0.03),
    "ring_leak_mm2": (0.0, 0.10),
}
# Imbalance left when balancing counts as done: degrees of stop on both sides and on one, mm of cable likewise.
IDLE_SET, IDLE_APART = (-0.2, 0.2), (-0.03, 0.03)
SLACK_SET, SLACK_APART = (-0.1, 0.1), (-0.02, 0.02)


def _within(bike: Bike, rng: np.random.Generator) -> Bike:
    """Return the bike with every part at a random point within its tolerance."""
    bike = bike.share(**{name: getattr(bike, name) + float(rng.uniform(*by)) for name, by in SHARED.items()})
    for side in BOTH:
        state = bike.side(side)
        bike = bike.change(side, **{n: getattr(state, n) + float(rng.uniform(*by)) for n, by in OF_A_SIDE.items()})
    return bike


def _left_so(bike: Bike, rng: np.random.Generator) -> Bike:
    """Return a balanced bike as it is left: idle and slack near enough, columns at most a hand's breadth apart."""
    fast, slack = float(rng.uniform(*IDLE_SET)), float(rng.uniform(*SLACK_SET))
    for side in BOTH:
        state = bike.side(side)
        stop = state.stop_deg + fast + float(rng.uniform(*IDLE_APART))
        bike = bike.change(
            side, stop_deg=stop, adjuster_mm=state.adjuster_mm + slack + float(rng.uniform(*SLACK_APART))
        )
    return bike


def serviced(generators: Sequence[np.random.Generator]) -> list[Bike]:
    """Return a sound bike for each generator, warm and set; each depends only on its own generator."""
    if not generators:
        return []
    tuned = operate.tune_all(tuple(_within(Bike(), rng) for rng in generators))
    return [_left_so(bike, rng) for bike, rng in zip(tuned, generators, strict=True)]
