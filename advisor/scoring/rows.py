"""One scored bike as a row of figures: where its fault is ranked, how sure that is, and what the planner did."""

import math

import msgspec
import numpy as np

from advisor.observer.severity import shows
from advisor.rulebase.model import Rulebase
from advisor.scoring.game import Move, play
from advisor.scoring.hidden_bikes import Hidden, cause_of, how_often
from advisor.scoring.stand import Stand
from advisor.sides import Side, Sided, named
from advisor.virtual_bike.faults import CAUSES

LEAST = 1e-9  # of a probability in a logarithm


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """One scored bike. Probabilities and places are of the fault ranked best, after the opening readings.

    `said` and `true` are for how far a probability can be believed: that of what is ranked first among the faults that
    the model can have, and whether the bike has it. `weight` counts the bike as often as its faults' pages say that
    they are met, against how often the model draws them.
    """

    number: int
    fault: str
    side: Side
    severity: float
    faults: int
    read: int  # how many of the opening readings were taken
    shows: bool  # in those, by the model alone
    first: str  # what is ranked first
    first_chance: float
    hit: bool  # whether that is one of the faults, on its side
    said: float
    true: bool
    weight: float
    place: int  # of a true cause; its two sides count as one
    chance: float  # of the true cause ranked best
    brier: float  # sum over causes of (probability - truth) squared
    log_score: float  # sum over causes of -log2 of the probability of what is true
    acted: str  # the first cause that was put right ('' for none)
    right: bool  # whether it put one of the faults right
    cured: bool  # whether all faults were put right
    minutes: float  # until then, or until the planner gave up
    steps: int
    played: bool


def row_of(number: int, stand: Stand, read: tuple[str, ...], *, on: bool) -> Row:
    """Return the row of a bike of which the opening was told and read; `on`: the planner plays on until it is cured."""
    hidden = stand.hidden
    chances = stand.chances()
    top = max(chances, key=lambda one: chances[one])
    possible = stand.chances(among=CAUSES)
    likeliest = max(possible, key=lambda one: possible[one])
    best = max(hidden.causes, key=lambda one: chances[one])
    severity = {cause_of(fault): fault[2] for fault in hidden.faults}[best]
    opening = stand.view
    moves = play(stand) if on else ()
    fix = next((one for one in moves if one.kind == "fix"), None)
    return Row(
        number=number,
        fault=best[0],
        side=best[1],
        severity=severity,
        faults=len(hidden.faults),
        read=len(read),
        shows=shows(opening, read),
        first=named(*top),
        first_chance=chances[top],
        hit=top in hidden.causes,
        said=possible[likeliest],
        true=likeliest in hidden.causes,
        weight=_weight(hidden, stand.base),
        place=place_of(chances, best),
        chance=chances[best],
        brier=sum((chance - (one in hidden.causes)) ** 2 for one, chance in chances.items()),
        log_score=_log_score(chances, hidden),
        acted=named(fix.name, fix.side) if fix else "",
        right=fix.right if fix else False,
        cured=on and not stand.left,
        minutes=stand.minutes,
        steps=_looks(moves),
        played=on,
    )


def _looks(moves: tuple[Move, ...]) -> int:
    """Return how many of the moves were looks: all but repairs."""
    return sum(one.kind != "fix" for one in moves)


def _weight(hidden: Hidden, base: Rulebase) -> float:
    """Return how often the pages say that a bike's faults are met, as a multiple of how often they are drawn."""
    met = _met(base)
    return math.prod(met[cause] for cause, _ in hidden.causes)


def _met(base: Rulebase) -> dict[str, float]:
    """Return, for each fault of the model, how often its page says that it is met over how often it is drawn."""
    known = [one for one in CAUSES if one in base.causes]
    met = {one: base.words.met[base.causes[one].met] for one in known}
    drawn = {one: how_often(one) for one in known}
    return {one: (met[one] / sum(met.values())) / (drawn[one] / sum(drawn.values())) for one in known}


def place_of(chances: dict[Sided, float], cause: Sided) -> int:
    """Return the place of a cause, 1 for the first. Both sides of a cause are one place, by their chances together."""
    best: dict[str, float] = {}
    for (name, _), chance in chances.items():
        best[name] = chance + best.get(name, 0.0)
    return 1 + sum(chance > best[cause[0]] for chance in best.values())


def _log_score(chances: dict[Sided, float], hidden: Hidden) -> float:
    """Return the sum over causes of -log2 of the probability of what is true, bits."""
    right = (chance if one in hidden.causes else 1 - chance for one, chance in chances.items())
    return float(-np.log2(np.maximum(np.fromiter(right, float), LEAST)).sum())
