"""What the rider tells first."""

import numpy as np

from advisor.observer.bike_view import usual, view
from advisor.observer.complaint import UNASKED, complaint
from advisor.observer.senses import VAGUE
from advisor.rulebase.model import Rulebase
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant


def riders(base: Rulebase) -> frozenset[str]:
    return frozenset(sign.id for sign in base.signs.values() if sign.seen_by == "rider")


def test_two_to_four_signs_that_are_there(base: Rulebase) -> None:
    rider = riders(base)
    first: list[bool] = []
    v = view(plant(Bike(), "idle-passage-blocked", "left", 0.6))
    for i in range(60):
        told = complaint(v, {}, np.random.default_rng(i), rider)
        assert 2 <= len(told) <= 4
        assert {sign for sign, _ in told} <= rider & UNASKED
        first.append(next(iter(told))[0] in VAGUE)
    assert 0.3 < np.mean(first) < 0.7


def test_what_only_a_mechanic_finds_is_told_for_want_of_more(base: Rulebase) -> None:
    told = complaint(view(plant(Bike(), "gauge-at-fault", "left", 0.6)), {}, np.random.default_rng(0), riders(base))
    assert told
    assert complaint(usual(), {}, np.random.default_rng(0), riders(base)) == {}
