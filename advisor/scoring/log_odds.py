"""How much a check told of the fault: how far it raised the odds that the ranking gave to it."""

import math
from collections.abc import Collection, Mapping

from advisor.rank.ranking import odds
from advisor.sides import Sided


def given(chances: Mapping[Sided, float], faults: Collection[Sided]) -> float:
    """Return the probability of the likeliest of these faults (0 if none is left)."""
    return max((chances[one] for one in faults), default=0.0)


def raised(before: float, after: float) -> float:
    """Return by how many bits the odds of a probability rose: 1 for twice the odds, below 0 if they fell."""
    return math.log2(odds(after) / odds(before))
