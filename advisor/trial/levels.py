"""Bikes to practise on: how bad, how many faults, where."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from advisor.errors import AdvisorError
from advisor.rulebase.model import Rulebase
from advisor.trial.draw import Hidden, draw
from advisor.trial.trouble import trouble
from advisor.trial.view import View, view
from advisor.virtual_bike import operate
from advisor.virtual_bike.faults import CAUSES
from advisor.virtual_bike.serviced import serviced

TRIES, TRIES_AROUND = (
    25,
    6,
)  # where all is set around, each takes long; bikes drawn at most until one is as bad as its level asks
TWO_FAULTS = 0.5  # chance of two faults on a hard bike; else it has one slight fault
GONE = 1.0  # trouble that nobody notices clearly


class Level(NamedTuple):
    """How hard a bike is: how bad its fault, how bad the trouble at least, whether all was set around it."""

    severity: tuple[float, float]
    least: float
    around: bool


LEVELS = {
    "easy": Level((0.8, 1.0), 1.5, around=False),
    "fair": Level((0.45, 0.9), GONE, around=False),
    "hard": Level((0.5, 1.0), 0.5, around=True),
}
SLIGHT = (0.25, 0.5)


def faults(base: Rulebase, area: str) -> list[str]:
    """Return the faults to plant in an area ('' for anywhere). Raises AdvisorError where there is none."""
    among = sorted(set(base.causes) & set(CAUSES))
    places = sorted({base.causes[one].place for one in among})
    if area and area not in places:
        msg = f"--area {area}: no fault to practise on lies there; choose one of {', '.join(places)}"
        raise AdvisorError(msg)
    return [one for one in among if area in {"", base.causes[one].place}]


def drawn(seed: int, name: str, among: Sequence[str]) -> tuple[Hidden, View]:
    """Return the first bike that is as bad as the level asks, or the worst of many; with its view."""
    level, rng = LEVELS[name], np.random.default_rng([seed, list(LEVELS).index(name)])
    sound = serviced(rng.spawn(1))[0]
    severity = level.severity
    counts: tuple[float, ...] = (1.0,)
    if level.around:
        two = rng.random() < TWO_FAULTS and len(among) > 1
        severity, counts = (severity, (0.0, 1.0)) if two else (SLIGHT, (1.0,))
    worst: tuple[float, Hidden, View] | None = None
    for _ in range(TRIES_AROUND if level.around else TRIES):
        one = draw(rng, among, severity, counts, sound=sound)
        if level.around:
            one = replace(one, bike=operate.tune(one.bike))
        seen = view(one.bike)
        bad = trouble(seen)
        if worst is None or bad > worst[0]:
            worst = bad, one, seen
        if bad >= level.least:
            break
    assert worst is not None  # noqa: S101 - TRIES is at least 1
    return worst[1], worst[2]
