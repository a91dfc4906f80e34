"""How much a check would tell about what is wrong: mutual information, in bits."""

import math
from collections.abc import Iterable, Sequence
from operator import mul, truediv

import msgspec

from advisor.plan.candidates import Candidate, Result
from advisor.rank.joint import Joint
from advisor.rank.network import SideOf


class Told(msgspec.Struct, frozen=True):
    """The bits a check is expected to tell, and how likely each of its results is."""

    bits: float
    chances: tuple[float, ...]


def entropy(chances: Iterable[float]) -> float:
    """Return the entropy of a distribution in bits."""
    return -sum(one * math.log2(one) for one in chances if one > 0.0)


def information(weights: Sequence[float], results: Sequence[Sequence[float]]) -> Told:
    """Return what an observation tells about hypotheses of these weights.

    `results` holds each result's chance by hypothesis. Mutual information: the entropy of the result
    less its expected entropy once the hypothesis is known.
    """
    chances = tuple(sum(map(mul, weights, result)) for result in results)
    noise = -sum(
        weight * one * math.log2(one)
        for result in results
        for weight, one in zip(weights, result, strict=True)
        if one > 0.0
    )
    return Told(max(entropy(chances) - noise, 0.0), chances)


def told_by(candidate: Candidate, joint: Joint) -> Told:
    """Return what a check would tell about the suspects."""
    leaky = {key: finding.leaky for result in candidate.results for key, finding in result.findings.items()}
    within = joint.linked(leaky.values())
    absent = {key: joint.absent(one, within) for key, one in leaky.items()}
    results = [_chances(result, absent) for result in candidate.results]
    totals = [sum(row) for row in zip(*results, strict=True)]
    return information(joint.folded(within), [list(map(truediv, result, totals)) for result in results])


def _chances(result: Result, absent: dict[SideOf, list[float]]) -> list[float]:
    """Return how likely a result is under each combination, next to the check's other results."""
    chances = [1.0] * len(next(iter(absent.values())))
    for key, finding in result.findings.items():
        one = [1 - chance for chance in absent[key]] if finding.seen else absent[key]
        chances = list(map(mul, chances, one))
    return chances
