"""Bikes to practise on: how hard each level is, and drawing a bike of that level."""

import secrets
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import msgspec
import numpy as np

from advisor.observer.bike_view import View, view
from advisor.observer.severity import trouble
from advisor.rulebase.model import Rulebase
from advisor.scoring.hidden_bikes import Hidden, draw
from advisor.virtual_bike import operate
from advisor.virtual_bike.faults import CAUSES
from advisor.virtual_bike.serviced import serviced

MOST_SEED = 99_999  # of the bikes that are brought where nobody asks for one
TRIES = 25  # bikes drawn at most, until one is as bad as its level asks
TRIES_SET_AROUND = 6  # the same if all is set around the fault: each of those takes long
TWO_FAULTS = 0.5  # chance of two faults on a hard bike; else it has one slight fault
NOTICED = 1.0  # trouble from which a rider clearly notices it


class BikeId(msgspec.Struct, frozen=True, kw_only=True):
    """Which bike it is: seed, level and place ('' for the whole bike). The same three give the same bike."""

    seed: int
    level: str
    area: str = ""

    @property
    def command(self) -> str:
        """The command that starts it."""
        return f"advisor practice --seed {self.seed} --level {self.level}{f' --area {self.area}' if self.area else ''}"


class Level(NamedTuple):
    """How hard a bike is: how bad its fault is (0 to 1), the least trouble it makes, whether all was set around it."""

    severity: tuple[float, float]
    least_trouble: float
    set_around: bool


LEVELS = {
    "easy": Level((0.8, 1.0), 1.5, set_around=False),
    "fair": Level((0.45, 0.9), NOTICED, set_around=False),
    "hard": Level((0.5, 1.0), 0.5, set_around=True),
}
SLIGHT = (0.25, 0.5)  # severity of the one fault of a hard bike


def any_seed() -> int:
    """Return the seed of some bike."""
    return secrets.randbelow(MOST_SEED)


def may_have_two(level: str) -> bool:
    """Whether bikes of this level may have two faults."""
    return LEVELS[level].set_around


def faults_of(place: str, base: Rulebase) -> list[str]:
    """Return the faults that can be planted in a place ('' for the whole bike)."""
    return [one for one in sorted(set(base.causes) & set(CAUSES)) if place in {"", base.causes[one].place}]


def draw_bike(which: BikeId, among: Sequence[str]) -> tuple[Hidden, View]:
    """Return a bike with faults `among` these, and its view: the first as bad as its level asks, else the worst."""
    level = LEVELS[which.level]
    rng = np.random.default_rng([which.seed, list(LEVELS).index(which.level)])
    sound = serviced(rng.spawn(1))[0]
    severity, counts = _how_bad(level, rng, several=len(among) > 1)
    worst: tuple[float, Hidden, View] | None = None
    for _ in range(TRIES_SET_AROUND if level.set_around else TRIES):
        drawn = draw(rng, among, severity, counts, sound=sound)
        if level.set_around:
            drawn = replace(drawn, bike=operate.tune(drawn.bike))
        seen = view(drawn.bike)
        bad = trouble(seen)
        if worst is None or bad > worst[0]:
            worst = bad, drawn, seen
        if bad >= level.least_trouble:
            break
    assert worst is not None  # noqa: S101 - TRIES is at least 1
    return worst[1], worst[2]


def _how_bad(level: Level, rng: np.random.Generator, *, several: bool) -> tuple[tuple[float, float], tuple[float, ...]]:
    """Return between which severities faults are drawn, and the chances of one fault, two and so on."""
    if not level.set_around:
        return level.severity, (1.0,)
    two = rng.random() < TWO_FAULTS and several
    return (level.severity, (0.0, 1.0)) if two else (SLIGHT, (1.0,))
