"""A led balance played on the engine model: a few bikes here, many by `advisor score --balanced`."""

import pytest

from advisor.diagnose import Advisor
from advisor.scoring.balance_bikes import faulty, healthy
from advisor.scoring.led_balance import play
from advisor.scoring.played import FOUND
from advisor.session.balance_so_far import GAUGES, SHORTING


@pytest.mark.parametrize("method", [GAUGES, SHORTING])
def test_sound_bikes_come_level_and_never_end_worse(advisor: Advisor, method: str) -> None:
    found = [play(healthy(seed), seed, advisor, method) for seed in (11, 12, 13)]
    assert sum(one.why == "" and one.idle_right for one in found) >= 2
    assert not any(one.worse for one in found)


def test_the_same_seed_plays_the_same(advisor: Advisor) -> None:
    assert play(healthy(5), 5, advisor) == play(healthy(5), 5, advisor)


def test_a_dead_plug_goes_over_to_the_search_and_is_among_the_first(advisor: Advisor) -> None:
    hidden = faulty(3, among=["plug-dead"])
    found = play(hidden.bike, 3, advisor, hidden=hidden, goes_on=True)
    assert found.why in {"a side does nothing", "no mixture", "idle out of reach"}
    assert 0 < found.place <= 5
    assert found.search is not None
    assert found.search.how == FOUND
    assert found.search.proven
