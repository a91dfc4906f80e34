"""What a check tells, against printed values and brute force."""

import itertools
import math
import random

import pytest

from advisor.plan.candidates import Candidate, Result
from advisor.plan.information import Told, entropy, information, told_by
from advisor.rank.joint import Joint
from advisor.rank.network import Finding, Leaky, Network
from advisor.rank.ranking import Ranking
from advisor.rulebase import Rulebase
from advisor.sides import Sided
from tests.rank.networks import random_network


def test_polybox_measures_x_first() -> None:
    """Three multipliers into two adders, output F wrong and G right: the inner point X is measured first.

    "Diagnosing multiple faults", Artificial Intelligence 32, 1987; minimal
    diagnoses {M1}, {A1}, {M2, M3}, {M2, A2}, each part faulty with p = 0.01.
    """
    minimal = [{"M1"}, {"A1"}, {"M2", "M3"}, {"M2", "A2"}]
    weights = [0.01 ** len(one) * 0.99 ** (5 - len(one)) for one in minimal]
    total = sum(weights)
    # Inputs 3, 2, 2, 3, 3: X = Y = Z = 6 when sound; F = 10 was seen, G = 12. What each diagnosis says of a probe.
    says = {
        "X": [4, 6, 6, 6],  # M1 faulty: X = 4 explains F = 10
        "Y": [6, 6, 4, 4],  # M2 faulty: Y = 4
        "Z": [6, 6, 8, 6],  # with Y = 4, G = 12 needs Z = 8, or A2 faulty
    }
    expected = {}
    for probe, values in says.items():
        seen = sorted(set(values))
        results = [[float(v == s) for v in values] for s in seen]
        chances = [weight / total for weight in weights]
        expected[probe] = entropy(chances) - information(chances, results).bits
    assert min(expected, key=lambda probe: expected[probe]) == "X"


def test_information_of_nothing_and_of_everything() -> None:
    told = information([0.5, 0.5], [[1.0, 0.0], [0.0, 1.0]])
    assert told.bits == pytest.approx(1.0)
    assert told.chances == (0.5, 0.5)
    assert information([0.5, 0.5], [[0.3, 0.3], [0.7, 0.7]]).bits == pytest.approx(0.0, abs=1e-12)


def test_what_is_certain_has_no_entropy() -> None:
    assert entropy([1.0, 0.0]) == 0.0
    assert entropy([0.5, 0.0, 0.5]) == 1.0
    assert entropy([]) == 0.0


def test_a_vague_sign_that_a_known_kind_says_already_tells_nothing(base: Rulebase) -> None:
    """Whoever said that it hunts has said that it is rough."""
    rough, hunts = Leaky(0.04, {0: 0.6}), Leaky(0.04, {0: 0.7, 1: 0.4})
    vague: Sided = ("rough", None)
    kind: Sided = ("hunts", None)
    network = Network((("c0", None), ("c1", None)), (0.05, 0.05), {vague: rough, kind: hunts}, {vague: (kind,)})
    ranking = Ranking(network, {kind: Finding(hunts, seen=True)})
    check = next(iter(base.checks.values()))
    both = tuple(Result(word, None, {vague: Finding(rough, seen=word == "yes")}) for word in ("yes", "no"))
    told = told_by(Candidate(check, None, both), Joint(ranking))
    assert told == Told(0.0, (0.5, 0.5))


@pytest.mark.parametrize("seed", range(20))
def test_told_by_a_check_is_the_mutual_information(base: Rulebase, seed: int) -> None:
    """On a small network: bits by the definition, over every set of causes, with the evidence taken in."""
    rng = random.Random(seed)
    priors, found = random_network(rng, 4, 4)
    found.append(Finding(Leaky(0.05, dict.fromkeys(range(4), 0.5)), seen=True))
    network = Network(tuple((f"c{n}", None) for n in range(4)), tuple(priors), {})
    ranking = Ranking(network, {(f"s{n}", None): one for n, one in enumerate(found)})
    asked = Leaky(0.1, {cause: rng.uniform(0.1, 0.9) for cause in rng.sample(range(4), 2)})
    check = next(iter(base.checks.values()))
    results = tuple(
        Result(word, None, {("new", None): Finding(asked, seen)}) for word, seen in (("yes", True), ("no", False))
    )
    weights = {}
    for bits in itertools.product((False, True), repeat=4):
        present = {cause for cause in range(4) if bits[cause]}
        weight = math.prod(prior if cause in present else 1 - prior for cause, prior in enumerate(priors))
        for one in found:
            absent = one.leaky.absent_given(present)
            weight *= 1 - absent if one.seen else absent
        weights[frozenset(present)] = weight
    total = sum(weights.values())
    hidden = {one: asked.absent_given(one) for one in weights}
    seen_chance = sum(weight / total * (1 - hidden[one]) for one, weight in weights.items())
    noise = sum(weight / total * entropy([hidden[one], 1 - hidden[one]]) for one, weight in weights.items())
    told = told_by(Candidate(check, None, results), Joint(ranking))
    assert told.bits == pytest.approx(entropy([seen_chance, 1 - seen_chance]) - noise, abs=1e-9)
    assert told.chances == pytest.approx((seen_chance, 1 - seen_chance), abs=1e-9)
