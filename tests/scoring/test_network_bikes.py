"""Bikes drawn from the rule base's own network: as many faults as the priors say, and the signs that these show."""

import random

import pytest
from scipy.stats import poisson

from advisor.rank.network import build
from advisor.rulebase import Rulebase
from advisor.scoring.network_bikes import FAULTS, draw, perturbed
from advisor.sides import other


def test_a_drawn_bike_has_faults_and_shows_them_as_the_network_says(base: Rulebase) -> None:
    network, rng = build(base), random.Random(1)
    benches = [draw(base, network, rng) for _ in range(300)]
    assert {len(one.faults) for one in benches} == {1, 2, 3}
    for signs in [one.signs(one.faults) for one in benches]:
        assert all(signs[vague] for vague, kinds in network.kinds.items() if any(signs[kind] for kind in kinds))
        assert not any(signs[key] and signs[key[0], other(key[1])] for key in signs if base.signs[key[0]].exclusive)


def test_a_bike_that_has_faults_has_hardly_more_of_them_than_the_priors_say(base: Rulebase) -> None:
    """The bikes drawn here are a little harder: one in five has more than one fault, by the priors one in ten."""
    # many independent rare events: Poisson, here of those that happened (Le Cam 1960, from memory)
    by_priors = poisson(sum(build(base).priors))
    some = 1 - by_priors.pmf(0)
    drawn = [share / sum(FAULTS) for share in FAULTS]
    assert [by_priors.pmf(count) / some for count in (1, 2, 3)] == pytest.approx(drawn, abs=0.12)


def test_a_repaired_bike_shows_what_healthy_ones_show_and_what_is_past(base: Rulebase) -> None:
    network, rng = build(base), random.Random(7)
    drawn = [draw(base, network, rng) for _ in range(20)]
    for bench in drawn:
        before, after = bench.signs(bench.faults), bench.signs(())
        assert all(before[key] for key, seen in after.items() if seen)
        assert all(after[key] == before[key] for key in before if base.signs[key[0]].past)
    assert all(sum(one.signs(()).values()) < sum(one.signs(one.faults).values()) for one in drawn)


def test_perturbed_numbers_stay_chances(base: Rulebase) -> None:
    network = perturbed(build(base), random.Random(6))
    for one in network.signs.values():
        assert 0 < one.leak < 1
        assert all(0 < strength < 1 for strength in one.strengths.values())
