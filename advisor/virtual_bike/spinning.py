"""How the engine runs on from moment to moment: inertia x dw/dt = net torque, and the pointers that follow it."""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from advisor.virtual_bike import exhaust, idle
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.engine import run
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.vibration import depression

STEP_S = 0.05
SPEEDS: list[float] = idle.GRID.tolist()
WIDTHS = [high - low for low, high in pairwise(SPEEDS)]
RPM_PER_NM = 30 / math.pi / ENGINE.inertia  # rpm gained in a second for each N m left over


@dataclass(frozen=True)
class Curve:
    """What the engine does at each speed of `idle.GRID` with nothing touched: N m; for each side Pa, share, W."""

    net: Sequence[float]
    depression: tuple[Sequence[float], Sequence[float]]
    missed: tuple[Sequence[float], Sequence[float]]
    heat: tuple[Sequence[float], Sequence[float]]


@dataclass(frozen=True)
class Curves:
    """The same for some bikes: arrays (bike[, side], speed)."""

    net: Array
    depression: Array
    missed: Array
    heat: Array

    def between(self, share: float) -> Curve:
        """Return the curve this share of the way from the first bike to the last."""
        net, under, missed, heat = (
            ((1 - share) * one[0] + share * one[-1]).tolist()
            for one in (self.net, self.depression, self.missed, self.heat)
        )
        return Curve(net, tuple(under), tuple(missed), tuple(heat))


def curves(*bikes: Bike) -> Curves:
    """Return the curves of these bikes with the grip where it is."""
    b = pack(bikes)
    r = run(b, idle.GRID[None, None, :])
    return Curves(r.net, depression(r, b["pressure_pa"]), 1 - r.fire.burn, exhaust.head_heat(r))


def place(rpm: float) -> tuple[int, float]:
    """Return where a speed lies on `idle.GRID`: the point below, and the share of the way to the next one."""
    k = min(max(bisect_right(SPEEDS, rpm) - 1, 0), len(WIDTHS) - 1)
    return k, (rpm - SPEEDS[k]) / WIDTHS[k]


def at(values: Sequence[float], where: tuple[int, float]) -> float:
    """Return a curve's value there."""
    k, part = where
    return values[k] + part * (values[k + 1] - values[k])


def both(values: tuple[Sequence[float], Sequence[float]], rpm: float) -> tuple[float, float]:
    """Return left and right at a speed (rpm); zeros for an engine that stands still."""
    where = place(rpm)
    return (at(values[0], where), at(values[1], where)) if rpm else (0.0, 0.0)


@dataclass
class Moment:
    """The engine's speed (0: it stands still) and where the pointers stand: the tachometer's (rpm), the columns' (Pa).

    `lags_s` are the time constants of tachometer and columns, s.
    """

    rpm: float
    tachometer: float
    columns: tuple[float, float]
    lags_s: tuple[float, float]

    def run_on(self, curve: Curve, seconds: float) -> None:
        """Let time pass: the engine goes on by its torque, and stalls below `idle.LEAST`; the pointers follow."""
        steps = max(1, math.ceil(seconds / STEP_S))
        for _ in range(steps):
            if self.rpm:
                gained = RPM_PER_NM * at(curve.net, place(self.rpm)) * seconds / steps
                rpm = min(self.rpm + gained, SPEEDS[-1])
                self.rpm = rpm if rpm > idle.LEAST else 0.0
            self.follow(both(curve.depression, self.rpm), self.rpm, seconds / steps)

    def follow(self, columns: tuple[float, float], rpm: float, seconds: float) -> None:
        """Let the pointers go towards these depressions (Pa) and this speed (rpm) for a while."""
        left, right = columns
        slow, late = (math.exp(-seconds / lag) for lag in self.lags_s)
        self.tachometer = rpm + (self.tachometer - rpm) * slow
        self.columns = left + (self.columns[0] - left) * late, right + (self.columns[1] - right) * late
