"""The heat of heads and oil, and ten minutes from cold at idle: steady running at each moment, heat in between."""

from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import exhaust, friction, idle
from advisor.virtual_bike.batch import Batch, pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.engine import run
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import column_mm

STEP_S = 20.0
ENRICHER, ENRICHER_FOR_S = 0.6, 75.0  # lever position, and how long the rider leaves it out
OIL_SHARE = 0.7  # share of friction heat that stays in the oil


@dataclass(frozen=True)
class Cooling:
    """What the air around takes away, W/K: of each head, and of the oil."""

    head: float
    oil: float


STILL_AIR = Cooling(E.head_cooling, E.oil_cooling)
FAN = Cooling(E.head_cooling_fan, E.oil_cooling)
ROAD = Cooling(E.head_cooling_road, E.oil_cooling_road)


@dataclass(frozen=True)
class Warmth:
    """Temperatures, degrees Celsius: the heads (bike, side) and the oil (bike)."""

    head_c: Array
    oil_c: Array

    def of(self, b: Batch) -> Batch:
        """Return the batch with these temperatures."""
        return b | {"head_c": self.head_c[:, :, None], "oil_c": self.oil_c[:, None, None]}


def heated(b: Batch, now: Warmth, heat: Array, rpm: Array, by: Cooling = STILL_AIR) -> tuple[Array, Array]:
    """Return how fast heads and oil warm, K/s, with `heat` (W) into each head (bike, side) at these speeds (bike).

    A stalled engine (0 rpm, no heat) cools.
    """
    rubbed = friction.engine_torque(now.of(b), rpm[:, None, None])[:, 0, 0] * 2 * rpm * np.pi / 30
    air = b["air_c"][:, :, 0]
    to_oil = E.head_to_oil * (now.head_c - now.oil_c[:, None])
    head = (heat - by.head * (now.head_c - air) - to_oil) / E.head_capacity
    oil = (OIL_SHARE * rubbed + to_oil.sum(1) - by.oil * (now.oil_c - air[:, 0])) / E.oil_capacity
    return head, oil


@dataclass(frozen=True)
class Log:
    """One row per moment: seconds (moment), the rest (moment, bike[, side]); rpm is 0 once the engine has stalled."""

    seconds: Array
    rpm: Array
    head_c: Array
    oil_c: Array
    excess: Array
    column_mm: Array


def _at(values: Array, rpm: Array) -> Array:
    """Return values (bike, side, grid speed) interpolated linearly at each bike's speed."""
    k = np.clip(np.searchsorted(idle.GRID, rpm) - 1, 0, len(idle.GRID) - 2)
    part = (rpm - idle.GRID[k]) / (idle.GRID[k + 1] - idle.GRID[k])
    row = np.arange(len(rpm))
    low, high = values[row, :, k], values[row, :, k + 1]
    return np.asarray(low + (high - low) * part[:, None])


def warm_up(*bikes: Bike, minutes: float = 10.0, from_c: float = 15.0) -> Log:
    """Return the log of these bikes started cold (degrees Celsius) and left to idle, the enricher out at first.

    A bike that stalls is started again at the next moment.
    """
    b = pack(bikes)
    lever = np.maximum(b["enricher"], ENRICHER)
    warmth = Warmth(np.full((len(bikes), 2), from_c), np.full(len(bikes), from_c))
    rpm = np.full(len(bikes), idle.USUAL)
    times = np.arange(0.0, minutes * 60 + 1e-9, STEP_S)
    rows = []
    for time in times:
        now = warmth.of(b)
        now["enricher"] = lever if time < ENRICHER_FOR_S else b["enricher"]
        r = run(now, idle.GRID[None, None, :])
        settled = idle.follow(r.net, np.where(rpm > 0, rpm, idle.USUAL))
        rpm = np.nan_to_num(settled)
        under = _at(r.depression, rpm)
        column = column_mm(under[:, 0], under[:, 1])
        rows.append((rpm, warmth.head_c, warmth.oil_c, _at(r.excess, rpm), column))
        heat = _at(exhaust.head_heat(r), rpm) * (rpm > 0)[:, None]
        head, oil = heated(b, warmth, heat, rpm)
        warmth = Warmth(warmth.head_c + STEP_S * head, warmth.oil_c + STEP_S * oil)
    rpm_, head_, oil_, excess, column_ = (np.stack(part) for part in zip(*rows, strict=True))
    return Log(times, rpm_, head_, oil_, excess, np.where(rpm_ > 0, column_, np.nan))
