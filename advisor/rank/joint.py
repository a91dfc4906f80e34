"""The joint distribution of the likeliest causes: what a known sign does to it, and what another would do.

The ranking is exact over all causes. To leave out each sign in turn, and to try each result of
each check, takes one exact run each. While runs are cheap, that is done. When many seen signs
are linked, the questions go to the full joint distribution of the likeliest causes (every
combination of them), and every other cause counts as independent, with its prior.

A distribution is a list over combinations: bit n of its index says whether suspect n is present.
"""

import math
from collections.abc import Collection, Iterable, Mapping
from itertools import repeat
from math import prod
from operator import add, mul, truediv

from advisor.rank import lattice
from advisor.rank.network import Finding, Leaky
from advisor.rank.ranking import SMALLEST, Ranking, odds
from advisor.sides import Sided

EQUAL = 1e-9
SWEEPS, HALF_A_STEP = 8, 0.5
MOST_SUSPECTS, LIKELY_SUSPECTS = 9, 6
CHEAP, BEARABLE = 8_000, 100_000  # cost of one exact run in units of `Ranking.cost`: about one millisecond, about four
MOST_EXACT = 20_000_000  # cost of all exact factors together, however much they are wanted: about a second


class Exact:
    """Answers every question from the exact ranking."""

    def __init__(self, ranking: Ranking) -> None:
        """Use this ranking."""
        self.ranking = ranking
        self._whole: list[float] = []  # odds

    def factors(self, key: Sided) -> dict[int, float]:
        """Return, for each cause by index, its odds with a known sign over its odds without it."""
        self._whole = self._whole or [odds(one) for one in self.ranking.posterior.causes]
        without = self.ranking.without(key).causes
        return {cause: one / odds(other) for cause, (one, other) in enumerate(zip(self._whole, without, strict=True))}

    def after(self, more: Mapping[Sided, Finding], less: Collection[Sided] = ()) -> dict[int, float]:
        """Return every cause's probability once these findings are known too, and those of `less` no longer count."""
        return dict(enumerate(self.ranking.with_more(more, less).causes))


