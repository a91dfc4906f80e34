"""The same arithmetic as in `lattice`, on arrays: for cases in which many seen signs hang together.

Arrays are one-dimensional, of length 2^open.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from advisor.rank.lattice import Trigger

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Sets = NDArray[np.float64]


def start() -> "Sets":
    """Return the mass, or the worth, with no sign open."""
    return np.ones(1)


def chances(weight: float, triggers: Sequence[Trigger], size: int) -> float:  # noqa: ARG001 - as in `lattice`
    """Return what `show` and `expect` need to know of a cause beside its triggers: its weight."""
    return weight


def show(mass: "Sets", triggers: Sequence[Trigger], weight: float) -> "Sets":
    """Return the weighted mass after a cause may have shown each of its open signs."""
    gained = mass * weight
    for bit, strength in triggers:
        pairs = gained.reshape(-1, 2, 1 << bit)
        shown = strength * pairs[:, 0]
        pairs[:, 1] += shown
        pairs[:, 0] *= 1 - strength
    return gained


def expect(worth: "Sets", triggers: Sequence[Trigger], weight: float) -> "Sets":
    """Return the worth of each set before that step: the transpose of `show`."""
    gained = worth * weight
    for bit, strength in triggers:
        pairs = gained.reshape(-1, 2, 1 << bit)
        shown = strength * pairs[:, 1]
        pairs[:, 0] *= 1 - strength
        pairs[:, 0] += shown
    return gained


def open_signs(mass: "Sets", strengths: Sequence[float]) -> "Sets":
    """Return the mass over more signs, above those already open, after a cause may have shown them."""
    for strength in strengths:
        mass = np.concatenate(((1 - strength) * mass, strength * mass))
    return mass


def expect_open(worth: "Sets", strengths: Sequence[float]) -> "Sets":
    """Return the worth of each set before that step: the transpose of `open_signs`."""
    for strength in reversed(strengths):
        half = len(worth) // 2
        worth = (1 - strength) * worth[:half] + strength * worth[half:]
    return worth


def join(absent: float, mass: "Sets", there: "Sets") -> "Sets":
    """Return the mass with a cause absent, by this factor, plus that with it present; it may be over more signs."""
    there[: len(mass)] += absent * mass
    return there


def join_worth(absent: float, worth: "Sets", there: "Sets") -> "Sets":
    """Return the worth with a cause absent, by this factor, plus that with it present; it may be over fewer signs."""
    there += absent * worth[: len(there)]
    return there


def without_bit(mass: "Sets", bit: int) -> "Sets":
    """Return the mass of the sets that lack this bit, with the bit dropped."""
    return mass.reshape(-1, 2, 1 << bit)[:, 0].ravel()


def close(mass: "Sets", bit: int, leak: float) -> "Sets":
    """Drop a sign's bit: if no cause has explained the sign, its leak must."""
    pairs = mass.reshape(-1, 2, 1 << bit)
    return (leak * pairs[:, 0] + pairs[:, 1]).ravel()


def reopen(worth: "Sets", bit: int, leak: float) -> "Sets":
    """Put the bit back: the worth of a set without it is multiplied by the leak."""
    kept = worth.reshape(-1, 1 << bit)
    return np.stack((leak * kept, kept), axis=1).ravel()


def together(mass: "Sets", worth: "Sets") -> float:
    """Return the probability of all: the mass of each set times its worth, summed over the sets that both have."""
    return float(np.add.reduce(mass * worth[: len(mass)]))


def whole(mass: "Sets") -> float:
    """Return the sum over all sets."""
    return float(np.add.reduce(mass))


def scaled(mass: "Sets", times: float) -> "Sets":
    """Return each set's mass or worth multiplied by one factor."""
    return times * mass
