"""One case's posterior, also with a sign left out or one more sign known."""

from collections.abc import Collection, Mapping

from advisor.rank.kinds import Kinds
from advisor.rank.network import Finding, Network
from advisor.rank.posterior import Posterior, Step, absorb, plan_steps, solve, unlinked
from advisor.rulebase.model import Trust
from advisor.sides import Sided

SMALLEST = 1e-300
STEP, CALL = 5, 30  # passes over all sets that each step takes, and the fixed cost of a pass in elements
Known = tuple[Sided, Trust | None, frozenset[Sided], str]  # a seen sign with its trust, kinds taken out and grade


class Ranking:
    """The exact posterior of a network given findings; each question about it takes one or two more passes."""

    def __init__(self, network: Network, reports: Mapping[Sided, Finding]) -> None:
        """Rank. Raises OverflowError when too many seen signs are linked to be ranked exactly.

        `findings` result from the reports: a vague sign counts for what its kinds leave of it.
        """
        self.network = network
        self.kinds = Kinds(network)
        self.reports = dict(reports)
        vague = [key for key in self.reports if key in network.kinds]
        self.vague = bool(vague)
        self._below = frozenset(kind for key in vague for kind in network.kinds[key])
        self.findings = self.kinds.weigh(self.reports)
        self.absent = [1 - prior for prior in network.priors]
        self.steps, self.seen_scale = self._steps(self.findings)
        self.weights, self.absent_scale = absorb(network.priors, self.findings.values())
        found = solve(self.steps, self.weights, self.absent, self.absent_scale * self.seen_scale)
        self.evidence = found.evidence  # of the findings alone, complaint or not
        self.posterior = found.complained(network.for_nothing)
        self.cost = sum((len(step.triggers) + STEP) * (2**step.open + CALL) for step in self.steps)
        self._by_seen: dict[frozenset[Known], tuple[tuple[Step, ...], float]] = {}

    def probability(self, cause: int) -> float:
        """Return the probability of a cause by its index."""
        return self.posterior.causes[cause]

    @classmethod
    def of_most(cls, network: Network, reports: Mapping[Sided, Finding]) -> tuple["Ranking", list[Sided]]:
        """Return the ranking, and the seen signs that had to be left out because too many are linked.

        Those that tell least are left out: even the best cause raises their odds least.
        """
        kept = dict(reports)
        left_out: list[Sided] = []
        while True:
            try:
                return cls(network, kept), left_out
            except OverflowError:
                seen = [key for key, one in kept.items() if one.seen]
                least = min(seen, key=lambda key: (_tells(kept[key]), key[0], key[1] or ""))
                left_out.append(least)
                del kept[least]

    def any_of(self, causes: Collection[int]) -> float:
        """Return the probability that at least one of these causes (by index) is there."""
        weights = [0.0 if cause in causes else weight for cause, weight in enumerate(self.weights)]
        without = solve(self.steps, weights, self.absent, self.absent_scale * self.seen_scale)
        none = without.complained(self.network.for_nothing).evidence
        return min(max(1 - none / max(self.posterior.evidence, SMALLEST), 0.0), 1.0)

    def _steps(self, findings: Mapping[Sided, Finding]) -> tuple[tuple[Step, ...], float]:
        seen = [one for one in findings.values() if one.seen]
        return plan_steps(seen), unlinked(seen)

    def without(self, key: Sided) -> Posterior:
        """Return the posterior if this sign had never been reported."""
        return self._solve(self.amount({}, {key}))

    def with_more(self, more: Mapping[Sided, Finding], less: Collection[Sided] = ()) -> Posterior:
        """Return the posterior with these findings added (or replacing others), and without some."""
        return self._solve(self.amount(more, less))

    def amount(self, more: Mapping[Sided, Finding], less: Collection[Sided] = ()) -> dict[Sided, Finding]:
        """Return the findings from all reports with more of them (or replacements), and without some."""
        return self.kinds.weigh({key: one for key, one in self.reports.items() if key not in less} | dict(more))

    def changes(
        self, more: Mapping[Sided, Finding], less: Collection[Sided] = ()
    ) -> tuple[list[Sided], dict[Sided, Finding]]:
        """Return the findings that would be dropped or replaced, and the new ones."""
        touched = dict.fromkeys([*less, *more])
        if not self.is_vague(touched):  # nothing to weigh again
            return [key for key in touched if key in self.findings], dict(more)
        now = self.amount(more, less)
        fresh = {key: one for key, one in now.items() if self.findings.get(key) != one}
        return [key for key in self.findings if key not in now or key in fresh], fresh

    def is_vague(self, keys: Collection[Sided]) -> bool:
        """Whether any of these signs is vague, or a kind of a vague sign that is reported."""
        return not (self._below.isdisjoint(keys) and self.network.kinds.keys().isdisjoint(keys))

    def touched(self, keys: Collection[Sided]) -> set[Sided]:
        """Return the signs whose weight may change once these signs are known: vague ones with all below."""
        kinds = self.network.kinds
        found = {*keys, *(kind for key in keys for kind in kinds.get(key, ()))}
        for key in self.reports:
            if key in kinds and not found.isdisjoint(kinds[key]):
                found |= {key, *kinds[key]}
        return found

    def only_leak(self, key: Sided) -> float:
        """Return the probability that no cause shows a seen sign: that it is there by chance or imagined."""
        finding = self.findings[key]
        not_shown = self._solve({**self.findings, key: Finding(finding.leaky, seen=False, not_far=finding.not_far)})
        leak = finding.leaky.leak
        # P(leak alone) = leak x P(rest, nothing triggers) = leak / (1 - leak) x P(rest, sign absent)
        return min(leak / (1 - leak) * not_shown.evidence / max(self.posterior.evidence, SMALLEST), 1.0)

    def _solve(self, findings: Mapping[Sided, Finding]) -> Posterior:
        """Solve for other findings; the order of the causes is worked out once for each set of seen signs."""
        key = frozenset((name, one.trust, one.without, one.grade) for name, one in findings.items() if one.seen)
        if key not in self._by_seen:
            self._by_seen[key] = self._steps(findings)
        steps, seen_scale = self._by_seen[key]
        weights, absent_scale = absorb(self.network.priors, findings.values())
        return solve(steps, weights, self.absent, absent_scale * seen_scale).complained(self.network.for_nothing)


def _tells(finding: Finding) -> float:
    """Return the largest factor by which one cause alone raises the chance of a seen sign."""
    leaky = finding.leaky
    return max(((1 - leaky.absent_given({cause})) / leaky.leak for cause in leaky.strengths), default=0.0)


def odds(probability: float) -> float:
    """Return the odds of a probability, kept finite."""
    return max(probability, SMALLEST) / max(1 - probability, SMALLEST)
