"""A rider's yes or no, where what was read to him leaves no doubt which of two answers it is."""

import pytest

from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.rulebase.aloud import aloud
from advisor.session.events import Answered
from advisor.session.session import Session
from advisor.session.yes_or_no import meant_by
from tests.session.sessions import RIDER, question_of, session


def said(check: str, line: str, base: Rulebase) -> str:
    question = question_of(check, base)
    found = meant_by(line, aloud(base.checks[check], None, base), question.options)
    return found.says if found else ""


@pytest.mark.parametrize(
    ("check", "line", "says"),
    [
        ("start-it-wide-open", "yes", "It starts, and clears."),
        ("start-it-wide-open", "No.", "It does not start."),
        ("hold-the-same-revs-on-the-stand", "yeah", "It shows on the stand as well."),
        ("hold-the-same-revs-on-the-stand", "no", "It does not show on the stand."),
        ("ask-about-the-wet", "it is", "It is worse in the wet."),
        ("ask-about-the-wet", "it isn't", "It is the same, wet or dry."),
    ],
)
def test_it_is_the_answer_that_says_what_was_asked(base: Rulebase, check: str, line: str, says: str) -> None:
    assert said(check, line, base) == says


@pytest.mark.parametrize("line", ["maybe", "1", "yes but only hot", ""])
def test_anything_else_is_neither(base: Rulebase, line: str) -> None:
    assert not said("start-it-wide-open", line, base)


def test_yes_is_never_the_answer_that_denies_alone_what_was_asked(base: Rulebase) -> None:
    for check in base.checks.values():
        question = question_of(check.id, base, "left" if check.sided else None)
        asked = aloud(check, question.side, base)
        yes, no = meant_by("yes", asked, question.options), meant_by("no", asked, question.options)
        assert (yes is None) == (no is None)
        assert yes is None or yes != no
        if len(question.options) != 2 or asked.startswith(("What", "How", "Where")):
            assert yes is None


def test_it_is_taken_on_the_phone_only_where_the_question_is_read_out(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad", kind="phone", means=RIDER)
    while not (asked := _yes(at)):
        at.answer("not known")
    at.answer("probably yes")
    last = at.journal.events[-1]
    assert isinstance(last, Answered)
    assert last.says == asked
    assert {one.how for one in last.reports} == {advisor.base.words.in_doubt}


def _yes(at: Session) -> str:
    """Return the answer that is meant by a yes to what is asked; '' for none."""
    asked = at.question
    found = meant_by("yes", aloud(at.base.checks[asked.name], asked.side, at.base), asked.options)
    return found.says if found else ""
