"""The exact posterior of a two-layer noisy-OR network, by dynamic programming over explained signs.

Signs not seen are absorbed into each cause's weight: w = prior x product of (1 - strength), against
u = 1 - prior. The causes are then processed one at a time, over the sets of seen signs
explained so far. A sign is dropped once its last cause is done; if no cause explained it, its leak
does.
A forward and a backward pass give every marginal. Every term is positive, so there is no cancellation:
inclusion-exclusion loses all digits at some twenty seen signs, this loses none.
"""

from collections.abc import Iterable, Sequence
from math import prod
from operator import mul

import msgspec

from advisor.rank.lattice import Chances, Trigger, chances, close, expect, expect_open, open_signs, reopen, show
from advisor.rank.network import Finding

MAX_OPEN = 14


class Posterior(msgspec.Struct, frozen=True):
    """The probability of the evidence, and of each cause given it; `nothing`: of the evidence and no cause."""

    evidence: float
    causes: tuple[float, ...]
    nothing: float = 0.0

    def complained(self, for_nothing: float) -> "Posterior":
        """Return the posterior given a complaint: certain with any cause, of probability `for_nothing` with none.

        All causes gain by the same factor, since the complaint tells none of them from another.
        """
        evidence = self.evidence - (1 - for_nothing) * self.nothing
        if for_nothing == 1.0 or evidence <= 0.0:
            return self
        times = self.evidence / evidence
        return Posterior(evidence, tuple([min(one * times, 1.0) for one in self.causes]), for_nothing * self.nothing)


class Step(msgspec.Struct, frozen=True):
    """One cause's turn.

    `triggers` holds (bit, strength) of the open signs that it may explain, `firsts` the strengths
    of those that it opens (their bits follow the open ones), `closes` (bit, leak) of those that are
    finished after it, and `open` the number open at that point.
    """

    cause: int
    triggers: tuple[Trigger, ...]
    firsts: tuple[float, ...]
    closes: tuple[tuple[int, float], ...]
    open: int


def posterior(priors: Sequence[float], findings: Iterable[Finding]) -> Posterior:
    """Return the exact posterior of every cause. An impossible picture (probability 0) leaves the priors."""
    everything = list(findings)
    seen = [one for one in everything if one.seen]
    weights, scale = absorb(priors, everything)
    return solve(plan_steps(seen), weights, [1 - prior for prior in priors], scale * unlinked(seen))


def absorb(priors: Sequence[float], findings: Iterable[Finding]) -> tuple[list[float], float]:
    """Return each cause's weight with all absences absorbed, and the probability that no leak showed any of them."""
    weights, scale = list(priors), 1.0
    for absent in (absent for one in findings for absent in one.absences):
        scale *= 1 - absent.leak
        for cause, strength in absent.strengths.items():
            weights[cause] *= 1 - strength
    return weights, scale


def unlinked(seen: Sequence[Finding]) -> float:
    """Return the probability of the seen signs that no cause shows: their leaks."""
    chance = 1.0
    for one in seen:
        if not one.leaky.strengths:
            chance *= one.leaky.leak
    return chance


def plan_steps(seen: Sequence[Finding]) -> tuple[Step, ...]:
    """Return an order of the causes that keeps few signs open at a time (greedy: first what opens least)."""
    linked = {index: set(one.leaky.strengths) for index, one in enumerate(seen) if one.leaky.strengths}
    signs_of: dict[int, list[int]] = {}
    for index, causes in linked.items():
        for cause in causes:
            signs_of.setdefault(cause, []).append(index)
    remaining = {index: set(causes) for index, causes in linked.items()}
    opened: list[int] = []
    steps: list[Step] = []
    while remaining:
        best = min(
            remaining,
            key=lambda sign: (_would_open(remaining[sign], signs_of, opened, remaining), len(remaining[sign]), sign),
        )
        for cause in sorted(remaining[best], key=lambda one: (sum(sign not in opened for sign in signs_of[one]), one)):
            strengths = {sign: seen[sign].leaky.strengths[cause] for sign in signs_of[cause]}
            triggers = [(place, strengths[sign]) for place, sign in enumerate(opened) if sign in strengths]
            fresh = [sign for sign in strengths if sign not in opened]
            opened += fresh
            width = len(opened)
            closes = []
            for sign in strengths:
                remaining[sign].discard(cause)
            for place in range(width - 1, -1, -1):
                sign = opened[place]
                if not remaining[sign]:
                    closes.append((place, seen[sign].leaky.leak))
                    del remaining[sign], opened[place]
            steps.append(Step(cause, tuple(triggers), tuple(strengths[sign] for sign in fresh), tuple(closes), width))
            if width > MAX_OPEN:
                msg = f"more than {MAX_OPEN} seen signs hang together; the exact ranking would not end"
                raise OverflowError(msg)
    return tuple(steps)


def _would_open(
    causes: set[int], signs_of: dict[int, list[int]], opened: list[int], remaining: dict[int, set[int]]
) -> int:
    return len({sign for cause in causes for sign in signs_of[cause] if sign not in opened and sign in remaining})


def solve(steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float], scale: float = 1.0) -> Posterior:
    """Return the posterior for one set of weights (cause present) and absences (cause not present)."""
    total = scale
    in_steps = {step.cause for step in steps}
    causes = [weight / (weight + without) for weight, without in zip(weights, absent, strict=True)]
    for cause, (weight, without) in enumerate(zip(weights, absent, strict=True)):
        if cause not in in_steps:
            total *= weight + without
    forward, chance = _forward(steps, weights, absent)
    if chance > 0.0:
        _backward(steps, absent, forward, causes)
        for step in steps:
            causes[step.cause] = min(causes[step.cause] / chance, 1.0)
    leaks = prod(leak for step in steps for _, leak in step.closes)
    return Posterior(total * chance, tuple(causes), scale * leaks * prod(absent))


def _forward(
    steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float]
) -> tuple[list[tuple[list[float], Chances]], float]:
    """Return the mass over explained sets before each step with the step's chances, and the last mass."""
    mass = [1.0]
    kept: list[tuple[list[float], Chances]] = []
    for step in steps:
        shows = chances(weights[step.cause], step.triggers, len(mass))
        kept.append((mass, shows))
        without, there = absent[step.cause], open_signs(show(mass, step.triggers, shows), step.firsts)
        mass = [without * one + other for one, other in zip(mass, there, strict=False)] + there[len(mass) :]
        for bit, leak in step.closes:
            mass = close(mass, bit, leak)
    return kept, mass[0]


def _backward(
    steps: Sequence[Step],
    absent: Sequence[float],
    forward: list[tuple[list[float], Chances]],
    causes: list[float],
) -> None:
    """Put each cause's joint mass with the evidence into `causes`."""
    worth = [1.0]
    for step, (mass, shows) in zip(reversed(steps), reversed(forward), strict=True):
        for bit, leak in reversed(step.closes):
            worth = reopen(worth, bit, leak)
        there = expect(expect_open(worth, step.firsts), step.triggers, shows)
        without, causes[step.cause] = absent[step.cause], sum(map(mul, mass, there))
        worth = [without * one + other for one, other in zip(worth, there, strict=False)]
