"""Draws bikes with hidden faults: which, where and how bad, and what a mechanic set around them before giving up."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from advisor.sides import Side, Sided
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED, plant_all

COUNTS = (0.85, 0.15)  # chances of one fault and of two: judgement
SLIGHT, WORST = 0.35, 1.0  # severities drawn between
SET_AROUND = 0.5  # chance that stops and cables were set again around the fault: judgement
MISSET = frozenset({"set-too-cold", "set-too-hot", "out-of-adjustment", "cable-slack-unequal", "no-cable-slack"})
# How often a fault is met, against the rest: judgement of what wears, gets dirty or is touched, shared with nothing.
OFTEN, RARELY = 4.0, 0.4
COMMON = frozenset(
    {
        *(
            "idle-passage-blocked",
            "intake-joint-leak",
            "vacuum-port-leak",
            "enricher-stuck-open",
            "float-valve-leaking",
        ),
        *("air-filter-blocked", "supply-restricted", "throttle-spindle-worn", "diaphragm-torn", "slide-sticking"),
        *("plug-fouled", "points-gap-wrong", "points-burnt", "timing-wrong", "cap-or-lead-failing"),
        *("battery-or-charging-low", "clearance-tight", "clearance-wide", "cable-slack-unequal", "cable-end-sticking"),
        *("out-of-adjustment", "mixture-out", "set-too-cold"),
    }
)
RARE = frozenset(
    {
        *("manifold-cracked", "butterfly-not-sealing", "main-jet-loose", "needle-loose", "needle-jet-blocked"),
        *("main-air-jet-blocked", "float-sunk", "unlike-parts", "intake-altered", "mixture-screw-damaged"),
        *("throttle-lever-slips", "silencer-blocked", "too-high-up", "hoses-exchanged", "gauge-at-fault"),
        *("too-much-resistance", "coil-failing", "coil-common-failing", "timing-sides-differ", "guides-worn"),
        *("rings-worn", "head-leaking"),
    }
)
Fault = tuple[str, Side, float]


def how_often(cause: str) -> float:
    """Return how often a fault is drawn, against the rest."""
    return OFTEN if cause in COMMON else RARELY if cause in RARE else 1.0


def cause_of(fault: Fault) -> Sided:
    """Return a fault as a cause. One of the whole bike has no side as a cause, though it may have an odd side out."""
    cause, side, _ = fault
    return cause, side if cause in ONE_SIDED else None


@dataclass(frozen=True)
class Hidden:
    """A bike with its faults: cause, side (None for the whole bike, else the odd one out) and severity, 0 to 1.

    `sound` is the same bike before it had any.
    """

    bike: Bike
    faults: tuple[Fault, ...]
    sound: Bike = field(default_factory=Bike)

    @property
    def causes(self) -> tuple[Sided, ...]:
        """The faults as causes."""
        return tuple(cause_of(fault) for fault in self.faults)

    @property
    def set_around(self) -> bool:
        """Whether stops and cables were set again around what is wrong."""
        return self.bike != planted(self.faults, self.sound).bike


def draw(
    rng: np.random.Generator,
    among: Collection[str] = (),
    severity: tuple[float, float] = (SLIGHT, WORST),
    counts: tuple[float, ...] = COUNTS,
    *,
    sound: Bike | None = None,
    evenly: bool = True,
) -> Hidden:
    """Return a bike with one or more faults of the model, or of those `among` it, every cause alike often.

    Not `evenly`, the common ones are drawn more often than the rare ones. They come to a `sound` bike, or to one by the
    book.
    """
    known = sorted(set(CAUSES) & set(among)) if among else sorted(CAUSES)
    count = min(int(rng.choice(len(counts), p=counts)) + 1, len(known))
    weights = np.array([how_often(one) for one in known])
    chosen = rng.choice(len(known), size=count, replace=False, p=None if evenly else weights / weights.sum())
    faults: list[Fault] = []
    for index in chosen.tolist():
        cause = known[index]
        side: Side = ("left", "right")[int(rng.integers(2))] if cause in ONE_SIDED | ODD_SIDE else None
        faults.append((cause, side, round(float(rng.uniform(*severity)), 3)))
    return planted(faults, sound)


def planted(faults: Sequence[Fault], sound: Bike | None = None) -> Hidden:
    """Return a sound bike, or one by the book, with these faults."""
    before = sound or Bike()
    return Hidden(plant_all(before, list(faults)), tuple(faults), before)


def set_around(hidden: Sequence[Hidden], generators: Sequence[np.random.Generator]) -> list[Hidden]:
    """Return the bikes, half of them with stops and cables set again around what is wrong; all at once.

    Where the stops or cables are what is wrong, setting them would be the cure.
    """
    chosen = [
        number
        for number, (one, rng) in enumerate(zip(hidden, generators, strict=True))
        if rng.random() < SET_AROUND and not {cause for cause, _ in one.causes} & MISSET
    ]
    tuned = operate.tune_all(tuple(hidden[number].bike for number in chosen)) if chosen else ()
    found = list(hidden)
    for number, bike in zip(chosen, tuned, strict=True):
        found[number] = replace(hidden[number], bike=bike)
    return found
