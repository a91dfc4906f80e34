"""The exact posterior of a two-layer noisy-OR network, by dynamic programming over explained signs.

Signs not seen are absorbed into each cause's weight: w = prior x product of (1 - strength), against
u = 1 - prior. The causes are then processed one at a time, over the sets of seen signs
explained so far. A sign is dropped once its last cause is done; if no cause explained it, its leak
does.
A forward and a backward pass give every marginal. Every term is positive, so there is no cancellation:
inclusion-exclusion loses all digits at some twenty seen signs, this loses none. Nor is a mass ever too small for a
float: it is scaled up in time, and the evidence is kept as a logarithm.

The probability of the evidence is linear in each leak, so the same two passes also tell it without any one of the seen
signs: that sign's leak is then 1.
"""

import math
from collections.abc import Iterable, Sequence
from functools import reduce
from operator import or_
from types import ModuleType
from typing import TYPE_CHECKING, Any

import msgspec

from advisor.lazy import lazy
from advisor.rank import lattice
from advisor.rank.network import Finding

if TYPE_CHECKING:
    from advisor.rank import wide
else:
    wide = lazy("advisor.rank.wide")  # imports numpy: only where many seen signs hang together

MAX_OPEN = 14
WIDE_FROM = 10  # open signs from which arrays are worth their import
SMALL, UP = 1e-150, 2.0**400


class Posterior(msgspec.Struct, frozen=True):
    """The probability of the evidence, as a natural logarithm, and of each cause given it.

    `nothing` is the probability, given the evidence, that there is no cause at all and each seen sign is there by
    chance.
    """

    log_evidence: float
    causes: tuple[float, ...]
    nothing: float = 0.0

    @property
    def evidence(self) -> float:
        """The probability of the evidence; 0 if it is too small for a float."""
        return math.exp(self.log_evidence)

    def complained(self, for_nothing: float) -> "Posterior":
        """Return the posterior given a complaint: certain with any cause, of probability `for_nothing` with none.

        All causes gain by the same factor, since the complaint tells none of them from another.
        """
        left = 1 - (1 - for_nothing) * self.nothing
        if for_nothing == 1.0 or left <= 0.0:
            return self
        causes = tuple([min(one / left, 1.0) for one in self.causes])
        return Posterior(self.log_evidence + math.log(left), causes, min(for_nothing * self.nothing / left, 1.0))


class Step(msgspec.Struct, frozen=True):
    """One cause's turn.

    `triggers` holds (bit, strength) of the open signs that it may explain, `firsts` the strengths
    of those that it opens (their bits follow the open ones), `closes` (bit, leak) of those that are
    finished after it, `closed` their positions among the seen signs, and `open` the number open at that point.
    """

    cause: int
    triggers: tuple[lattice.Trigger, ...]
    firsts: tuple[float, ...]
    closes: tuple[tuple[int, float], ...]
    open: int
    closed: tuple[int, ...] = ()


def posterior(priors: Sequence[float], findings: Iterable[Finding]) -> Posterior:
    """Return the exact posterior of every cause. An impossible picture (probability 0) leaves the priors."""
    everything = list(findings)
    seen = [one for one in everything if one.seen]
    weights, scale = absorb(priors, everything)
    return solve(plan_steps(seen), weights, [1 - prior for prior in priors], scale + unlinked(seen))


def absorb(priors: Sequence[float], findings: Iterable[Finding]) -> tuple[list[float], float]:
    """Return each cause's weight with all absences absorbed, and the log probability that no leak showed any."""
    weights, absences = list(priors), [absent for one in findings for absent in one.absences]
    for absent in absences:
        for cause, strength in absent.strengths.items():
            weights[cause] *= 1 - strength
    return weights, log_product(1 - absent.leak for absent in absences)


def log(chance: float) -> float:
    """Return a natural logarithm; minus infinity for 0."""
    return math.log(chance) if chance > 0.0 else -math.inf


