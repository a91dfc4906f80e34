"""What was told in words: numbered, denied, forgotten, and taken back."""

import msgspec
import pytest

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import Answered, Forgotten, Told
from advisor.session.schema import decoded
from advisor.session.session import Session
from advisor.session.told_so_far import denied, forgotten, told_so_far
from tests.session.sessions import session

SENTENCE = "it pops on the overrun but starts fine, idles at 1300, I think it is the coil"


@pytest.fixture
def at(advisor: Advisor) -> Session:
    found = session(advisor)
    found.told(found.hearing.understood(SENTENCE))
    return found


def names(at: Session) -> list[str]:
    return [one.report.sign for one in told_so_far(at.state) if one.report]


def test_all_that_was_chosen_is_told(at: Session) -> None:
    says = at.told_so_far()
    assert "Pops in the exhaust on closed throttle" in says
    assert "not: Hard to start" in says
    assert any(one.startswith("Idle speed: 1300 rpm") for one in says)
    assert any(one.startswith("suspected: ") for one in says)
    assert {one.sign: one.seen for one in at.state.case.seen} == {"overrun-pop": True, "hard-to-start": False}
    assert [one.reading for one in at.state.case.measured] == ["idle-speed"]


def test_what_is_suspected_weighs_nothing(at: Session, advisor: Advisor) -> None:
    alone = session(advisor)
    alone.told([one for one in alone.hearing.understood(SENTENCE) if not one.cause])
    assert [one.probability for one in at.report.causes] == [one.probability for one in alone.report.causes]


def test_any_of_it_is_turned_round_by_its_number(at: Session) -> None:
    number = names(at).index("overrun-pop") + 1
    at.answer(f"not {number}")
    assert {one.sign: one.seen for one in at.state.case.seen}["overrun-pop"] is False
    at.answer("undo")
    assert {one.sign: one.seen for one in at.state.case.seen}["overrun-pop"] is True


def test_any_of_it_is_forgotten_by_its_number(at: Session) -> None:
    for number in range(len(at.told_so_far()), 0, -1):
        at.answer(f"drop {number}")
    assert at.told_so_far() == ()
    assert at.state.case.seen == ()
    assert at.state.case.measured == ()
    at.answer("undo all")
    assert at.told_so_far() == ()


def test_later_words_add_and_take_nothing_away(at: Session) -> None:
    before = at.told_so_far()
    at.told(at.hearing.understood("the idle hangs"))
    assert set(before) < set(at.told_so_far())


def test_what_a_check_has_settled_is_no_longer_only_told(at: Session) -> None:
    at.journal.add(Answered("x", None, "yes", (SignReport(sign="overrun-pop", side=None, seen=True, how="seen"),)))
    assert "overrun-pop" not in names(Session(at.advisor, at.journal, at.hearing))


def test_a_number_that_is_not_there_is_said(at: Session, advisor: Advisor) -> None:
    with pytest.raises(AdvisorError, match="nothing was told under 99; 'told' shows the"):
        denied([99], at.state)
    with pytest.raises(AdvisorError, match="nothing was told in words yet"):
        forgotten([1], session(advisor).state)


def test_a_reading_is_not_turned_round(at: Session) -> None:
    number = next(number for number, one in enumerate(told_so_far(at.state), start=1) if one.reading)
    with pytest.raises(AdvisorError, match=f"{number} is not a sign that is there or not; 'drop {number}' forgets it"):
        denied([number], at.state)


def test_events_of_before_are_read() -> None:
    kept = b'{"type":"told","reports":[{"sign":"idle-hangs","side":null,"seen":true,"how":"told"}]}'
    event = decoded(kept)
    assert isinstance(event, Told)
    assert (event.readings, event.suspected) == ((), ())


def test_what_is_forgotten_is_kept_as_an_event() -> None:
    event = Forgotten(signs=(("idle-hangs", None),))
    assert decoded(msgspec.json.encode(event)) == event
