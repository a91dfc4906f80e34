"""One case's posterior, also with a sign left out or one more sign known."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from math import expm1

from advisor.rank.kinds import Kinds
from advisor.rank.network import Finding, Network
from advisor.rank.posterior import (
    Posterior,
    Step,
    absorb,
    evidence_alone,
    is_wide,
    plan_steps,
    solve,
    solve_with_leaks,
    unlinked,
)
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided

SMALLEST = 1e-300
LEAST, EPSILON = 1e-100, 1e-16  # the least that a probability, and what it lacks to 1, count as in odds
DIGITS = 9  # that decide an order: in those beyond, sums differ by the order of their terms
STEP, CALL = 5, 30  # passes over all sets that each step takes, and the fixed cost of a pass in elements
WIDE_STEP, WIDE_SHARE = 1_100, 0.05  # with arrays: the fixed cost of a step, and the cost of an element
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
        self.log_scale = self.absent_scale + self.seen_scale
        # `alone` is the posterior of the findings, complaint or not; `leaks` their part by sign (`solve_with_leaks`).
        self.alone, leaks = solve_with_leaks(self.steps, self.weights, self.absent, self.log_scale)
        self.leaks = self.by_sign(leaks)
        self.posterior = self.alone.complained(network.for_nothing)
        self.cost = cost_of(self.steps)
        self._by_seen: dict[frozenset[Known], tuple[tuple[Step, ...], float]] = {}

    def probability(self, cause: int) -> float:
        """Return the probability of a cause by its index."""
        return self.posterior.causes[cause]

    def by_sign(self, leaks: Mapping[int, float]) -> dict[Sided, float]:
        """Return what is known by position among the seen signs by sign."""
        seen = [key for key, one in self.findings.items() if one.seen]
        return {seen[place]: much for place, much in leaks.items()}

    @classmethod
    def of_most(cls, network: Network, reports: Mapping[Sided, Finding]) -> tuple["Ranking", list[Sided]]:
        """Return the ranking, and the seen signs that had to be left out because too many are linked.

        Those that tell least are left out: even the best cause raises their odds least. Of equals on the two sides
        both go, to favour neither.
        """
        with suppress(OverflowError):
            return cls(network, reports), []
        order = _least_first(reports)
        too_few, enough = 0, len(order)
        while enough - too_few > 1:
            tried = (too_few + enough) // 2
            if _fits(network, _less(reports, order[:tried])):
                enough = tried
            else:
                too_few = tried
        return cls(network, _less(reports, order[:enough])), [key for group in order[:enough] for key in group]

    def any_of(self, causes: Collection[int]) -> float:
        """Return the probability that at least one of these causes (by index) is there."""
        weights = [0.0 if cause in causes else weight for cause, weight in enumerate(self.weights)]
        without = evidence_alone(self.steps, weights, self.absent, self.log_scale).complained(self.network.for_nothing)
        gap = without.log_evidence - self.posterior.log_evidence
        return -expm1(min(gap, 0.0))

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
        reports = {key: one for key, one in self.reports.items() if key not in less} if less else dict(self.reports)
        reports.update(more)
        return self.kinds.weigh(reports, self.findings, self.touched({*less, *more}))

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
        if key not in self.leaks:  # no cause shows it
            return 1.0
        alone = self.findings[key].leaky.leak * self.leaks[key]
        if self.network.for_nothing != 1.0:
            # A complaint makes it rarer that there is no cause at all.
            alone = 1 - (1 - alone) / (1 - (1 - self.network.for_nothing) * self.alone.nothing)
        return min(max(alone, 0.0), 1.0)

    def _solve(self, findings: Mapping[Sided, Finding]) -> Posterior:
        """Solve for other findings; the order of the causes is worked out once for each set of seen signs."""
        key = frozenset((name, one.trust, one.without, one.grade) for name, one in findings.items() if one.seen)
        if key not in self._by_seen:
            self._by_seen[key] = self._steps(findings)
        steps, seen_scale = self._by_seen[key]
        weights, absent_scale = absorb(self.network.priors, findings.values())
        return solve(steps, weights, self.absent, absent_scale + seen_scale).complained(self.network.for_nothing)


def cost_of(steps: Sequence[Step]) -> float:
    """Return the cost of one run: about fifty nanoseconds each."""
    cost: float = sum((len(step.triggers) + STEP) * (2**step.open + CALL) for step in steps)
    return WIDE_STEP * len(steps) + WIDE_SHARE * cost if is_wide(steps) else cost


def _fits(network: Network, reports: Mapping[Sided, Finding]) -> bool:
    """Whether the exact ranking can be done with so many seen signs."""
    try:
        plan_steps([one for one in Kinds(network).weigh(reports).values() if one.seen])
    except OverflowError:
        return False
    return True


def _least_first(reports: Mapping[Sided, Finding]) -> list[list[Sided]]:
    """Return the seen signs, those that tell least first; equals on the two sides together."""
    groups: dict[tuple[float, str], list[Sided]] = {}
    for key, one in reports.items():
        if one.seen:
            groups.setdefault((level(_tells(one)), key[0]), []).append(key)
    return [groups[key] for key in sorted(groups)]


def _less(reports: Mapping[Sided, Finding], groups: Iterable[Collection[Sided]]) -> dict[Sided, Finding]:
    """Return the reports without some groups of signs."""
    gone = {key for group in groups for key in group}
    return {key: one for key, one in reports.items() if key not in gone}


def _tells(finding: Finding) -> float:
    """Return the largest factor by which one cause alone raises the chance of a seen sign."""
    leaky = finding.leaky
    return max(((1 - leaky.absent_given({cause})) / leaky.leak for cause in leaky.strengths), default=0.0)


def level(figure: float) -> float:
    """Return a figure that decides an order without its last digits: what is equal but for them comes out equal."""
    return float(f"{figure:.{DIGITS}g}")


def odds(probability: float) -> float:
    """Return the odds of a probability, kept so that any ratio of two is finite."""
    return max(probability, LEAST) / max(1 - probability, EPSILON)