def log_product(chances: Iterable[float]) -> float:
    """Return the logarithm of a product of any length, which as a float might be too small."""
    whole, logs = 1.0, 0.0
    for one in chances:
        whole *= one
        if whole < SMALL:
            logs += log(whole)
            whole = 1.0
    return logs + log(whole)


def unlinked(seen: Sequence[Finding]) -> float:
    """Return the log probability of the seen signs that no cause shows: their leaks."""
    return log_product(one.leaky.leak for one in seen if not one.leaky.strengths)


def plan_steps(seen: Sequence[Finding]) -> tuple[Step, ...]:
    """Return an order of the causes that keeps few signs open at a time (greedy: first what opens least)."""
    linked = {index: set(one.leaky.strengths) for index, one in enumerate(seen) if one.leaky.strengths}
    signs_of: dict[int, list[int]] = {}
    for index, causes in linked.items():
        for cause in causes:
            signs_of.setdefault(cause, []).append(index)
    shown = {cause: sum(1 << sign for sign in signs) for cause, signs in signs_of.items()}  # a bit for each sign
    remaining = {index: set(causes) for index, causes in linked.items()}
    opened: list[int] = []
    steps: list[Step] = []
    while remaining:
        fresh_ones = sum(1 << sign for sign in remaining if sign not in opened)
        best = min(
            remaining,
            key=lambda sign: (_would_open(remaining[sign], shown, fresh_ones), len(remaining[sign]), sign),
        )
        for cause in sorted(remaining[best], key=lambda one: ((shown[one] & fresh_ones).bit_count(), one)):
            strengths = {sign: seen[sign].leaky.strengths[cause] for sign in signs_of[cause]}
            triggers = [(place, strengths[sign]) for place, sign in enumerate(opened) if sign in strengths]
            fresh = [sign for sign in strengths if sign not in opened]
            opened += fresh
            width = len(opened)
            closes, closed = [], []
            for sign in strengths:
                remaining[sign].discard(cause)
            for place in range(width - 1, -1, -1):
                sign = opened[place]
                if not remaining[sign]:
                    closes.append((place, seen[sign].leaky.leak))
                    closed.append(sign)
                    del remaining[sign], opened[place]
            firsts = tuple(strengths[sign] for sign in fresh)
            steps.append(Step(cause, tuple(triggers), firsts, tuple(closes), width, tuple(closed)))
            if width > MAX_OPEN:
                msg = f"more than {MAX_OPEN} seen signs hang together; the exact ranking would not end"
                raise OverflowError(msg)
    return tuple(steps)


def _would_open(causes: set[int], shown: dict[int, int], fresh: int) -> int:
    """Return how many of the signs that are not open yet some causes show; signs are bits."""
    return (reduce(or_, map(shown.__getitem__, causes)) & fresh).bit_count()


def solve(
    steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float], log_scale: float = 0.0
) -> Posterior:
    """Return the posterior for one set of weights (cause present) and absences (cause not present).

    `log_scale` is the log probability of everything that is not in the steps.
    """
    return solve_with_leaks(steps, weights, absent, log_scale)[0]


def solve_with_leaks(
    steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float], log_scale: float = 0.0
) -> tuple[Posterior, dict[int, float]]:
    """Return the posterior, and what each seen sign makes of the evidence, by its position among the seen signs.

    For a sign of leak q it is r: the probability of the evidence in which no cause shows the sign, without the factor
    q, over the probability of all evidence. So q r is the probability that the sign is there by its leak alone, and
    1 + (1 - q) r is how many times likelier the evidence is without the sign.
    """
    causes = [weight / (weight + without) for weight, without in zip(weights, absent, strict=True)]
    forward = _forward(steps, weights, absent)
    leaks = _backward(steps, absent, forward, causes) if forward.chance > 0.0 else {}
    found = _posterior(steps, weights, absent, log_scale, forward.log_chance)
    return msgspec.structs.replace(found, causes=tuple(causes)), leaks


