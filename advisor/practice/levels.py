"""Bikes to practise on: how bad, how many faults, where."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from advisor.errors import AdvisorError
from advisor.observer.bike_view import View, view
from advisor.observer.severity import trouble
from advisor.rulebase.model import Rulebase
from advisor.rulebase.search import stems
from advisor.scoring.hidden_bikes import Hidden, draw
from advisor.virtual_bike import operate
from advisor.virtual_bike.faults import CAUSES
from advisor.virtual_bike.serviced import serviced

TRIES, TRIES_AROUND = (
    25,
    6,
)  # where all is set around, each takes long; bikes drawn at most until one is as bad as its level asks
TWO_FAULTS = 0.5  # chance of two faults on a hard bike; else it has one slight fault
NUMBER, WORD = re.compile(r"^\d+$"), re.compile(r"[a-z]+")
BEGUN = 3  # letters of a word's beginning that stand for it
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


def stage_of(words: str, base: Rulebase) -> int | None:
    """Return the stage (0 first) that a number, a name or a word of its title means; None for none."""
    if NUMBER.match(words):
        return int(words) - 1 if 1 <= int(words) <= len(base.areas) else None
    wanted = set(stems(words))
    for place, area in enumerate(base.areas):
        if wanted and wanted <= set(stems(f"{area.id} {area.title} {' '.join(area.places)}")):
            return place
    return None


def stage_like(words: str, base: Rulebase) -> int | None:
    """Return the stage that is meant, also by the beginnings of words of its title or places; None for none."""
    exact = stage_of(words, base)
    if exact is not None or not words.strip():
        return exact
    for place, area in enumerate(base.areas):
        known = WORD.findall(f"{area.id} {area.title} {' '.join(area.places)}".lower())
        begun = words.lower().split()
        if all(len(one) >= BEGUN and any(word.startswith(one) for word in known) for one in begun):
            return place
    return None


def place_of(words: str, base: Rulebase) -> str:
    """Return the place that is meant, by its beginning or by a stage ('' for anywhere).

    Raises AdvisorError where no fault lies there.
    """
    said = words.strip().lower()
    places = sorted({base.causes[one].place for one in set(base.causes) & set(CAUSES)})
    begun = [one for one in places if len(said) >= BEGUN and one.startswith(said)]
    if said in {"", *places}:
        return said
    if len(begun) == 1:
        return begun[0]
    stage = stage_like(said, base)
    if stage is not None:
        area = base.areas[stage]
        found = [one for one in (area.id, *area.places) if one in places]
        if found:
            return found[0]
    msg = (
        f"--area {words}: no fault to practise on lies there; choose one of {', '.join(places)}, "
        "or a word of a stage's title"
    )
    raise AdvisorError(msg)


def faults(base: Rulebase, place: str) -> list[str]:
    """Return the faults to plant in a place ('' for anywhere)."""
    return [one for one in sorted(set(base.causes) & set(CAUSES)) if place in {"", base.causes[one].place}]


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
