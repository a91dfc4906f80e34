"""Arithmetic on sets of explained signs, as lists of length 2^open: each sign is one bit of a set's index.

A mass holds the probability of each set so far; a worth holds that of the remaining evidence given the set.
Every term is positive, so there is no cancellation. `wide` does the same on arrays, faster from some 2^10 sets on.
"""

from collections.abc import Sequence
from functools import cache
from operator import add, mul

Trigger = tuple[int, float]  # a sign's bit, and the strength with which a cause shows it
Chances = tuple[list[float], list[float]]

# No cause shows a sign more weakly than this: the inverse of fourteen such strengths is still finite.
FAINTEST = 1e-20


@cache
def _pairs(size: int, block: int) -> tuple[tuple[slice, slice, slice], ...]:
    """Return slices that pair each set without a bit with the set that has it, in as few pieces as possible.

    The third is the position of the piece once the bit is taken out.
    """
    if size // (2 * block) <= block:
        return tuple(
            (slice(one, one + block), slice(one + block, one + 2 * block), slice(one // 2, one // 2 + block))
            for one in range(0, size, 2 * block)
        )
    return tuple(
        (slice(one, size, 2 * block), slice(one + block, size, 2 * block), slice(one, size // 2, block))
        for one in range(block)
    )


def start() -> list[float]:
    """Return the mass, or the worth, with no sign open."""
    return [1.0]


def chances(weight: float, triggers: Sequence[Trigger], size: int) -> Chances:
    """Return, for each set, the weight of a cause showing exactly its signs, and 1 / the chance of at least those.

    With these, showing several signs independently is a plain sum over subsets.
    """
    just, inverse, strengths = [weight], [1.0], dict(triggers)
    for bit in range(size.bit_length() - 1):
        if bit in strengths:
            strength = max(strengths[bit], FAINTEST)
            stays, over = 1 - strength, 1 / strength
            just = [stays * one for one in just] + [strength * one for one in just]
            inverse += [over * one for one in inverse]
        else:
            just += just
            inverse += inverse
    return just, inverse


def show(mass: list[float], triggers: Sequence[Trigger], shows: Chances) -> list[float]:
    """Return the weighted mass after a cause may have shown each of its open signs."""
    just, inverse = shows
    gained = list(map(mul, mass, inverse))
    for bit, _ in triggers:
        for without, having, _ in _pairs(len(mass), 1 << bit):
            gained[having] = map(add, gained[without], gained[having])
    return list(map(mul, gained, just))


def expect(worth: list[float], triggers: Sequence[Trigger], shows: Chances) -> list[float]:
    """Return the worth of each set before that step: the transpose of `show`."""
    just, inverse = shows
    gained = list(map(mul, worth, just))
    for bit, _ in triggers:
        for without, having, _ in _pairs(len(worth), 1 << bit):
            gained[without] = map(add, gained[without], gained[having])
    return list(map(mul, gained, inverse))


def open_signs(mass: list[float], strengths: Sequence[float]) -> list[float]:
    """Return the mass over more signs, above those already open, after a cause may have shown them."""
    for strength in strengths:
        stays = 1 - strength
        mass = [stays * one for one in mass] + [strength * one for one in mass]
    return mass


def expect_open(worth: list[float], strengths: Sequence[float]) -> list[float]:
    """Return the worth of each set before that step: the transpose of `open_signs`."""
    for strength in reversed(strengths):
        stays, half = 1 - strength, len(worth) // 2
        worth = [stays * one + strength * other for one, other in zip(worth[:half], worth[half:], strict=True)]
    return worth


def join(absent: float, mass: list[float], there: list[float]) -> list[float]:
    """Return the mass with a cause absent, by this factor, plus that with it present; it may be over more signs."""
    return [absent * one + other for one, other in zip(mass, there, strict=False)] + there[len(mass) :]


def join_worth(absent: float, worth: list[float], there: list[float]) -> list[float]:
    """Return the worth with a cause absent, by this factor, plus that with it present; it may be over fewer signs."""
    return [absent * one + other for one, other in zip(worth, there, strict=False)]


def without_bit(mass: list[float], bit: int) -> list[float]:
    """Return the mass of the sets that lack this bit, with the bit dropped."""
    kept = [0.0] * (len(mass) // 2)
    for without, _, place in _pairs(len(mass), 1 << bit):
        kept[place] = mass[without]
    return kept


def close(mass: list[float], bit: int, leak: float) -> list[float]:
    """Drop a sign's bit: if no cause has explained the sign, its leak must."""
    kept = [0.0] * (len(mass) // 2)
    for without, having, place in _pairs(len(mass), 1 << bit):
        kept[place] = [leak * one + other for one, other in zip(mass[without], mass[having], strict=True)]
    return kept


def reopen(worth: list[float], bit: int, leak: float) -> list[float]:
    """Put the bit back: the worth of a set without it is multiplied by the leak."""
    wide = worth + worth
    for without, having, place in _pairs(len(wide), 1 << bit):
        wide[having] = worth[place]
        wide[without] = [leak * one for one in worth[place]]
    return wide


def together(mass: list[float], worth: list[float]) -> float:
    """Return the probability of all: the mass of each set times its worth, summed over the sets that both have."""
    found: float = sum(map(mul, mass, worth))
    return found


def whole(mass: list[float]) -> float:
    """Return the sum over all sets."""
    return sum(mass)


def scaled(mass: list[float], times: float) -> list[float]:
    """Return each set's mass or worth multiplied by one factor."""
    return [times * one for one in mass]
