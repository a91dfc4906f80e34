"""Which screw to turn next, which way and how far: the turn after which the sides are expected to be least far off.

What is expected counts with its scatter, so a turn whose answer is hardly known is made smaller: the cautious
controller of K. J. Astrom and B. Wittenmark, 'Adaptive Control', chapter on stochastic adaptive control, from memory.
"""

import itertools
from functools import cache
from typing import TYPE_CHECKING

import msgspec

from advisor.balance.response import Stand, Usual, outcomes
from advisor.balance.turns import WHOLE
from advisor.lazy import lazy

if TYPE_CHECKING:
    import numpy as np
else:
    np = lazy("numpy")

TRIED = (-8, -6, -4, -3, -2, -1, 0, 1, 2, 3, 4, 6, 8)  # sixteenths: half a turn at most, then it is read again
SECOND = 0.1  # a second screw must help by this share of what one alone leaves: one screw is turned more surely
WORTH = 0.15  # a turn must take away this share of what is wrong; else it is not worth a turn. Judgement


class Aim(msgspec.Struct, frozen=True, kw_only=True):
    """Where things should stand, and how far off each may be."""

    at: tuple[float, ...]
    within: tuple[float, ...]


def best(stand: Stand, aim: Aim, usual: Usual) -> tuple[int, ...]:
    """Return sixteenths for each screw; all 0 if no turn is worth it.

    How far off a turn leaves things is the mean square, each in what it may be off. Of two alike, the smaller turn.
    """
    ways = _ways(stand.screws)
    means, variances = outcomes(stand, np.array(ways) / WHOLE, usual)
    off = ((np.square(means - aim.at) + variances) / np.square(aim.within)).sum(1)
    size = [sum(map(abs, one)) for one in ways]
    order = sorted(range(len(ways)), key=lambda at: (round(float(off[at]), 9), size[at]))
    double = order[0]
    single = next(at for at in order if sum(map(bool, ways[at])) <= 1)
    found = double if off[double] < (1 - SECOND) * off[single] else single
    return ways[found] if off[found] < (1 - WORTH) * off[size.index(0)] else (0,) * stand.screws


@cache
def _ways(screws: int) -> list[tuple[int, ...]]:
    return list(itertools.product(TRIED, repeat=screws))
