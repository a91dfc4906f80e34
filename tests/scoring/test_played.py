"""Whole sessions played through a user's own door."""

import pytest

from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.scoring.played import FOUND, MOST_QUESTIONS, batch, play_account
from advisor.scoring.resolved import read_accounts
from advisor.scoring.score import Task
from tests.test_resolved import FOLDER


def test_an_account_is_played_from_its_words_to_its_cause(advisor: Advisor) -> None:
    account = next(one for one in read_accounts(FOLDER, advisor.base) if one.name.startswith("16-"))
    bench, call = play_account(account, advisor)
    assert (bench.how, bench.proven, bench.place) == (FOUND, True, 1)
    assert 0 < len(bench.checks) <= 6
    assert 0 < bench.minutes < bench.order / 2
    assert bench.heard > 0
    assert len(call.checks) <= MOST_QUESTIONS
    assert (bench.kind, call.kind) == ("bench", "phone")


@pytest.mark.slow
def test_a_drawn_bike_is_played_the_same_way_twice() -> None:
    task = Task(0, 1, 5, (str(shipped("rules")),), 0)
    first = batch(task)
    assert [one.kind for one in first] == ["bench", "phone"]
    assert first == batch(task)
