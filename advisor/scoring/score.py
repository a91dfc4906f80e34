"""Scores the rule base on bikes with hidden faults, which know nothing of its rules, in batches and processes.

One seed gives one table, however it is split.
"""

import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

import msgspec
import numpy as np

from advisor.diagnose import Advisor
from advisor.rulebase import load
from advisor.scoring.check_result import SLIPS
from advisor.scoring.customers import brought
from advisor.scoring.rows import Row, row_of
from advisor.scoring.stand import OPENING, Stand
from advisor.virtual_bike.faults import CAUSES

BATCH, SMALL_BATCH = 20, 2  # bikes whose running is worked out at once
ALL_READ = 0.5  # share of the bikes of which every opening reading is taken; judgement. Of the others, some are
R = TypeVar("R")


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
    """Return the batches of this many cases. Those on which the planner plays are small, so that all have work."""
    names, start = tuple(str(folder) for folder in folders), 0
    found: list[Task] = []
    while start < cases:
        count = min(SMALL_BATCH if start < planned else BATCH, cases - start)
        found.append(Task(start, count, seed, names, planned))
        start += count
    return found


def score(work: Sequence[Task], jobs: int) -> Iterator[list[Row]]:
    """Yield the rows of each batch, in order, worked out by this many processes."""
    yield from spread(batch, work, jobs)


def spread(what: Callable[[Task], list[R]], work: Sequence[Task], jobs: int) -> Iterator[list[R]]:
    """Yield what is found for each task, in order, worked out by this many processes."""
    if jobs == 1:
        yield from map(what, work)
        return
    pool = ProcessPoolExecutor(jobs, initializer=signal.signal, initargs=(signal.SIGINT, signal.SIG_IGN))
    try:
        yield from pool.map(what, work)
    finally:
        pool.shutdown(wait=False, cancel_futures=True)  # a stop half-way does not wait for the rest


@lru_cache(maxsize=1)
def advisor_of(folders: tuple[str, ...]) -> Advisor:
    """Return the advisor of these rule folders, made once in each process."""
    return Advisor(load([Path(folder) for folder in folders]))


def batch(task: Task) -> list[Row]:
    """Return the rows of one batch."""
    found = enumerate(opened(task), task.start)
    return [row_of(number, stand, read, on=number < task.planned) for number, (stand, read) in found]


def opened(task: Task) -> list[tuple[Stand, tuple[str, ...]]]:
    """Return the bikes of one batch, with the opening readings that were taken of each."""
    return [(stand, _opening(stand)) for stand in on_the_stand(task)]


def on_the_stand(task: Task) -> list[Stand]:
    """Return the bikes of one batch, before anything is told of them.

    What is drawn depends on the seed and the case's number only, not on the batch.
    """
    advisor = advisor_of(task.folders)
    generators = [np.random.default_rng([task.seed, task.start + n]) for n in range(task.count)]
    known = set(advisor.base.causes) & set(CAUSES)
    return [
        Stand(advisor, one, seen, rng, slips=task.slips)
        for (one, seen), rng in zip(brought(generators, known), generators, strict=True)
    ]


def _opening(stand: Stand) -> tuple[str, ...]:
    stand.complain()
    return stand.measure(dict.fromkeys(OPENING, 1.0) if stand.rng.random() < ALL_READ else OPENING)
