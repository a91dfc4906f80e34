"""How much a check would tell about what is wrong: mutual information, in bits."""

from collections.abc import Iterable, Sequence
from math import log2
from operator import mul, truediv

import msgspec

from advisor.plan.candidates import Candidate
from advisor.rank.joint import Joint
from advisor.rank.network import Finding
from advisor.sides import Sided

LOOKED_AT = 6  # likeliest suspects that a check bears on: what it would tell about the others matters little


class Told(msgspec.Struct, frozen=True):
    """The bits a check is expected to give, and how likely each of its results is."""

    bits: float
    chances: tuple[float, ...]


def entropy(chances: Iterable[float]) -> float:
    """Return the entropy of a distribution in bits."""
    return -sum(one * log2(one) for one in chances if one > 0.0)


def information(weights: Sequence[float], results: Sequence[Sequence[float]]) -> Told:
    """Return what an observation tells about hypotheses of these weights.

    `results` holds each result's chance by hypothesis. Mutual information: the entropy of the result
    less its expected entropy once the hypothesis is known.
    """
    chances = tuple(min(sum(map(mul, weights, result)), 1.0) for result in results)
    noise = -sum(
        weight * one * log2(one) for result in results for weight, one in zip(weights, result, strict=True) if one > 0.0
    )
    return Told(max(entropy(chances) - noise, 0.0), chances)


def at_most(candidate: Candidate, joint: Joint, *, closely: bool = False) -> float:
    """Return a cheap upper bound, in bits, on what a check can tell.

    No observation tells more than the log of its number of results, nor more than the entropy of the suspects that show
    its signs. The rest of a vague sign brings in other suspects: they are only worked out `closely`.
    """
    most = log2(len(candidate.results))
    asked = {key for result in candidate.results for key in result.states}
    if joint.ranking.is_vague(asked):
        if not closely:
            return most
        asked = joint.ranking.touched(asked)
    return min(most, joint.uncertain(asked))


def told_by(candidate: Candidate, joint: Joint) -> Told:
    """Return the information a check would give about the suspects."""
    changes = [joint.ranking.changes(result.findings) for result in candidate.results]
    known = joint.ranking.findings
    leaky = {id(one.leaky): one.leaky for _, fresh in changes for one in fresh.values()}
    leaky |= {id(known[key].leaky): known[key].leaky for gone, _ in changes for key in gone}
    if not leaky:  # it would not count: a known kind already says it
        return Told(0.0, (1 / len(changes),) * len(changes))
    within = joint.likeliest(joint.linked(leaky.values()), LOOKED_AT)
    absent = {name: joint.absent(one, within) for name, one in leaky.items()}

    def chances(gone: Iterable[Sided], fresh: Iterable[Finding]) -> list[float]:
        """Return how likely a result is under each combination, relative to the check's other results."""
        likely = [1.0] * len(next(iter(absent.values())))
        for one in fresh:
            likely = list(map(mul, likely, _chance(one, absent)))
        for key in gone:
            likely = list(map(truediv, likely, _chance(known[key], absent)))
        return likely

    results = [chances(gone, fresh.values()) for gone, fresh in changes]
    totals = [sum(row) for row in zip(*results, strict=True)]
    return information(joint.folded(within), [list(map(truediv, result, totals)) for result in results])


def _chance(finding: Finding, absent: dict[int, list[float]]) -> list[float]:
    stays = absent[id(finding.leaky)]
    return [1 - chance for chance in stays] if finding.seen else stays