class Joint:
    """The joint posterior of the suspects. `suspects` are cause indices, likeliest first."""

    def __init__(self, ranking: Ranking) -> None:
        """Work out the joint distribution behind a ranking."""
        self.ranking = ranking
        self.suspects = suspects(ranking)
        self.place = {cause: place for place, cause in enumerate(self.suspects)}
        # Each other cause's probability given the signs not seen, before any seen sign; 0 for the suspects.
        self.alone = [
            weight / (weight + absent) for weight, absent in zip(ranking.weights, ranking.absent, strict=True)
        ]
        for cause in self.suspects:
            self.alone[cause] = 0.0
        # There is a complaint: without a suspect present, another cause is, except for a share `for_nothing`.
        spared = (1 - ranking.network.for_nothing) * prod(1 - chance for chance in self.alone)
        self.spared = min(spared, 1 - EQUAL)
        # By identity, since a hash of all strengths costs more; the sign is kept with it.
        self._backgrounds: dict[int, tuple[Leaky, float]] = {}
        self._stays: dict[int, tuple[Leaky, list[float]]] = {}
        self._showing: dict[int, tuple[Leaky, int]] = {}  # the suspects that show it, a bit for each
        self._linked: dict[int, tuple[int, ...]] = {}
        self._others_than: dict[tuple[int, ...], tuple[int, ...]] = {}
        weights = [1.0]
        for cause in self.suspects:
            present = ranking.weights[cause] / ranking.absent[cause]
            weights += [present * one for one in weights]
        self.known = {key: self.absent(finding.leaky) for key, finding in ranking.findings.items()}
        for key, finding in ranking.findings.items():
            if finding.seen:
                weights = [weight * (1 - absent) for weight, absent in zip(weights, self.known[key], strict=True)]
        weights[0] *= 1 - self.spared
        self.weights = self._raked(_normal(weights))
        self.whole = self.marginals(self.weights)
        self.uncertainty = {cause: _bits(chance) for cause, chance in self.whole.items()}
        self._folded: dict[tuple[int, ...], list[float]] = {}
        self._shown_by: dict[Sided, list[int]] = {}

    def _raked(self, weights: list[float]) -> list[float]:
        """Return the distribution scaled so that each suspect is as likely as in the exact ranking.

        Proportional fitting (Deming and Stephan, Annals of Mathematical Statistics 11 (1940), 427), all suspects at
        once and by half a step, so that neither side comes first. It corrects for what the other causes take away from
        the suspects, and keeps the dependence between suspects.
        """
        for _ in range(SWEEPS):
            now, factors = self.marginals(weights), [1.0]
            for cause in self.suspects:
                pull = (odds(self.ranking.probability(cause)) / odds(now[cause])) ** HALF_A_STEP
                factors += [pull * one for one in factors]
            weights = _normal(list(map(mul, weights, factors)))
        return weights

    def absent(self, leaky: Leaky, within: tuple[int, ...] | None = None) -> list[float]:
        """Return the chance that a sign is absent under each combination (of the suspects in `within`, or of all).

        A suspect outside `within` counts as independent, with its own probability.
        """
        background, strengths = self._background(leaky), leaky.strengths
        chances = [background]
        for cause in () if within is None else self._outside(within):
            if cause in strengths:
                chances[0] *= 1 - strengths[cause] * self.whole[cause]
        for cause in self.suspects if within is None else within:
            if cause in strengths and (stays := 1 - strengths[cause]) < 1:
                chances += [stays * one for one in chances]
            else:
                chances += chances
        if self.spared:
            # Without a suspect the others are likelier: 'no cause at all' is taken out.
            none = (background - self.spared * (1 - leaky.leak)) / (1 - self.spared)
            share = 1.0 if within is None else self.weights[0] / max(self.folded(within)[0], SMALLEST)
            chances[0] *= 1 - share * (1 - none / background)
        return chances

    def stays(self, leaky: Leaky) -> list[float]:
        """Return the chance that a sign is absent under each combination of all suspects; worked out once."""
        if id(leaky) not in self._stays:
            self._stays[id(leaky)] = leaky, self.absent(leaky)
        return self._stays[id(leaky)][1]

    def likely(self, finding: Finding) -> list[float]:
        """Return how likely a finding is under each combination of all suspects."""
        stays = self.stays(finding.leaky)
        return [1 - one for one in stays] if finding.seen else stays

    def _background(self, leaky: Leaky) -> float:
        """Return the chance that a sign is absent as far as the other causes and its leak go; worked out once."""
        if id(leaky) not in self._backgrounds:
            alone = self.alone
            stays = [1 - strength * alone[cause] for cause, strength in leaky.strengths.items()]
            self._backgrounds[id(leaky)] = leaky, prod(stays, start=1 - leaky.leak)
        return self._backgrounds[id(leaky)][1]

    def uncertain(self, signs: Iterable[Sided]) -> float:
        """Return the summed entropy, in bits, of the suspects that show any of these signs, each taken alone."""
        shown: set[int] = set()
        for key in signs:
            if key not in self._shown_by:
                strengths = self.ranking.network.signs[key].strengths
                self._shown_by[key] = [cause for cause in self.suspects if cause in strengths]
            shown.update(self._shown_by[key])
        return sum(self.uncertainty[cause] for cause in self.suspects if cause in shown)

    def linked(self, signs: Iterable[Leaky]) -> tuple[int, ...]:
        """Return the suspects that show any of these signs, in order."""
        bits = 0
        for leaky in signs:
            if id(leaky) not in self._showing:
                shown = (cause in leaky.strengths for cause in self.suspects)
                self._showing[id(leaky)] = leaky, sum(1 << place for place, shows in enumerate(shown) if shows)
            bits |= self._showing[id(leaky)][1]
        if bits not in self._linked:
            self._linked[bits] = tuple(cause for place, cause in enumerate(self.suspects) if bits >> place & 1)
        return self._linked[bits]

    def _outside(self, within: tuple[int, ...]) -> tuple[int, ...]:
        """Return the other suspects."""
        if within not in self._others_than:
            self._others_than[within] = tuple(set(self.suspects).difference(within))
        return self._others_than[within]

    def likeliest(self, suspects: tuple[int, ...], most: int) -> tuple[int, ...]:
        """Return the likeliest of some suspects, in order; of equals all or none, to favour neither side."""
        if len(suspects) <= most:
            return suspects
        next_best = sorted((self.whole[cause] for cause in suspects), reverse=True)[most]
        return tuple(cause for cause in suspects if self.whole[cause] > next_best + EQUAL)

    def folded(self, within: tuple[int, ...]) -> list[float]:
        """Return the marginal distribution of some of the suspects."""
        if within not in self._folded:
            self._folded[within] = self._fold(within)
        return self._folded[within]

    def _fold(self, within: tuple[int, ...]) -> list[float]:
        weights = self.weights
        for place in range(len(self.suspects) - 1, -1, -1):
            if self.suspects[place] not in within:
                weights = lattice.close(weights, place, 1.0)
        return weights

    def marginals(self, weights: list[float]) -> dict[int, float]:
        """Return each suspect's probability under a distribution of all suspects."""
        found: dict[int, float] = {}
        for cause in reversed(self.suspects):
            half = len(weights) // 2
            having = weights[half:]
            found[cause] = min(sum(having), 1.0)
            weights = list(map(add, weights[:half], having))
        return found

    def factors(self, key: Sided) -> dict[int, float]:
        """Return, for each cause by index, its odds with a known sign over its odds without it."""
        finding, absent = self.ranking.findings[key], self.known[key]
        gone, instead = self.ranking.changes({}, {key})  # a vague sign counts again if its kind is left out
        if not finding.seen and not instead and not any(cause in self.place for cause in finding.leaky.strengths):
            return {cause: 1 - strength for cause, strength in finding.leaky.strengths.items()}
        rest = self.weights
        for one in gone:
            rest = self._taken_out(rest, one)
        for other in instead.values():
            rest = self._with(rest, other)
        without = self.marginals(rest)
        found = {cause: odds(self.whole[cause]) / odds(without[cause]) for cause in self.suspects}
        return found | self._others(finding, sum(map(mul, rest, absent)))

    def _taken_out(self, weights: list[float], key: Sided) -> list[float]:
        """Return a distribution as it would be without a known finding."""
        absent, not_far = self.known[key], self.ranking.findings[key].not_far
        if not_far is not None:
            weights = list(map(truediv, weights, self.absent(not_far)))
        if self.ranking.findings[key].seen:
            return _normal([weight / (1 - one) for weight, one in zip(weights, absent, strict=True)])
        return _normal([weight / one for weight, one in zip(weights, absent, strict=True)])

    def _with(self, weights: list[float], finding: Finding) -> list[float]:
        """Return a distribution as it would be with one more finding."""
        return _known(weights, self.likely(finding))

    def _others(self, finding: Finding, absent: float) -> dict[int, float]:
        """Return the factor by which a finding raises the odds of each cause that is not a suspect.

        `absent` is the chance that the sign is absent, before anyone looks for it; it counts only if the sign is seen.
        """
        place, alone, strengths = self.place, self.alone, finding.leaky.strengths
        if not finding.seen:
            return {cause: 1 - strength for cause, strength in strengths.items() if cause not in place}
        raised: dict[int, float] = {}
        for cause, strength in strengths.items():
            if cause not in place:
                without = absent / (1 - strength * alone[cause])
                raised[cause] = (1 - without * (1 - strength)) / max(1 - without, SMALLEST)
        return raised

    def after(self, more: Mapping[Sided, Finding], less: Collection[Sided] = ()) -> dict[int, float]:
        """Return every cause's probability once these findings are known too, and those of `less` no longer count."""
        weights = self.weights
        found = dict(enumerate(self.ranking.posterior.causes))
        before = self._others_likelier(weights)
        gone, fresh = self.ranking.changes(more, less)
        for key in gone:
            for cause, times in self.factors(key).items():
                if cause not in self.place:
                    lowered = odds(found[cause]) / times
                    found[cause] = lowered / (1 + lowered)
            weights = self._taken_out(weights, key)
        likely = [self.likely(one) for one in fresh.values()]
        steps = [weights]  # with the first finding, with the first two, and so on
        for one in likely:
            steps.append(_known(steps[-1], one))
        # Each finding meets the other causes as if it came last: the order in which they come says nothing.
        for place, finding in enumerate(fresh.values()):
            absent = self._absent_last(finding, steps[place], likely[place + 1 :]) if finding.seen else 0.0
            for cause, times in self._others(finding, absent).items():
                raised = odds(found[cause]) * times
                found[cause] = raised / (1 + raised)
        weights = steps[-1]
        times = self._others_likelier(weights) / before
        if times != 1.0:
            found = {cause: raised if (raised := times * one) < 1.0 else 1.0 for cause, one in found.items()}
        return found | self.marginals(weights)

    def _absent_last(self, finding: Finding, weights: list[float], later: list[list[float]]) -> float:
        """Return the chance that a seen sign is absent once the findings before it and the later ones are known."""
        for one in later:
            weights = _known(weights, one)
        absent: float = sum(map(mul, weights, self.stays(finding.leaky)))
        return absent

    def _others_likelier(self, weights: list[float]) -> float:
        """Return how many times likelier a complaint makes the other causes, to the extent that no suspect is there."""
        return 1 - weights[0] + weights[0] / (1 - self.spared)


