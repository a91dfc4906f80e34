"""Who is there with which tools."""

from pathlib import Path

from advisor.case import Means
from advisor.rulebase import Rulebase
from advisor.session.store import Store
from advisor.session.who_is_there import HABIT, known, not_said, remember

MEANS = Means(person="mechanic", tools=frozenset({"meter", "lamp"}), engine="")


def test_at_the_bike_it_is_asked_once_and_then_remembered(base: Rulebase, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    assert known("bench", store, base) is None
    remember(MEANS, store)
    assert known("bench", Store(tmp_path / "s.sqlite"), base) == MEANS
    assert known("bench", None, base) is None


def test_on_the_phone_it_is_the_rider_whoever_was_at_the_bike_last(base: Rulebase, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    remember(MEANS, store)
    for kept in (store, None):
        assert known("phone", kept, base) == Means(person="rider", tools=frozenset(), engine="")


def test_a_habit_that_cannot_be_read_or_kept_is_asked_for(base: Rulebase, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    store.remember(HABIT, "whoever it was")
    assert known("bench", store, base) is None
    store.close()
    remember(MEANS, store)
    remember(MEANS, None)
    assert known("bench", store, base) is None


def test_where_it_is_not_said_nothing_is_held_back(base: Rulebase) -> None:
    means = not_said(base)
    assert (means.person, means.tools) == ("mechanic", None)
