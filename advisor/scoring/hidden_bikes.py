"""Bikes with hidden faults: which, where and how bad, and whether stops and cables were set around them."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from advisor.sides import Side, Sided
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED, plant_all

COUNTS = (0.85, 0.15)  # chances of one fault and of two: judgement
SLIGHT, WORST = 0.35, 1.0  # severities between which they are drawn: judgement
SET_AROUND = 0.5  # chance that stops and cables were set again around the fault: judgement
# faults that are settings themselves
MISSET = frozenset({"set-too-cold", "set-too-hot", "out-of-adjustment", "cable-slack-unequal", "no-cable-slack"})
# How often a fault is met, as a multiple of the rest: judgement of what wears, gets dirty or is touched. It is shared
# with no other table, so that the pages are judged by something they do not know.
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
Fault = tuple[str, Side, float]  # cause, side (None for the whole bike, else the odd one out), severity from 0 to 1


def how_often(cause: str) -> float:
    """Return how often a fault is drawn, as a multiple of the rest."""
    return OFTEN if cause in COMMON else RARELY if cause in RARE else 1.0


def cause_of(fault: Fault) -> Sided:
    """Return a fault as a cause. One of the whole bike has no side as a cause, though it may have an odd side out."""
    cause, side, _ = fault
    return cause, side if cause in ONE_SIDED else None


@dataclass(frozen=True)
class Hidden:
    """A bike with its faults; `sound` is the same bike before it had any."""

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
    """Return a bike with one or more faults of the model, or only of those `among` it.

    `counts` are the chances of one fault, of two, and so on. Drawn `evenly`, every cause is as likely as any other;
    otherwise the common ones are drawn more often than the rare ones. The bike was `sound` before, or by the book.
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


def some_set_around(hidden: Sequence[Hidden], generators: Sequence[np.random.Generator]) -> list[Hidden]:
    """Return the bikes, about half of them with stops and cables set again around what is wrong; worked out at once.

    Where the stops or cables are what is wrong, they are left: to set them would be the cure.
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