def suspects(ranking: Ranking) -> tuple[int, ...]:
    """Return the causes to take together: the likeliest, and those held down by a single sign.

    Only causes that show a seen sign are suspects; if no sign is seen, all are.
    """
    probability = ranking.posterior.causes
    showing = {step.cause for step in ranking.steps} or set(range(len(probability)))
    chosen = _best(showing, {cause: probability[cause] for cause in showing}, LIKELY_SUSPECTS, ranking)
    rest = showing - set(chosen)
    held_down = {cause: _at_best(ranking, cause) for cause in rest}
    return (*chosen, *_best(rest, held_down, MOST_SUSPECTS - len(chosen), ranking))


def _best(causes: set[int], score: dict[int, float], most: int, ranking: Ranking) -> list[int]:
    """Return the causes with the best scores; of twins with equal scores both or neither, to favour neither side."""
    groups: dict[tuple[float, str], list[int]] = {}
    for cause in sorted(causes):
        groups.setdefault((-round(score[cause], 9), ranking.network.causes[cause][0]), []).append(cause)
    chosen: list[int] = []
    for _, group in sorted(groups.items()):
        if len(chosen) + len(group) <= most:
            chosen += group
    return chosen


def _at_best(ranking: Ranking, cause: int) -> float:
    """Return a cause's log odds, taken alone, without the one seen sign that speaks most against it."""
    total, worst = math.log(max(ranking.weights[cause] / ranking.absent[cause], SMALLEST)), 0.0
    for finding in ranking.findings.values():
        if finding.seen:
            absent = (1 - finding.leaky.leak) * (1 - finding.leaky.strengths.get(cause, 0.0))
            speaks = math.log(max(1 - absent, SMALLEST))
            total += speaks
            worst = min(worst, speaks)
    return total - worst


