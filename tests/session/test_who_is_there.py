"""Who is there with which tools."""

import sqlite3
from pathlib import Path

import msgspec
from msgspec.structs import replace

from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.session.events import AtHand
from advisor.session.session import Session
from advisor.session.store import Journal, Store, begun
from advisor.session.who_is_there import HABIT, as_person, known, lacks_the_tool_roll, of_a_rider, remember

MEANS = Means(person="mechanic", tools=frozenset({"meter", "lamp"}), engine="")
SURE = frozenset({"meter"})


def test_at_the_bike_it_is_asked_once_and_then_remembered(base: Rulebase, tmp_path: Path) -> None:
    journal = begun(Store(tmp_path / "s.sqlite"))
    assert known("bench", journal, base) is None
    remember(MEANS, SURE, journal)
    assert known("bench", begun(Store(tmp_path / "s.sqlite")), base) == AtHand(MEANS, SURE)
    assert known("bench", Journal(None), base) is None


def test_on_the_phone_it_is_the_rider_whoever_was_at_the_bike_last(base: Rulebase, tmp_path: Path) -> None:
    journal = begun(Store(tmp_path / "s.sqlite"))
    remember(MEANS, SURE, journal)
    for kept in (journal, Journal(None)):
        assert known("phone", kept, base) == of_a_rider(base.tool_roll, base)


def test_a_rider_is_asked_for_his_tools_once_before_the_first_check_that_needs_one(advisor: Advisor) -> None:
    base = advisor.base
    call = Session(advisor, Journal(None))
    call.begin("phone", "it dies", of_a_rider(base.tool_roll, base).means)
    asked = msgspec.structs.replace(call.question, tools=())
    needs = msgspec.structs.replace(asked, tools=("a plug spanner",))
    assert not lacks_the_tool_roll(call.state, asked)
    assert lacks_the_tool_roll(call.state, needs)
    call.at_hand(of_a_rider(["plug-spanner"], base).means)
    assert call.state.case.means.tools == frozenset({"plug-spanner"})
    assert not lacks_the_tool_roll(call.state, needs)
    bench = Session(advisor, Journal(None))
    bench.begin("bench", "it dies", MEANS)
    assert not lacks_the_tool_roll(bench.state, needs)


def test_a_habit_that_cannot_be_read_or_kept_is_asked_for(base: Rulebase, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    journal = begun(store)
    store.remember(HABIT, "whoever it was")
    assert known("bench", journal, base) is None
    with sqlite3.connect(store.path) as database:
        database.execute("UPDATE habit SET value = 7")  # no JSON at all
    assert known("bench", journal, base) is None
    assert journal.trouble == ""
    store.close()
    remember(MEANS, SURE, journal)
    remember(MEANS, SURE, Journal(None))
    assert known("bench", journal, base) is None
    assert "going on in memory" in journal.trouble  # said at once, and the store is let be
    assert journal.store is None


def test_a_habit_of_before_knows_every_tool_that_it_names(base: Rulebase, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    store.remember(HABIT, MEANS)
    assert known("bench", begun(store), base) == AtHand(MEANS)


def test_a_workshop_has_every_tool_and_others_are_asked(base: Rulebase) -> None:
    every = Means(person="workshop", tools=None, engine="")
    assert as_person("workshop", MEANS, SURE, base) == AtHand(every)
    assert as_person("rider", MEANS, SURE, base) == AtHand(replace(MEANS, person="rider"), SURE)
    assert as_person("mechanic", every, None, base) == AtHand(replace(every, person="mechanic"), frozenset())
