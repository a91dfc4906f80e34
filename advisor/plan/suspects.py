"""The posterior as a short list of weighted hypotheses: which causes may be present together.

The ranking is exact over all causes at once; asking how much a check would tell needs the joint
picture. Here it is a list of sets of suspects, built by adding one suspect at a time and keeping the
weightiest. Suspects are the causes that show at least one seen sign (all of them, while none is seen);
the others count as each being present with its own probability.
"""

from collections.abc import Iterable
from operator import mul

import msgspec

from advisor.rank.network import Finding, Leaky
from advisor.rank.ranking import Ranking

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


def suspicion(ranking: Ranking) -> Suspicion:
    """Return the weightiest hypotheses behind a ranking."""
    probability = ranking.posterior.causes
    showing = {step.cause for step in ranking.steps} or range(len(probability))
    ranked = sorted(showing, key=lambda cause: (-probability[cause], cause))
    suspects = tuple(cause for cause in ranked[:MOST_SUSPECTS] if probability[cause] >= LEAST_SUSPECT)
    others = {cause: chance for cause, chance in enumerate(probability) if cause not in suspects}
    seen = [one for one in ranking.findings.values() if one.seen]
    weights = [ranking.weights[cause] / ranking.absent[cause] for cause in suspects]
    stays = [[1 - one.leaky.strengths.get(cause, 0.0) for one in seen] for cause in suspects]
    start = [(0, 1.0, [_background(one, others) for one in seen])]
    level, found = start, _weigh(start)
    for _ in range(MOST_TOGETHER):
        level = [
            (hypothesis | 1 << place, weight * weights[place], list(map(mul, unseen, stays[place])))
            for hypothesis, weight, unseen in level
            for place in range(hypothesis.bit_length(), len(suspects))
        ]
        scored = sorted(zip(_weigh(level), level, strict=True), key=lambda pair: -pair[0][1])
        found += [weighed for weighed, _ in scored]
        level = [one for _, one in scored[: MOST_WIDENED if len(level) > len(suspects) else None]]
    found = sorted(found, key=lambda pair: -pair[1])[:MOST_HYPOTHESES]
    total = sum(weight for _, weight in found)
    bits = {cause: 1 << place for place, cause in enumerate(suspects)}
    return Suspicion(bits, tuple((hypothesis, weight / total) for hypothesis, weight in found), others)


def _background(finding: Finding, others: dict[int, float]) -> float:
    unseen = 1 - finding.leaky.leak
    for cause, strength in finding.leaky.strengths.items():
        unseen *= 1 - strength * others.get(cause, 0.0)
    return unseen


def _weigh(level: Iterable[tuple[int, float, list[float]]]) -> list[tuple[int, float]]:
    weighed = []
    for hypothesis, weight, unseen in level:
        for one in unseen:
            weight *= 1 - one  # noqa: PLW2901 - a running product
        weighed.append((hypothesis, weight))
    return weighed
