"""Bikes drawn from the rule base's own network: faults by how often they are met, signs by how often they show.

A network whose numbers have been changed at random (`perturbed`) gives bikes on which the rule base is wrong.
"""

import random
from collections.abc import Collection

import msgspec

from advisor.rank.network import Leaky, Network
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, Sided, other

FAULTS = (0.8, 0.16, 0.04)  # chances of one, two or three faults at once: judgement, a little harder than the priors
OF_ITSELF = -1  # stands for a sign without a fault, as on healthy bikes


class NetworkBike(msgspec.Struct, frozen=True):
    """A drawn bike: its true causes (by index), and what shows each sign (causes, or `OF_ITSELF`)."""

    faults: frozenset[int]
    shown: dict[Sided, frozenset[int]]
    kinds: dict[Sided, tuple[Sided, ...]]
    past: frozenset[str]

    def signs(self, left: Collection[int]) -> dict[Sided, bool]:
        """Return the state of every sign while these faults are left. What is past (how it began) no repair changes."""
        there = {OF_ITSELF, *left}
        found = {key: bool(by if key[0] in self.past else by & there) for key, by in self.shown.items()}
        for vague, kinds in self.kinds.items():
            found[vague] = found[vague] or any(found[kind] for kind in kinds)
        return found


def draw(base: Rulebase, network: Network, rng: random.Random) -> NetworkBike:
    """Return a bike with one to three faults, drawn by how often they are met, and the signs that it shows.

    A sign that compares the sides shows on one of them at most.
    """
    count = rng.choices(range(1, len(FAULTS) + 1), weights=FAULTS)[0]
    faults: set[int] = set()
    while len(faults) < count:
        faults.add(rng.choices(range(len(network.priors)), weights=network.priors)[0])
    return with_faults(base, network, faults, rng)


def with_faults(base: Rulebase, network: Network, faults: Collection[int], rng: random.Random) -> NetworkBike:
    """Return a bike with these faults (by index), and the signs that it shows, drawn by how often they are there."""
    shown = {key: _shown(one, faults, rng) for key, one in network.signs.items()}
    for (sign, side), by in shown.items():
        if base.signs[sign].exclusive and by and shown[sign, other(side)]:
            shown[sign, rng.choice(BOTH)] = frozenset()
    # nor does a vague sign lead on the one side and its kind on the other
    for (sign, side), below in network.kinds.items():
        if base.signs[sign].exclusive and any(shown[kind] for kind in below):
            shown[sign, other(side)] = frozenset()
    past = frozenset(sign.id for sign in base.signs.values() if sign.past)
    return NetworkBike(frozenset(faults), shown, network.kinds, past)


def _shown(sign: Leaky, faults: Collection[int], rng: random.Random) -> frozenset[int]:
    """Return which faults show a sign, each independently, and whether it is there without any."""
    found = {cause for cause in sorted(faults) if rng.random() < sign.strengths.get(cause, 0.0)}
    return frozenset(found | ({OF_ITSELF} if rng.random() < sign.leak else set()))


def perturbed(network: Network, rng: random.Random, spread: float = 0.5) -> Network:
    """Return the network with the odds of every strength, leak and prior off by a log-normal factor.

    `spread` is the standard deviation of the factor's logarithm.
    """

    def off(chance: float) -> float:
        ratio = chance / max(1 - chance, 1e-9) * rng.lognormvariate(0, spread)
        return min(max(ratio / (1 + ratio), 1e-4), 0.99)

    signs = {
        key: Leaky(off(one.leak), {cause: off(strength) for cause, strength in one.strengths.items()})
        for key, one in network.signs.items()
    }
    return Network(network.causes, tuple(off(prior) for prior in network.priors), signs, network.kinds, network.thin)