def _bits(chance: float) -> float:
    """Return the entropy of a yes or no, in bits."""
    if not 0.0 < chance < 1.0:
        return 0.0
    return -(chance * math.log2(chance) + (1 - chance) * math.log2(1 - chance))


def _normal(weights: list[float]) -> list[float]:
    total = max(sum(weights), SMALLEST)
    return list(map(truediv, weights, repeat(total)))


def _known(weights: list[float], likely: list[float]) -> list[float]:
    """Return a distribution with one more finding, this likely under each combination."""
    return _normal(list(map(mul, weights, likely)))


class WhatIf:
    """Picks the source for what a known sign does and another would do; `joint` is that of the likeliest causes."""

    def __init__(self, ranking: Ranking, *, exact: bool = False, closely: bool = False) -> None:
        """Use the exact ranking while its runs are cheap, or bearable together if `exact`; else the joint distribution.

        `closely` uses it for what follows a finding even if its runs are expensive, as long as the wait is bearable.
        """
        self.ranking = ranking
        self.joint = Joint(ranking)
        whole = Exact(ranking)
        wanted = exact and ranking.cost * max(len(ranking.findings), 1) <= MOST_EXACT
        ask = whole if wanted or ranking.cost <= CHEAP else self.joint
        self.near = ask is self.joint  # whether factors are worked out among the likeliest causes alone
        self._factors, self._after = ask.factors, ask.after
        if closely and ranking.cost <= BEARABLE:
            self._after = whole.after

    def factors(self, key: Sided) -> dict[int, float]:
        """Return, for each cause by index, its odds with a known sign over its odds without it."""
        try:
            return self._factors(key)
        except OverflowError:  # the vague sign that then counts again is one too many
            return self.joint.factors(key)

    def after(self, more: Mapping[Sided, Finding], less: Collection[Sided] = ()) -> dict[int, float]:
        """Return every cause's probability once these findings are known too, and those of `less` no longer count."""
        try:
            return self._after(more, less)
        except OverflowError:  # one more seen sign is one too many
            return self.joint.after(more, less)
