"""The posterior as a short list of weighted hypotheses: which causes may be present together.

The ranking is exact over all causes at once; asking how much a check would tell needs the joint
picture. Here it is a list of sets of suspects, built by adding one suspect at a time and keeping the
weightiest. Suspects are the causes that show at least one seen sign (all of them, while none is seen);
the others count as each being present with its own probability.
"""

from operator import mul
from typing import TypeVar

import msgspec

from advisor.rank.network import Finding, Leaky
from advisor.rank.ranking import Ranking

T = TypeVar("T")
LEAST_SUSPECT, MOST_SUSPECTS, MOST_TOGETHER, MOST_HYPOTHESES, MOST_WIDENED = 0.005, 30, 3, 300, 30


class View(msgspec.Struct, frozen=True):
    """A sign as the suspects see it: its chance to be absent with none of them, times `stays` for each present one."""

    background: float
    bits: tuple[tuple[int, float], ...]
    mask: int

    def absent(self, hypothesis: int) -> float:
        """Return the chance that the sign is absent when exactly these suspects are present."""
        chance = self.background
        for bit, stays in self.bits:
            if hypothesis & bit:
                chance *= stays
        return chance


class Suspicion(msgspec.Struct, frozen=True):
    """Hypotheses as bit sets, with weights that sum to 1.

    `bits` gives each suspect's bit, `others` the probability of each cause that is no suspect.
    """

    bits: dict[int, int]
    hypotheses: tuple[tuple[int, float], ...]
    others: dict[int, float]

    def view(self, leaky: Leaky) -> View:
        """Return a sign as the suspects see it."""
        background, bits, mask = 1 - leaky.leak, [], 0
        for cause, strength in leaky.strengths.items():
            bit = self.bits.get(cause)
            if bit is None:
                background *= 1 - strength * self.others[cause]
            else:
                bits.append((bit, 1 - strength))
                mask |= bit
        return View(background, tuple(bits), mask)

    def groups(self, mask: int) -> dict[int, float]:
        """Return the weight of each part of the hypotheses that lies within the mask."""
        found: dict[int, float] = {}
        for hypothesis, weight in self.hypotheses:
            part = hypothesis & mask
            found[part] = found.get(part, 0.0) + weight
        return found


class _Draft(msgspec.Struct, frozen=True):
    """A hypothesis in the making: its bits, its odds, and for each seen sign the chance that nothing shows it."""

    bits: int
    odds: float
    unseen: list[float]

    def weight(self) -> float:
        """Return the weight of exactly these suspects with every seen sign shown."""
        weight = self.odds
        for one in self.unseen:
            weight *= 1 - one
        return weight


def suspicion(ranking: Ranking) -> Suspicion:
    """Return the weightiest hypotheses behind a ranking."""
    probability = ranking.posterior.causes
    showing = {step.cause for step in ranking.steps} or range(len(probability))
    likely = [(probability[cause], cause) for cause in showing if probability[cause] >= LEAST_SUSPECT]
    suspects = [cause for _, cause in heaviest(likely, MOST_SUSPECTS)]
    others = {cause: chance for cause, chance in enumerate(probability) if cause not in suspects}
    found = _hypotheses(ranking, suspects, others)
    total = sum(weight for weight, _ in found)
    bits = {cause: 1 << place for place, cause in enumerate(suspects)}
    return Suspicion(bits, tuple((hypothesis, weight / total) for weight, hypothesis in found), others)


def _hypotheses(ranking: Ranking, suspects: list[int], others: dict[int, float]) -> list[tuple[float, int]]:
    """Return the weightiest sets of suspects as (weight, bits), grown by one suspect at a time."""
    seen = [one for one in ranking.findings.values() if one.seen]
    odds = [ranking.weights[cause] / ranking.absent[cause] for cause in suspects]
    stays = [[1 - one.leaky.strengths.get(cause, 0.0) for one in seen] for cause in suspects]
    level = [_Draft(0, 1.0, [_background(one, others) for one in seen])]
    found = [(draft.weight(), draft.bits) for draft in level]
    for together in range(1, MOST_TOGETHER + 1):
        level = [
            _Draft(draft.bits | 1 << place, draft.odds * odds[place], list(map(mul, draft.unseen, stays[place])))
            for draft in level
            for place in range(draft.bits.bit_length(), len(suspects))
        ]
        weighed = [(draft.weight(), draft) for draft in level]
        found += [(weight, draft.bits) for weight, draft in weighed]
        if together > 1:
            level = [draft for _, draft in heaviest(weighed, MOST_WIDENED)]
    return heaviest(found, MOST_HYPOTHESES)


def heaviest(weighed: list[tuple[float, T]], most: int) -> list[tuple[float, T]]:
    """Return the weightiest, most of them first; equals of the last are kept, so that left and right fare alike."""
    ranked = sorted(weighed, key=lambda pair: -pair[0])
    if len(ranked) <= most:
        return ranked
    least = ranked[most - 1][0] * (1 - 1e-9)
    return [pair for pair in ranked if pair[0] >= least]


def _background(finding: Finding, others: dict[int, float]) -> float:
    unseen = 1 - finding.leaky.leak
    for cause, strength in finding.leaky.strengths.items():
        unseen *= 1 - strength * others.get(cause, 0.0)
    return unseen
