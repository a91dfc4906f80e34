"""The exact posterior of a two-layer noisy-OR network, by dynamic programming over explained signs.

Signs not seen are absorbed into each cause's weight: w = prior x product of (1 - strength), against
u = 1 - prior. The causes are then gone through one at a time over the sets of seen signs already
explained by a cause gone through; a sign is dropped once its last cause is done, and then its leak
explains it where no cause did.
A forward and a backward pass give every marginal. Every term is positive, so nothing cancels:
inclusion-exclusion loses all digits at some twenty seen signs, this does not lose any.

Sets of open signs are lists of length 2^open; a sign's place in them is its bit.
"""

from collections.abc import Iterable, Sequence
from operator import mul

import msgspec

from advisor.rank.network import Finding

MAX_OPEN = 14


class Posterior(msgspec.Struct, frozen=True):
    """The probability of the evidence, and of each cause given it."""

    evidence: float
    causes: tuple[float, ...]


class Step(msgspec.Struct, frozen=True):
    """One cause's turn.

    `triggers` holds (bit, strength) of the signs already open that it may explain, `firsts` the strengths
    of those that it opens (their bits follow the open ones), `closes` (bit, leak) of those that are
    done after it, and `open` how many are open by then.
    """

    cause: int
    triggers: tuple[tuple[int, float], ...]
    firsts: tuple[float, ...]
    closes: tuple[tuple[int, float], ...]
    open: int


def posterior(priors: Sequence[float], findings: Iterable[Finding]) -> Posterior:
    """Return the exact posterior of every cause. An impossible picture (probability 0) leaves the priors."""
    everything = list(findings)
    seen = [one for one in everything if one.seen]
    weights, scale = absorb(priors, [one for one in everything if not one.seen])
    return solve(plan_steps(seen), weights, [1 - prior for prior in priors], scale * unlinked(seen))


def absorb(priors: Sequence[float], absent: Iterable[Finding]) -> tuple[list[float], float]:
    """Return each cause's weight with the signs not seen taken in, and the probability that no leak showed them."""
    weights, scale = list(priors), 1.0
    for one in absent:
        scale *= 1 - one.leaky.leak
        for cause, strength in one.leaky.strengths.items():
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
    """Return an order of the causes that keeps few signs open at a time (greedy: finish what opens least)."""
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
    forward = _forward(steps, weights, absent)
    chance = forward[-1][0]
    if chance > 0.0:
        _backward(steps, weights, absent, forward, causes)
        for step in steps:
            causes[step.cause] = min(causes[step.cause] / chance, 1.0)
    return Posterior(total * chance, tuple(causes))


def _forward(steps: Sequence[Step], weights: Sequence[float], absent: Sequence[float]) -> list[list[float]]:
    """Return the mass over explained sets before each step, and the last mass."""
    mass = [1.0]
    kept = [mass]
    for step in steps:
        shown = mass
        for bit, strength in step.triggers:
            shown = _trigger(shown, 1 << bit, strength)
        for strength in step.firsts:
            stays = 1 - strength
            shown = [stays * one for one in shown] + [strength * one for one in shown]
        weight, without, size = weights[step.cause], absent[step.cause], len(mass)
        mass = [without * one + weight * other for one, other in zip(mass, shown, strict=False)]
        mass += [weight * other for other in shown[size:]]
        for bit, leak in step.closes:
            mass = _close(mass, 1 << bit, leak)
        kept.append(mass)
    return kept


def _backward(
    steps: Sequence[Step],
    weights: Sequence[float],
    absent: Sequence[float],
    forward: list[list[float]],
    causes: list[float],
) -> None:
    """Put each cause's joint mass with the evidence into `causes`."""
    worth = [1.0]
    for step, mass in zip(reversed(steps), reversed(forward[:-1]), strict=True):
        for bit, leak in reversed(step.closes):
            worth = _reopen(worth, 1 << bit, leak)
        shown = worth
        for strength in reversed(step.firsts):
            stays, half = 1 - strength, len(shown) // 2
            shown = [stays * one + strength * other for one, other in zip(shown[:half], shown[half:], strict=True)]
        for bit, strength in step.triggers:
            shown = _expect(shown, 1 << bit, strength)
        weight, without = weights[step.cause], absent[step.cause]
        causes[step.cause] = weight * sum(map(mul, mass, shown))
        worth = [without * one + weight * other for one, other in zip(worth, shown, strict=False)]


def _halves(size: int, block: int) -> Iterable[tuple[slice, slice]]:
    """Return slices that pair each set without a bit with the set that has it, in as few pieces as there can be."""
    if size // (2 * block) <= block:
        return [
            (slice(start, start + block), slice(start + block, start + 2 * block))
            for start in range(0, size, 2 * block)
        ]
    return [(slice(start, size, 2 * block), slice(start + block, size, 2 * block)) for start in range(block)]


def _trigger(mass: list[float], block: int, strength: float) -> list[float]:
    """Let a sign that is not yet explained become so with this strength."""
    stays = 1 - strength
    moved = mass.copy()
    for without, having in _halves(len(mass), block):
        unexplained = mass[without]
        moved[without] = [stays * one for one in unexplained]
        moved[having] = [other + strength * one for one, other in zip(unexplained, mass[having], strict=True)]
    return moved


def _expect(worth: list[float], block: int, strength: float) -> list[float]:
    """Return what a set is worth before the same step: the transpose of `_trigger`."""
    stays = 1 - strength
    before = worth.copy()
    for without, having in _halves(len(worth), block):
        before[without] = [
            stays * one + strength * other for one, other in zip(worth[without], worth[having], strict=True)
        ]
    return before


def _close(mass: list[float], block: int, leak: float) -> list[float]:
    """Drop a sign's bit: where no cause has explained the sign, its leak must."""
    kept: list[float] = []
    for start in range(0, len(mass), 2 * block):
        without, having = mass[start : start + block], mass[start + block : start + 2 * block]
        kept += [leak * one + other for one, other in zip(without, having, strict=True)]
    return kept


def _reopen(worth: list[float], block: int, leak: float) -> list[float]:
    """Put the bit back: a set without it is worth as much less as the leak is rare."""
    wide: list[float] = []
    for start in range(0, len(worth), block):
        having = worth[start : start + block]
        wide += [leak * one for one in having]
        wide += having
    return wide
