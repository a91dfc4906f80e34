"""A few causes with each known sign left out in turn, exactly wherever that costs little.

The probability of the evidence is linear in each leak and in each cause's weight. So one run of the ranking with a
cause taken as there tells it without any one of the seen signs, and without any sign not seen that one cause shows.
Every other sign needs a run of its own; once these have cost too much, the joint picture answers for the rest.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import cached_property
from math import exp

import msgspec

from advisor.rank.joint import Joint
from advisor.rank.posterior import solve_with_leaks
from advisor.rank.ranking import Ranking, odds
from advisor.sides import Sided

MOST_COST = 1_500_000  # of all runs of their own, in units of `Ranking.cost`: about a twelfth of a second


class LeftOut(msgspec.Struct, frozen=True):
    """The probabilities of some causes without one sign; `near` if only the joint picture was asked."""

    chances: tuple[float, ...]
    near: bool = False


class _Run(msgspec.Struct, frozen=True):
    """One run: how likely the evidence is in it, relative to all runs, each cause, and the part of the leaks."""

    share: float
    causes: tuple[float, ...]
    leaks: dict[Sided, float]


class LeaveOut:
    """Answers for some causes, by index."""

    def __init__(self, ranking: Ranking, causes: Sequence[int], most: float = MOST_COST) -> None:
        """Use this ranking; `most` bounds the cost of runs for single signs."""
        self.ranking, self.causes, self.left = ranking, tuple(causes), most
        self._whole = _Run(1.0, ranking.alone.causes, ranking.leaks)
        self._given = [self._with(cause) for cause in self.causes]

    def _with(self, cause: int) -> _Run:
        """Return the run in which this cause is there."""
        one = self.ranking
        if one.weights[cause] == 0.0:
            return _Run(0.0, (), {})
        absent = [0.0 if number == cause else chance for number, chance in enumerate(one.absent)]
        found, leaks = solve_with_leaks(one.steps, one.weights, absent, one.log_scale)
        return _Run(exp(min(found.log_evidence - one.alone.log_evidence, 0.0)), found.causes, one.by_sign(leaks))

    @cached_property
    def joint(self) -> Joint:
        """The joint picture."""
        return Joint(self.ranking)

    def without(self, key: Sided) -> LeftOut:
        """Return the causes' probabilities if this sign had never been reported."""
        times = self._times(key)
        if times is not None:
            return LeftOut(self._scaled(*times))
        if self.ranking.cost <= self.left:
            self.left -= self.ranking.cost
            with suppress(OverflowError):  # the vague sign that then counts again may be one too many
                found = self.ranking.without(key)
                return LeftOut(tuple(found.causes[cause] for cause in self.causes))
        return LeftOut(self._nearly(key), near=True)

    def _nearly(self, key: Sided) -> tuple[float, ...]:
        """Ask the joint picture, the same way as in a report; a sign that only repeats another just goes."""
        if key not in self.ranking.findings:
            after = self.joint.after({}, [key])
            return tuple(after[cause] for cause in self.causes)
        factors = self.joint.factors(key)
        rest = [odds(self.ranking.probability(cause)) / factors.get(cause, 1.0) for cause in self.causes]
        return tuple(one / (1 + one) for one in rest)

    def _times(self, key: Sided) -> tuple[Callable[[_Run], float], float] | None:
        """Return how many times likelier a sign's absence from the reports makes the evidence, in any run.

        With it, the same for no cause at all. None if that takes a run of its own.
        """
        finding = self.ranking.findings.get(key)
        if finding is None or finding.not_far is not None or self.ranking.is_vague({key}):
            return None
        leak, strengths = finding.leaky.leak, finding.leaky.strengths
        if not strengths:
            return (lambda _: 1.0), 1.0
        if finding.seen:
            return ((lambda run: 1 + (1 - leak) * run.leaks[key]), 1 / leak) if leak > 0.0 else None
        ((cause, strength),) = strengths.items() if len(strengths) == 1 else ((0, 1.0),)
        return ((lambda run: 1 + strength / (1 - strength) * run.causes[cause]), 1.0) if strength < 1.0 else None

    def _scaled(self, times: Callable[[_Run], float], for_none: float) -> tuple[float, ...]:
        """Return the causes' probabilities once every run is so many times likelier."""
        whole, network = times(self._whole), self.ranking.network
        nothing = min(self.ranking.alone.nothing * for_none / whole, 1.0)
        left = 1 - (1 - network.for_nothing) * nothing  # as in `Posterior.complained`
        return tuple(min(run.share * times(run) / whole / left, 1.0) if run.share else 0.0 for run in self._given)
