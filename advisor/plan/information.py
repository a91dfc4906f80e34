"""How much a check would tell about what is wrong: mutual information, in bits."""

import math
from operator import mul

import msgspec

from advisor.plan.candidates import Candidate, Result
from advisor.rank.joint import Joint
from advisor.rank.network import SideOf


class Told(msgspec.Struct, frozen=True):
    """The bits a check is expected to tell, and how likely each of its results is."""

    bits: float
    chances: tuple[float, ...]


def entropy(chances: list[float]) -> float:
    """Return the entropy of a distribution in bits."""
    return -sum(one * math.log2(one) for one in chances if one > 0.0)


def information(likelihoods: list[tuple[float, list[float]]]) -> Told:
    """Return what an observation tells about hypotheses: (weight, chance of each result) for each of them.

    Mutual information: the entropy of the result less its expected entropy once the hypothesis is known.
    """
    size = len(likelihoods[0][1]) if likelihoods else 0
    chances = [sum(weight * row[place] for weight, row in likelihoods) for place in range(size)]
    noise = sum(weight * entropy(row) for weight, row in likelihoods)
    return Told(max(entropy(chances) - noise, 0.0), tuple(chances))


def told_by(candidate: Candidate, joint: Joint) -> Told:
    """Return what a check would tell about the suspects."""
    leaky = {key: finding.leaky for result in candidate.results for key, finding in result.findings.items()}
    within = joint.linked(leaky.values())
    absent = {key: joint.absent(one, within) for key, one in leaky.items()}
    chances = [_chances(result, absent) for result in candidate.results]
    rows = []
    for weight, *row in zip(joint.folded(within), *chances, strict=True):
        total = sum(row)
        rows.append((weight, [one / total for one in row]))
    return information(rows)


def _chances(result: Result, absent: dict[SideOf, list[float]]) -> list[float]:
    """Return how likely a result is under each combination, next to the check's other results."""
    chances = [1.0] * len(next(iter(absent.values())))
    for key, finding in result.findings.items():
        one = [1 - chance for chance in absent[key]] if finding.seen else absent[key]
        chances = list(map(mul, chances, one))
    return chances
