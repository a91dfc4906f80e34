"""All that was said: numbered, denied, forgotten, said anew, and taken back; what came after it still counts."""

import msgspec
import pytest

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import Answered, Change, Corrected, Event, Forgotten, Read, Skipped, Told
from advisor.session.next_question import HOLDS
from advisor.session.schema import decoded
from advisor.session.session import Session
from advisor.session.state import fold
from advisor.session.told_so_far import answers_of, denied, dropped, said_anew, told_so_far
from advisor.session.typed_line import Wish
from tests.session.sessions import repaired, session

SENTENCE = "it pops on the overrun but starts fine, idles at 1300, I think it is the coil"


@pytest.fixture
def at(advisor: Advisor) -> Session:
    found = session(advisor)
    found.told(found.hearing.understood(SENTENCE))
    return found


def words(at: Session) -> list[str]:
    return [one for _, one in at.told_so_far()]


def number(at: Session, begins: str) -> int:
    """Return the number of what was said that begins with these words."""
    return next(number for number, one in at.all_said() if one.startswith(begins))


def test_all_that_was_chosen_is_told(at: Session) -> None:
    says = words(at)
    assert "Pops in the exhaust on closed throttle" in says
    assert "not: Hard to start" in says
    assert any(one.startswith("Idle speed: 1300 rpm") for one in says)
    assert any(one.startswith("suspected: ") for one in says)
    seen = {one.sign: one.seen for one in at.state.case.seen}
    assert (seen["overrun-pop"], seen["hard-to-start"]) == (True, False)
    assert [one.reading for one in at.state.case.measured] == ["idle-speed"]


def test_what_is_suspected_weighs_nothing(at: Session, advisor: Advisor) -> None:
    alone = session(advisor)
    alone.told([one for one in alone.hearing.understood(SENTENCE) if not one.cause])
    assert [one.probability for one in at.report.causes] == [one.probability for one in alone.report.causes]


def test_any_of_it_is_turned_round_by_its_number(at: Session) -> None:
    at.answer(f"not {number(at, 'Pops')}")
    assert {one.sign: one.seen for one in at.state.case.seen}["overrun-pop"] is False
    assert at.in_words(at.journal.events[-1]) == ["set right: not: Pops in the exhaust on closed throttle"]
    at.answer("undo")
    assert {one.sign: one.seen for one in at.state.case.seen}["overrun-pop"] is True


def test_any_of_it_is_forgotten_by_its_number(at: Session) -> None:
    kept = at.state
    for one in range(len(at.all_said()), 0, -1):
        at.answer(f"drop {one}")
    assert at.all_said() == ()
    assert at.state.case.seen == ()
    assert at.state.case.measured == ()
    at.answer("undo 3")
    assert len(at.all_said()) == 3
    at.answer("undo all")
    assert at.all_said() == ()
    assert kept.undoable == 2  # how the session of this test began is one of them


def test_several_are_forgotten_at_once(at: Session) -> None:
    many = len(at.all_said())
    at.answer(f"drop 1 {many}")
    assert len(at.all_said()) == many - 2
    at.answer("undo")
    assert len(at.all_said()) == many


def test_later_words_add_and_take_nothing_away(at: Session) -> None:
    before = words(at)
    at.told(at.hearing.understood("the idle hangs"))
    assert set(before) < set(words(at))
    at.told(at.hearing.understood("the idle hangs"))
    assert words(at).count("Revs hang after a blip") == 1


def test_what_a_check_has_settled_is_no_longer_read_back(at: Session) -> None:
    at.journal.add(Answered("x", None, "yes", (SignReport(sign="overrun-pop", side=None, seen=True, how="seen"),)))
    assert "Pops in the exhaust on closed throttle" not in words(Session(at.advisor, at.journal, at.hearing))


def test_a_number_that_is_not_there_is_said(at: Session, advisor: Advisor) -> None:
    with pytest.raises(AdvisorError, match="nothing stands under 99; 'told' shows what"):
        denied([99], at.state, at.base)
    with pytest.raises(AdvisorError, match="nothing was told yet"):
        dropped([1], fold([], advisor.base))


def test_a_reading_is_not_turned_round(at: Session) -> None:
    one = number(at, "Idle speed")
    with pytest.raises(AdvisorError, match=f"{one} cannot be turned round, only forgotten; 'drop {one}' forgets it"):
        denied([one], at.state, at.base)


# A check's answer, a reading, a repair: what came after it still counts


FALLS = SignReport(sign="idle-hangs", side=None, seen=False, how="seen")
STALLS = SignReport(sign="dies-at-idle", side=None, seen=True, how="seen")
ANSWERS: tuple[Event, ...] = (
    Answered("blip-and-let-go", None, "They fall at once.", (FALLS,)),
    Answered("watch-the-idle", None, "It stalls.", (STALLS,)),
    Skipped("test-the-spark", "left", "not known"),
)


@pytest.fixture
def asked(advisor: Advisor) -> Session:
    found = session(advisor)
    for one in ANSWERS:
        found.journal.add(one)
    return Session(advisor, found.journal)


