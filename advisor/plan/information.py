"""How much a check would tell about what is wrong: mutual information, in bits."""

import math

import msgspec

from advisor.plan.candidates import Candidate
from advisor.plan.suspects import Suspicion


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


def told_by(candidate: Candidate, suspicion: Suspicion) -> Told:
    """Return what a check would tell about the suspects."""
    leaky = {key: finding.leaky for result in candidate.results for key, finding in result.findings.items()}
    views = [suspicion.view(one) for one in leaky.values()]
    place = {key: n for n, key in enumerate(leaky)}
    results = [[(place[key], finding.seen) for key, finding in result.findings.items()] for result in candidate.results]
    mask = 0
    for view in views:
        mask |= view.mask
    rows = []
    for part, weight in suspicion.groups(mask).items():
        absent = [view.absent(part) for view in views]
        chances = [_chance(result, absent) for result in results]
        total = sum(chances)
        rows.append((weight, [one / total for one in chances]))
    return information(rows)


def _chance(result: list[tuple[int, bool]], absent: list[float]) -> float:
    chance = 1.0
    for place, seen in result:
        chance *= 1 - absent[place] if seen else absent[place]
    return chance
