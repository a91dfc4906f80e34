"""How much a check told: how far it moved the ranking."""

import math
from collections.abc import Mapping, Sequence

from advisor.sides import Side

Key = tuple[str, Side]


def _shares(chances: Mapping[Key, float], among: Sequence[Key]) -> list[float]:
    total = sum(chances[one] for one in among)
    return [chances[one] / total for one in among] if total else [1 / len(among)] * len(among)


def suspects(chances: Mapping[Key, float]) -> float:
    """Return how many causes the ranking leaves about alike likely: 2 to the power of its entropy in bits."""
    return float(2 ** -sum(one * math.log2(one) for one in _shares(chances, list(chances)) if one > 0))


def moved(before: Mapping[Key, float], after: Mapping[Key, float]) -> float:
    """Return how far the ranking moved, in bits: the entropy of what it is relative to what it was."""
    both = [one for one in before if one in after]
    pairs = zip(_shares(after, both), _shares(before, both), strict=True)
    return sum(now * math.log2(now / was) for now, was in pairs if now > 0 and was > 0)
