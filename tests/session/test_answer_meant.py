"""Which answer a line of figures and words is: both are kept, and what figures settle is not asked again."""

import pytest

from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.session.answer_in_words import in_words
from advisor.session.answer_meant import answer_said, meant
from advisor.session.events import Answered, Read, Told
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.sides import Side, Sided
from tests.session.sessions import WORKSHOP, question_of


def answered(line: str, check: str, advisor: Advisor, side: Side = None) -> tuple[object, str]:
    """Return the event that a line is for this check, as a session has it, and what of it was not understood."""
    session = Session(advisor, Journal(None))
    session.begin("bench", "it will not settle", WORKSHOP)
    session._next = question_of(check, advisor.base, side), session.report
    session.answer(line)
    return session.journal.events[-1], session.unheard


@pytest.mark.parametrize(
    ("line", "check", "says"),
    [
        ("900 to 1300 rpm, wanders", "watch-the-idle", "It wanders up and down."),
        ("about 1050, steady", "watch-the-idle", "It is steady and as it should be."),
        ("1000 to 1400 rpm, fast and wanders", "watch-the-idle", "It is fast and wanders."),
        ("1500 rpm and steady", "watch-the-idle", "It is too fast and steady."),
        ("3, 1100 rpm", "watch-the-idle", ""),
        ("2 and left 9.1 bar", "measure-the-compression", ""),
        ("left 9.1 bar right 6.2 bar", "measure-the-compression", "lower by over 10 %"),
    ],
)
def test_words_and_figures_are_kept_and_are_the_answer(line: str, check: str, says: str, advisor: Advisor) -> None:
    event, unheard = answered(line, check, advisor)
    assert isinstance(event, Answered)
    numbered = "" if says else question_of(check, advisor.base).options[int(line[0]) - 1].says
    assert (says or numbered) in event.says
    assert event.readings
    assert unheard == ""


def test_a_figure_that_leaves_several_answers_is_only_a_reading(advisor: Advisor) -> None:
    """Right idle speed does not say that it is steady, nor full advance that is off what the timing is at idle."""
    assert isinstance(answered("1050 rpm", "watch-the-idle", advisor)[0], Read)
    assert isinstance(answered("full left 18 deg right 18 deg", "strobe-each-lead", advisor)[0], Read)


def test_words_that_say_something_else_are_told_beside_the_figure(advisor: Advisor) -> None:
    event, _ = answered("left 9.1 right 9.0 bar and it smells of fuel", "measure-the-compression", advisor)
    assert isinstance(event, Answered | Told)
    assert [one.sign for one in event.reports] == ["fuel-smell"]  # the rest follows from the figures
    assert len(event.readings) == 2


def test_words_that_say_nothing_are_named_and_the_figure_is_kept(advisor: Advisor) -> None:
    event, unheard = answered("1050 rpm on the xyzzy", "watch-the-idle", advisor)
    assert isinstance(event, Read)
    assert unheard == "on the xyzzy"


def test_words_alone_are_the_answer_that_says_least_besides(base: Rulebase) -> None:
    asked = question_of("watch-the-idle", base)
    for words, says in (
        *(("it wanders", "It wanders up and down."), ("wanders up and down", "It wanders up and down.")),
        *(("it stalls", "It stalls."), ("fast and wanders", "It is fast and wanders.")),
    ):
        found = answer_said(words, asked, base)
        assert isinstance(found, Answered), words
        assert found.says == says
    for words in ("xyzzy", "it smells of fuel", "left"):
        assert answer_said(words, asked, base) is None


def test_no_answer_is_taken_that_a_figure_speaks_against(base: Rulebase) -> None:
    asked = question_of("watch-the-idle", base)
    said = in_words("1050 rpm, too fast", asked, base)
    known: dict[Sided, bool] = {("idle-too-high", None): False, ("idle-too-low", None): False}
    event, _ = meant(said, asked, known, base)
    assert not isinstance(event, Answered)
