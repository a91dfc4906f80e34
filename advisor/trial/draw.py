"""Draws bikes with hidden faults: which, where and how bad, and what a mechanic set around them before giving up."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from advisor.sides import Side
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ONE_SIDED, plant_all

COUNTS = (0.85, 0.15)  # chances of one fault and of two: judgement
SLIGHT, WORST = 0.35, 1.0  # severities drawn between
SET_AROUND = 0.5  # chance that stops and cables were set again around the fault: judgement


@dataclass(frozen=True)
class Hidden:
    """A bike with its faults: cause, side (None for the whole bike) and severity, 0 to 1."""

    bike: Bike
    faults: tuple[tuple[str, Side, float], ...]

    @property
    def causes(self) -> tuple[tuple[str, Side], ...]:
        """The faults without their severity."""
        return tuple((cause, side) for cause, side, _ in self.faults)


def draw(
    rng: np.random.Generator,
    among: Collection[str] = (),
    severity: tuple[float, float] = (SLIGHT, WORST),
    counts: tuple[float, ...] = COUNTS,
) -> Hidden:
    """Return a bike with one or more faults of the model, or of those `among` it, every cause alike often."""
    known = sorted(set(CAUSES) & set(among)) if among else sorted(CAUSES)
    count = min(int(rng.choice(len(counts), p=counts)) + 1, len(known))
    chosen = rng.choice(len(known), size=count, replace=False)
    faults: list[tuple[str, Side, float]] = []
    for index in chosen.tolist():
        cause = known[index]
        side: Side = ("left", "right")[int(rng.integers(2))] if cause in ONE_SIDED else None
        faults.append((cause, side, round(float(rng.uniform(*severity)), 3)))
    return Hidden(plant_all(Bike(), faults), tuple(faults))


def set_around(hidden: list[Hidden], rng: np.random.Generator) -> list[Hidden]:
    """Return the bikes, half of them with stops and cables set again around what is wrong; all at once."""
    chosen = [number for number in range(len(hidden)) if rng.random() < SET_AROUND]
    tuned = operate.tune_all(tuple(hidden[number].bike for number in chosen)) if chosen else ()
    found = list(hidden)
    for number, bike in zip(chosen, tuned, strict=True):
        found[number] = Hidden(bike, hidden[number].faults)
    return found
