"""What is shown of an answer in figures and words, before the session goes on."""

from advisor.diagnose import Advisor
from advisor.session.session import Session
from advisor.session.shown import FigureMeans, TakenAs
from advisor.session.store import Journal
from advisor.session.understood import understood
from tests.session.sessions import WORKSHOP, question_of


def test_after_undo_no_figure_is_shown_again(advisor: Advisor) -> None:
    session = Session(advisor, Journal(None))
    session.begin("bench", "it idles badly", WORKSHOP)
    session.answer("idle-speed 1500 rpm on the xyzzy")
    assert len(list(understood(session, "idle-speed 1500 rpm on the xyzzy"))) == 2
    session.answer("can't")
    session.answer("undo")
    assert list(understood(session, "undo")) == []


def test_what_was_heard_beside_the_answer_is_said(advisor: Advisor) -> None:
    session = Session(advisor, Journal(None))
    session.begin("bench", "it idles badly", WORKSHOP)
    session._next = question_of("measure-the-compression", advisor.base), session.report
    session.answer("left 9.1 right 6.2 bar and it smells of fuel")
    taken = next(iter(understood(session, "left")))
    assert isinstance(taken, TakenAs)
    assert taken.says.endswith("lower by over 10 %. And: Smells of fuel.")


def test_it_says_which_answer_words_were_taken_for_and_what_was_not_understood(advisor: Advisor) -> None:
    for line, shown in (
        ("wanders", (True, "", 0)),
        ("3", (False, "", 0)),
        ("1050 rpm, steady", (True, "", 1)),
        ("1050 rpm on the xyzzy", (False, "on the xyzzy", 1)),
    ):
        session = Session(advisor, Journal(None))
        session.begin("bench", "it idles badly", WORKSHOP)
        session._next = question_of("watch-the-idle", advisor.base), session.report
        session.answer(line)
        found = list(understood(session, line))
        taken = [one for one in found if isinstance(one, TakenAs)]
        assert [bool(one.says) for one in taken] == ([shown[0]] if shown[0] or shown[1] else []), line
        assert [one.unheard for one in taken] == ([shown[1]] if shown[0] or shown[1] else []), line
        assert len([one for one in found if isinstance(one, FigureMeans)]) == shown[2], line
