"""A hand that holds the grip so that the engine turns at about one speed: common practice, no source.

A speed is held within 100 rpm or so. The hand follows what a screw changes, but stays where it is while a plug is
shorted.
"""

import math
from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import idle
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.spinning import Curves, curves
from advisor.virtual_bike.steady import GRIPS, hold

AIM_RPM = 40.0  # standard deviation of where it takes the speed
TREMBLE_MM, TREMBLE_S = 0.03, 1.5  # standard deviation of the pull, and the time in which it forgets where it was
WIDE_MM = 0.1  # of pull either way, between which the engine is interpolated


@dataclass
class Hand:
    """The hand, where it means to take the speed (`aim`, rpm) and how far it pulls (mm)."""

    aim: float
    rng: np.random.Generator
    pull: float | None = None
    tremble: float = 0.0

    def curves(self, bike: Bike, *, follows: bool) -> Curves:
        """Return the engine's curves with a little less pull, and a little more; `follows`: it looks for the pull."""
        if follows or self.pull is None:
            self.pull = _pull_for(bike, self.aim)
        return curves(bike.share(grip_mm=self.pull - WIDE_MM), bike.share(grip_mm=self.pull + WIDE_MM))

    def trembles(self, seconds: float) -> float:
        """Let time pass; return where the pull is between those two: 0 to 1, a half if it is steady."""
        kept = math.exp(-seconds / TREMBLE_S)
        self.tremble = kept * self.tremble + TREMBLE_MM * math.sqrt(1 - kept**2) * float(self.rng.normal())
        return 0.5 + self.tremble / (2 * WIDE_MM)


def takes_hold(rpm: float, rng: np.random.Generator) -> Hand:
    """Return a hand that means to hold about this speed, rpm."""
    return Hand(rpm + AIM_RPM * float(rng.normal()), rng)


def _pull_for(bike: Bike, rpm: float) -> float:
    """Return the pull (mm) that holds this speed; where none does, the one that holds the fastest."""
    pull = float(hold(pack([bike]), np.array([rpm]), np.zeros(1))[0, 0])
    if math.isfinite(pull):
        return pull
    speeds = idle.settle(pack([bike.share(grip_mm=float(grip)) for grip in GRIPS]), rpm)
    return float(GRIPS[int(np.argmax(np.nan_to_num(speeds)))])
