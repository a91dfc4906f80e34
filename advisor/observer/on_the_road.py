"""How the virtual bike pulls on the road: a few points of opening and speed that a rider would know, for many bikes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor.virtual_bike import carburettor, engine
from advisor.virtual_bike import steady as m
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array

RIDDEN_MIN = 25.0  # minutes on the road, after which trouble with the supply has shown
OPENED_MM = 0.8  # of cable past its slack: the grip just opened
# name: speed in rpm, cable pull in mm; without a pull the speed is held (or the grip just opened)
POINTS: dict[str, tuple[float, float | None]] = {
    "opening": (1300.0, None),
    "barely": (1500.0, None),
    "cruise": (m.CRUISE_RPM, None),
    "quarter": (3500.0, 8.0),
    "half": (4500.0, 14.0),
    "low": (2500.0, m.FULL_GRIP),
    "eased": (m.FULL_RPM, 20.0),
    "full": (m.FULL_RPM, m.FULL_GRIP),
    "high": (6500.0, m.FULL_GRIP),
    "overrun": (3000.0, 0.0),
}
NAMES = tuple(POINTS)


@dataclass(frozen=True)
class Road:
    """Arrays (bike, side, point of `NAMES`), torque (N m), excess air, shares; `net` (N m) is (bike, point)."""

    net: Array
    side_nm: Array  # a side's own torque, its friction taken off
    excess: Array
    misfire: Array
    fuel_kg_s: Array
    drawn: Array  # share of what the supply can give
    early_deg: Array  # spark before the timing of most torque
    held: Array  # (bike, point): 1, or 0 where no pull holds the speed

    def row(self, index: int) -> "Road":
        """Return one bike's figures: (side, point), or (point)."""
        return Road(*(getattr(self, name)[index] for name in self.__dataclass_fields__))


def _just_opened(bike: Bike) -> float:
    slack = (
        one.adjuster_mm + one.pull_lost_mm + ENGINE.lever_mm_per_degree * one.stop_deg
        for one in (bike.left, bike.right)
    )
    return max(0.0, *(min(slack),)) + OPENED_MM


def road(bikes: Sequence[Bike]) -> Road:
    """Return how these bikes pull, after some time on the road."""
    ridden = [replace(bike, ridden_min=max(bike.ridden_min, RIDDEN_MIN)) for bike in bikes]
    b = pack(ridden)
    held = m.hold(b, np.array([POINTS["barely"][0], m.CRUISE_RPM]), np.array([0.0, m.CRUISE_LOAD]))
    pulls = np.array([[POINTS[name][1] or 0.0 for name in NAMES]] * len(ridden))
    pulls[:, 0] = [_just_opened(bike) for bike in ridden]
    pulls[:, 1:3] = np.nan_to_num(held, nan=m.FULL_GRIP)
    speeds = np.array([POINTS[name][0] for name in NAMES])
    r = engine.run(b | {"grip_mm": pulls[:, None]}, np.broadcast_to(speeds, (1, 1, len(speeds))))
    holds = np.ones_like(pulls)
    holds[:, 1:3] = np.isfinite(held)
    return Road(
        net=r.net,
        side_nm=r.torque - r.friction,
        excess=r.excess,
        misfire=1 - r.fire.burn,
        fuel_kg_s=r.fuel * r.rpm / 120,
        drawn=r.fuel * r.rpm / 120 / carburettor.supply(b),
        early_deg=r.fire.advance - r.fire.best,
        held=holds,
    )