def test_the_answer_of_a_check_is_another_one_and_what_came_after_it_still_counts(asked: Session) -> None:
    assert answers_of(2, asked.state, asked.base)[0] == ("watch-the-idle", None)
    asked.answer("2: 3")
    assert {one.sign: one.seen for one in asked.state.case.seen}["idle-hunts"] is True
    assert [name for name, _ in asked.state.case.not_again] == ["blip-and-let-go", "watch-the-idle", "test-the-spark"]
    asked.answer("not 1")  # of two answers, the other one
    assert {one.sign: one.seen for one in asked.state.case.seen}["idle-hangs"] is True
    assert asked.answer("2:") == Wish("answers", "2")
    asked.answer("undo 2")
    assert asked.state.case.seen == fold(asked.journal.events[:-3], asked.base).case.seen


def test_a_check_is_asked_again_once_its_answer_is_dropped(asked: Session) -> None:
    asked.answer("drop 2 3")
    assert asked.state.case.not_again == (("blip-and-let-go", None),)
    assert "dies-at-idle" not in {one.sign for one in asked.state.case.seen}


def test_what_had_no_answer_gets_one(asked: Session) -> None:
    asked.answer("3: 3")
    seen = {(one.sign, one.side): one.seen for one in asked.state.case.seen}
    assert seen["spark-none", "left"] is True


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("2: 9", "'9' is no answer of 2; write it like '2: 1', with 1 to 7"),
        ("2: stalls", "'stalls' is no answer of 2"),
        ("not 2", "2 has 7 answers; '2:' shows them, and 'drop 2' forgets this one"),
        ("not 3", "3 cannot be turned round"),
        ("7:", "nothing stands under 7"),
    ],
)
def test_what_cannot_be_set_right_so_is_told_what_would_be_right(asked: Session, line: str, says: str) -> None:
    before = list(asked.journal.events)
    with pytest.raises(AdvisorError, match=says):
        asked.answer(line)
    assert asked.journal.events == before


def test_a_figure_is_said_anew(asked: Session) -> None:
    asked.answer("cable-slack left 3 mm right 2 mm")
    left = number(asked, "Cable slack")
    for line, value in ((f"{left}: 1 mm", 1.0), (f"{left}: left 4 mm", 4.0), (f"{left}: cable-slack left 1 mm", 1.0)):
        asked.answer(line)
        assert [(one.side, one.values) for one in asked.state.case.measured] == [("left", (value,)), ("right", (2.0,))]
    with pytest.raises(AdvisorError, match="that is what it says already"):
        asked.answer(f"{left}: 1 mm")
    assert asked.answer(f"{left}: the idle hangs") == Wish("instead", f"{left} the idle hangs")


def test_words_are_said_anew_in_their_place(at: Session) -> None:
    one = number(at, "Pops")
    assert at.answer(f"{one}: the idle hangs") == Wish("instead", f"{one} the idle hangs")
    at.told(at.hearing.understood("the idle hangs"), instead=one)
    assert at.all_said()[0] == (one, "Revs hang after a blip")
    assert "overrun-pop" not in {each.sign for each in at.state.case.seen}


def test_a_repair_is_still_asked_after_when_something_earlier_is_set_right(advisor: Advisor) -> None:
    at = repaired(advisor)
    at.answer("1")
    assert at.question.kind == HOLDS
    at.answer("drop 1")
    assert at.question.kind == HOLDS
    at.answer(f"drop {number(at, 'put right')}")
    assert at.question.kind != HOLDS


def test_a_correction_is_kept_as_an_event_and_touches_no_other_place(advisor: Advisor) -> None:
    event = Corrected((Change(3, None), Change(0, None), Change(99, Told(()))))
    assert decoded(msgspec.json.encode(event)) == event
    at = session(advisor, "idle-hangs")
    before = at.state.case
    at.journal.add(Corrected((Change(0, None), Change(1, None), Change(99, Told(())))))
    assert fold(at.journal.events, advisor.base).case == before  # how it began is no answer


def test_events_of_before_are_read(advisor: Advisor) -> None:
    kept = b'{"type":"told","reports":[{"sign":"idle-hangs","side":null,"seen":true,"how":"told"}]}'
    event = decoded(kept)
    assert isinstance(event, Told)
    assert (event.readings, event.suspected) == ((), ())
    forgotten = Forgotten(signs=(("idle-hangs", None),))
    assert decoded(msgspec.json.encode(forgotten)) == forgotten
    assert told_so_far(fold([event, forgotten], advisor.base)) == ()


def test_a_figure_that_is_none_is_not_said_anew(asked: Session) -> None:
    asked.answer("idle-speed 1300 rpm")
    one = number(asked, "Idle speed")
    assert said_anew(one, "fast", asked.state, asked.base) is None
    with pytest.raises(AdvisorError):
        said_anew(one, "3 kg", asked.state, asked.base)
    assert isinstance(asked.journal.events[-1], Read)
