"""Bikes that somebody brings: clear trouble where there can be any, and the same bike in any batch."""

import numpy as np

from advisor.observer.bike_view import view
from advisor.scoring.customers import brought, felt
from advisor.scoring.hidden_bikes import COMMON, MISSET, RARE, WORST, planted
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES


def _rngs(*numbers: int) -> list[np.random.Generator]:
    return [np.random.default_rng([17, number]) for number in numbers]


def test_a_bike_hangs_on_its_own_generator_alone() -> None:
    together = [one for one, _ in brought(_rngs(0, 1, 2, 3), CAUSES)]
    alone = [brought(_rngs(number), CAUSES)[0][0] for number in range(4)]
    assert together == alone


def test_nobody_brings_what_he_does_not_feel_if_it_can_be_felt() -> None:
    for hidden, seen in brought(_rngs(*range(30)), CAUSES):
        assert seen.bike == hidden.bike
        if len(hidden.faults) > 1:
            continue  # each is felt alone; together two settings may make up for each other
        worst = planted([(cause, side, WORST) for cause, side, _ in hidden.faults], hidden.sound)
        assert felt(seen) or not felt(view(worst.bike)) or hidden.faults == worst.faults


def test_a_setting_that_is_the_fault_is_not_set_again() -> None:
    for hidden, _ in brought(_rngs(*range(12)), MISSET & CAUSES.keys()):
        assert not hidden.set_around


def test_no_two_bikes_were_alike_before_they_had_their_faults() -> None:
    sound = [hidden.sound for hidden, _ in brought(_rngs(*range(6)), CAUSES)]
    assert len(set(sound)) == len(sound)
    assert not {Bike()} & set(sound)


def test_common_faults_are_brought_more_often() -> None:
    faults = [hidden.faults[0][0] for hidden, _ in brought(_rngs(*range(60)), CAUSES)]
    assert not COMMON & RARE
    assert sum(one in COMMON for one in faults) > len(faults) / 2 > sum(one in RARE for one in faults)