def _posterior(
    steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float], log_scale: float, log_chance: float
) -> Posterior:
    """Return the posterior without its causes, from the log probability of what is in the steps."""
    in_steps = {step.cause for step in steps}
    rest = [
        weight + without
        for cause, (weight, without) in enumerate(zip(weights, absent, strict=True))
        if cause not in in_steps
    ]
    evidence = log_scale + log_chance + log_product(rest)
    if evidence == -math.inf:
        return Posterior(evidence, ())
    leaks = [leak for step in steps for _, leak in step.closes]
    nobody = log_scale + log_product(leaks) + log_product(absent)
    return Posterior(evidence, (), math.exp(min(nobody - evidence, 0.0)))


def evidence_alone(
    steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float], log_scale: float = 0.0
) -> Posterior:
    """Return the posterior without its causes: half the work of `solve`."""
    return _posterior(steps, weights, absent, log_scale, _forward(steps, weights, absent).log_chance)


class _Forward(msgspec.Struct):
    """The forward pass: the mass over explained sets before each step, with the step's chances.

    `closing` holds, for each step, the mass of the sets without each sign that it closes, just before that; `scaled`
    the steps after which the mass was scaled up. `chance` is the last mass, as scaled.
    """

    before: list[tuple[Any, Any]]
    closing: list[list[Any]]
    scaled: set[int]
    chance: float = 0.0

    @property
    def log_chance(self) -> float:
        """The log probability of what is in the steps."""
        return log(self.chance) - len(self.scaled) * math.log(UP)


def is_wide(steps: Sequence[Step]) -> bool:
    """Whether so many signs are open at once that arrays are faster than lists."""
    return any(step.open >= WIDE_FROM for step in steps)


def _sums(steps: Sequence[Step]) -> ModuleType:
    return wide if is_wide(steps) else lattice


def _forward(steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float]) -> _Forward:
    sums = _sums(steps)
    mass = sums.start()
    found = _Forward([], [], set())
    for number, step in enumerate(steps):
        shows = sums.chances(weights[step.cause], step.triggers, len(mass))
        found.before.append((mass, shows))
        there = sums.open_signs(sums.show(mass, step.triggers, shows), step.firsts)
        mass = sums.join(absent[step.cause], mass, there)
        closing = []
        for bit, leak in step.closes:
            closing.append(sums.without_bit(mass, bit))
            mass = sums.close(mass, bit, leak)
        found.closing.append(closing)
        if closing and 0.0 < sums.whole(mass) < SMALL:
            mass = sums.scaled(mass, UP)
            found.scaled.add(number)
    found.chance = sums.whole(mass)
    return found


def _backward(
    steps: Sequence[Step], absent: Sequence[float], forward: _Forward, causes: list[float]
) -> dict[int, float]:
    """Put each cause's probability given the evidence into `causes`, and return the part of the leaks."""
    sums = _sums(steps)
    worth, evidence = sums.start(), forward.chance  # the evidence, scaled like mass and worth at this step
    leaks: dict[int, float] = {}
    for number in range(len(steps) - 1, -1, -1):
        step, (mass, shows) = steps[number], forward.before[number]
        if number in forward.scaled:
            evidence /= UP
        for (bit, leak), sign, unexplained in zip(
            reversed(step.closes), reversed(step.closed), reversed(forward.closing[number]), strict=True
        ):
            leaks[sign] = sums.together(unexplained, worth) / evidence
            worth = sums.reopen(worth, bit, leak)
        there = sums.expect(sums.expect_open(worth, step.firsts), step.triggers, shows)
        causes[step.cause] = min(sums.together(mass, there) / evidence, 1.0)
        worth = sums.join_worth(absent[step.cause], worth, there)
        if step.closes and 0.0 < sums.whole(worth) < SMALL:
            worth, evidence = sums.scaled(worth, UP), evidence * UP
    return leaks
