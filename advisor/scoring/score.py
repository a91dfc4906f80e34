"""Scores the rule base on bikes with hidden faults, which know nothing of its rules. One seed, one table."""

import math
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache, partial
from pathlib import Path
from typing import TypeVar

import msgspec
import numpy as np

from advisor.diagnose import Advisor
from advisor.observer.severity import shows
from advisor.rulebase import Rulebase, load
from advisor.scoring.check_result import SLIPS
from advisor.scoring.customers import brought
from advisor.scoring.draw import Hidden, cause_of, how_often
from advisor.scoring.stand import OPENING, Stand
from advisor.sides import Side, Sided, named
from advisor.virtual_bike.faults import CAUSES

BATCH, SMALL_BATCH = 20, 2  # bikes whose running is worked out at once
ALL_READ = 0.5  # share of the bikes of which all opening readings are taken; of the others some, as they are brought
MOST_MINUTES, MOST_STEPS = 480.0, 120  # after a working day, or so many checks and repairs, the planner has lost
R = TypeVar("R")


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


class Task(msgspec.Struct, frozen=True):
    """A batch to score: its first number, how many, the seed of the whole, the rule folders.

    On the bikes numbered below `planned` the planner plays on until they are cured.
    """

    start: int
    count: int
    seed: int
    folders: tuple[str, ...]
    planned: int
    slips: float = SLIPS


def tasks(cases: int, seed: int, folders: Sequence[Path], planned: int) -> list[Task]:
    """Return the batches of so many cases, those on which the planner plays in small ones, so that all have work."""
    names, start = tuple(str(folder) for folder in folders), 0
    found: list[Task] = []
    while start < cases:
        count = min(SMALL_BATCH if start < planned else BATCH, cases - start)
        found.append(Task(start, count, seed, names, planned))
        start += count
    return found


def score(work: Sequence[Task], jobs: int) -> Iterator[list[Row]]:
    """Yield the rows of each batch, in order, worked out by so many processes."""
    yield from spread(batch, work, jobs)


def spread(what: Callable[[Task], list[R]], work: Sequence[Task], jobs: int) -> Iterator[list[R]]:
    """Yield what is found for each task, in order, worked out by so many processes."""
    if jobs == 1:
        yield from map(what, work)
        return
    pool = ProcessPoolExecutor(jobs)
    try:
        yield from pool.map(what, work)
    finally:
        pool.shutdown(wait=False, cancel_futures=True)  # whoever stops half-way does not wait for the rest


@lru_cache(maxsize=1)
def _advisor(folders: tuple[str, ...]) -> Advisor:
    return Advisor(load([Path(folder) for folder in folders]))


def batch(task: Task) -> list[Row]:
    """Return the rows of one batch."""
    found = enumerate(opened(task), task.start)
    return [_row(number, stand, read, on=number < task.planned) for number, (stand, read) in found]


def opened(task: Task) -> list[tuple[Stand, tuple[str, ...]]]:
    """Return the bikes of one batch, with the opening readings that were taken of each.

    What is drawn hangs on the seed and the case's number alone.
    """
    advisor = _advisor(task.folders)
    generators = [np.random.default_rng([task.seed, task.start + n]) for n in range(task.count)]
    known = set(advisor.base.causes) & set(CAUSES)
    stands = [
        Stand(advisor, one, seen, rng, slips=task.slips)
        for (one, seen), rng in zip(brought(generators, known), generators, strict=True)
    ]
    return [(stand, _opening(stand)) for stand in stands]


def _opening(stand: Stand) -> tuple[str, ...]:
    stand.complain()
    return stand.measure(dict.fromkeys(OPENING, 1.0) if stand.rng.random() < ALL_READ else OPENING)


def _row(number: int, stand: Stand, read: tuple[str, ...], *, on: bool) -> Row:
    hidden = stand.hidden
    chances = stand.chances()
    top = max(chances, key=lambda one: chances[one])
    possible = stand.chances(among=CAUSES)
    likeliest = max(possible, key=lambda one: possible[one])
    best = max(hidden.causes, key=lambda one: chances[one])
    severity = {cause_of(fault): fault[2] for fault in hidden.faults}[best]
    opening = stand.view
    acted, right, steps = _played(stand) if on else ("", False, 0)
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
        weight=_weight(hidden, stand.advisor.base),
        place=place_of(chances, best),
        chance=chances[best],
        brier=sum((chance - (one in hidden.causes)) ** 2 for one, chance in chances.items()),
        log_score=_log_score(chances, hidden),
        acted=acted,
        right=right,
        cured=on and not stand.left,
        minutes=stand.minutes,
        steps=steps,
        played=on,
    )


def _weight(hidden: Hidden, base: Rulebase) -> float:
    """Return how many times as often as they are drawn the pages say that a bike's faults are met."""
    met = _met(base)
    return math.prod(met[cause] for cause, _ in hidden.causes)


def _met(base: Rulebase) -> dict[str, float]:
    """Return how many times as often as it is drawn the page of each fault says that it is met."""
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
    least = 1e-9
    right = (chance if one in hidden.causes else 1 - chance for one, chance in chances.items())
    return float(-np.log2(np.maximum(np.fromiter(right, float), least)).sum())


class Move(msgspec.Struct, frozen=True):
    """One step of the planner: a check done, a suspect's deciding check (`settle`), or a fault put right."""

    kind: str  # check, settle or fix
    name: str  # the check, or the cause
    side: Side
    right: bool  # settled as this one, or one of the faults; no for a plain check
    minutes: float


def play(stand: Stand, most: float = MOST_MINUTES) -> tuple[Move, ...]:
    """Let the planner go on until all faults are put right or it gives up, after `most` minutes; return its steps."""
    moves: list[Move] = []

    def note(kind: str, what: Sided, act: Callable[..., object]) -> bool:
        before = stand.minutes
        right = act(*what) is True
        moves.append(Move(kind, *what, right, stand.minutes - before))
        return right

    while stand.left and len(moves) < MOST_STEPS and stand.minutes < most:
        planned = stand.planned()
        if planned.goes_for:
            found = note("settle", planned.goes_for, partial(stand.settle, seen=planned.proven))
            if found and planned.proven:
                note("fix", planned.goes_for, stand.put_right)
                if stand.left:
                    stand.complain()  # of what is still felt on the trial run
        elif planned.check:
            note("check", planned.check, stand.do)
        else:
            break
    return tuple(moves)


def _played(stand: Stand) -> tuple[str, bool, int]:
    """Return the first cause that the planner acted on ('' for none), whether that cured a fault, and its steps."""
    moves = play(stand)
    first = next((one for one in moves if one.kind == "fix"), None)
    steps = sum(one.kind != "fix" for one in moves)
    return (named(first.name, first.side), first.right, steps) if first else ("", False, steps)
