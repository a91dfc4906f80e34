"""A led balance played on the engine model: a few bikes here, many by `advisor score --balanced`."""

import numpy as np
import pytest

from advisor.diagnose import Advisor
from advisor.scoring.led_balance import Truth, faulty, healthy, is_level, play, prevents, truly
from advisor.session.balance_so_far import GAUGES, SHORTING
from advisor.sides import BOTH
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant


def test_the_model_by_the_book_is_level_and_nothing_prevents_it() -> None:
    assert is_level(truly(Bike()))
    assert not prevents(Bike())


@pytest.mark.parametrize("side", BOTH)
def test_a_dead_plug_prevents_a_balance_on_either_side(side: str) -> None:
    assert prevents(plant(Bike(), "plug-dead", side, 1.0))  # type: ignore[arg-type]


def test_idle_and_columns_must_be_within_the_limits_of_the_pages() -> None:
    right = Truth(idle_mmhg=5.0, held_mmhg=-5.0, rpm=1000.0, drops=0.0)
    assert is_level(right)
    for change in ({"idle_mmhg": 12.0}, {"held_mmhg": -12.0}, {"rpm": 1150.0}, {"rpm": np.nan}):
        assert not is_level(Truth(**{"idle_mmhg": 5.0, "held_mmhg": -5.0, "rpm": 1000.0, "drops": 0.0} | change))


@pytest.mark.parametrize("method", [GAUGES, SHORTING])
def test_sound_bikes_come_level_and_never_end_worse(advisor: Advisor, method: str) -> None:
    found = [play(healthy(seed), seed, advisor, method) for seed in (11, 12, 13)]
    assert sum(one.why == "" and one.idle_right for one in found) >= 2
    assert not any(one.worse for one in found)


def test_the_same_seed_plays_the_same(advisor: Advisor) -> None:
    assert play(healthy(5), 5, advisor) == play(healthy(5), 5, advisor)


def test_a_dead_plug_goes_over_to_the_search_and_is_among_the_first(advisor: Advisor) -> None:
    hidden = faulty(3, among=["plug-dead"])
    found = play(hidden.bike, 3, advisor, cause=hidden.causes[0])
    assert found.why in {"a side does nothing", "no mixture", "idle out of reach"}
    assert 0 < found.place <= 5
