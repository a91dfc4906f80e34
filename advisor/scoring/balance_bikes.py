"""Bikes to balance: sound ones with their screws turned, and ones with a fault that no screw makes up for."""

from collections.abc import Collection

import msgspec
import numpy as np

from advisor.scoring.hidden_bikes import MISSET, Hidden, draw
from advisor.virtual_bike import operate, respond, steady
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.misset import misset
from advisor.virtual_bike.serviced import serviced

MMHG = 0.133322  # kPa
LEVEL_MMHG, LEVEL_RPM, IDLE = 10.0, 50.0, (900.0, 1100.0)  # what counts as balanced: the pages' own limits
HANGS_RPM, CLEARLY_RPM = 100.0, 120.0  # a third of what a plug is worth


class Truth(msgspec.Struct, frozen=True, kw_only=True):
    """How a bike truly stands: left column over right at idle and held (mmHg), idle and left drop over right (rpm)."""

    idle_mmhg: float
    held_mmhg: float
    rpm: float
    drops: float


def is_level(one: Truth) -> bool:
    """Whether a bike stands within what counts as balanced: columns at idle and held, and the idle."""
    return off(one) <= 1.0


def off(one: Truth) -> float:
    """Return how far off the worst of columns and idle is, in what each may be off."""
    middle, half = sum(IDLE) / 2, (IDLE[1] - IDLE[0]) / 2
    each = (one.idle_mmhg / LEVEL_MMHG, one.held_mmhg / LEVEL_MMHG, (one.rpm - middle) / half)
    return float(max(abs(value) if np.isfinite(value) else np.inf for value in each))


def truly(bike: Bike) -> Truth:
    """Return how a bike truly stands."""
    row = steady.steady(bike)
    idle, held = row.depression_kpa[0] / MMHG, row.held_depression_kpa[0] / MMHG
    return Truth(
        idle_mmhg=float(idle[0] - idle[1]),
        held_mmhg=float(held[0] - held[1]),
        rpm=float(row.idle_rpm[0]),
        drops=float(row.drop_rpm[0][0] - row.drop_rpm[0][1]),
    )


def prevents(bike: Bike) -> bool:
    """Whether a bike cannot be balanced by its screws: set by perfect hands it is not level, or does not stay.

    They set it with the gauge's hoses on. Fuel that runs short while the revs are held for long does not prevent it.
    """
    hooked = steady.with_hoses(bike)
    set_ = operate.tune(operate.best_mixture(operate.tune(hooked)))
    set_ = set_.change("left", port_leak_mm2=bike.left.port_leak_mm2)
    set_ = set_.change("right", port_leak_mm2=bike.right.port_leak_mm2)
    at = truly(set_)
    stays = is_level(at) or (np.isnan(at.held_mmhg) and is_level(msgspec.structs.replace(at, held_mmhg=0.0)))
    rests = float(respond.fall(set_).rests_rpm[0])
    capped = abs(truly(steady.with_hoses(set_)).rpm - at.rpm) > HANGS_RPM
    return not stays or abs(at.drops) > CLEARLY_RPM or not rests < at.rpm + HANGS_RPM or capped


def healthy(seed: int) -> Bike:
    """Return a sound bike whose screws somebody has turned."""
    rng = np.random.default_rng([seed, 1])
    return misset(serviced([rng])[0], rng)


def faulty(seed: int, among: Collection[str] = ()) -> Hidden:
    """Return a bike with one fault that prevents a balance, drawn as often as it is met; others are drawn again."""
    rng = np.random.default_rng([seed, 2])
    while True:
        found = draw(rng, among, evenly=False)
        if (
            len(found.faults) == 1
            and found.faults[0][0] not in MISSET
            and not found.set_around
            and prevents(found.bike)
        ):
            return found
