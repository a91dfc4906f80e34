"""What the rider tells first, and how it began."""

import numpy as np

from advisor.rulebase.model import Rulebase
from advisor.trial.complaint import BEGINS, UNASKED, WORKED_ON, WORKS, complaint, history
from advisor.trial.senses import VAGUE
from advisor.trial.view import usual, view
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, plant

KNOWN = {"slowly-worse", "began-after-work", "began-after-standing", "began-suddenly", *WORKS}


def riders(base: Rulebase) -> frozenset[str]:
    return frozenset(sign.id for sign in base.signs.values() if sign.seen_by == "rider")


def test_every_cause_that_is_a_fault_has_a_beginning() -> None:
    assert set(CAUSES) - set(BEGINS) == {"too-high-up"}
    assert set(BEGINS) <= set(CAUSES)


def test_histories_are_likely_ones() -> None:
    drawn = [history(["rings-worn"], np.random.default_rng(i)) for i in range(400)]
    assert {sign for one in drawn for sign, _ in one} == KNOWN
    share = np.mean([one["slowly-worse", None] for one in drawn])
    assert 0.65 < share < 0.85
    assert not any(one["slowly-worse", None] and one["began-suddenly", None] for one in drawn)
    assert history(["too-high-up"], np.random.default_rng(1)) == {}


def test_it_was_worked_on_where_the_fault_sits() -> None:
    for cause, work in WORKED_ON.items():
        drawn = [history([cause], np.random.default_rng(i)) for i in range(30)]
        after = [one for one in drawn if one["began-after-work", None]]
        assert after
        assert all({sign for sign in WORKS if one[sign, None]} == {work} for one in after)
        assert not any(one[sign, None] for one in drawn if one not in after for sign in WORKS)


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
