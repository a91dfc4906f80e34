"""A session: each answer is an event, undo takes it back, and it is worked out no more often than it must be."""

from pathlib import Path

import pytest

from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import Read, Skipped
from advisor.session.session import Session
from advisor.session.store import Journal, Store
from advisor.session.typed_line import Wish
from tests.session.sessions import session


@pytest.mark.wide
def test_each_answer_is_an_event_and_undo_takes_any_number_back(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    questions = [at.question]
    for line in ("not known", "not known", "can't", "idle-speed 1300 rpm", "can't"):
        at.answer(line)
        questions.append(at.question)
    assert [type(one) for one in at.state.counting[-4:-1]] == [Skipped, Skipped, Read]
    for asked in reversed(questions[:-1]):
        at.answer("undo")
        assert at.question == asked
    again = session(advisor, "idle-hangs")
    for line in ("not known", "not known", "can't", "idle-speed 1300 rpm", "can't"):
        again.answer(line)
    again.answer("undo 5")
    assert again.question == questions[0]
    assert again.report == at.report


def test_wishes_change_nothing(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    events = list(at.journal.events)
    for line in ("where", "why", "why not gauge-at-fault", "what if 1", "help", "save x", "also pops", "stop"):
        assert isinstance(at.answer(line), Wish)
    assert at.what_if("1")
    assert at.journal.events == events


def test_all_can_be_taken_back_at_once(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    at.answer("1")
    at.answer("undo all")
    assert at.state.undoable == 0
    with pytest.raises(AdvisorError):
        at.answer("back")


def test_resumed_it_asks_the_same(advisor: Advisor, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    number = store.begin()
    at = session(advisor, "idle-hangs", journal=Journal(store, number))
    at.answer("not known")
    at.answer("idle-speed 1300 rpm")
    again = Session(advisor, Journal(store, number, Store(tmp_path / "s.sqlite").events(number)))
    assert again.question == at.question
    assert again.report == at.report


def test_what_is_said_of_a_tool_adds_to_what_is_known_of_the_others(advisor: Advisor) -> None:
    at, every = session(advisor), frozenset(advisor.base.tools)
    at.at_hand(Means(person="mechanic", tools=None, engine="warm"), frozenset())
    question = at.question
    at.has_tools(frozenset({"meter"}), frozenset())
    assert (at.state.case.means.tools, at.state.sure) == (None, frozenset({"meter"}))
    assert at.question is question  # nothing is worked out again
    at.has_tools(frozenset(), frozenset({"strobe"}))
    assert (at.state.case.means.tools, at.state.sure) == (every - {"strobe"}, frozenset({"meter"}))
    at.has_tools(frozenset({"strobe"}), frozenset({"meter"}))
    assert (at.state.case.means.tools, at.state.sure) == (every - {"meter"}, frozenset({"strobe"}))
    assert at.state.case.means.engine == "warm"
