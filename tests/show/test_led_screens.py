"""Every question of a balance and of a tune-up fits a screen, as `test_screens` says of any step."""

from collections.abc import Iterator
from typing import get_args

import pytest

from advisor.balance.course_steps import Where, Why, WontCome
from advisor.case import Bike, Case, Means
from advisor.diagnose import Advisor
from advisor.session import balance_so_far as so_far
from advisor.session.balance_asked import balance_question
from advisor.session.balance_wont_come import wont_come
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, TUNE_UP, Event, SetUp
from advisor.session.next_question import Question
from advisor.session.shown import QuestionShown
from advisor.session.store import Journal
from tests.show.test_screens import asked, lines, too_long

LINES = {  # a balance to its end, and others on the way
    "gauges, cross-check, mixture": [
        "1",
        "3",
        "1",
        "2",
        "1",
        "210 215",
        *["1000", "1040", "1050", "1040", "1010", "1"] * 2,
    ],
    "gauges, leave": ["1", "3", "2", "1", "240 205 980", "222 214 1010", "216 215 1020", "190 150", "170 168"],
    "water": ["1", "1", "2", "1", "left 400 higher 980", "left 200 higher 1000", "left 5 higher 1010"],
    "shorting": ["1", "4", "1", "300 180 1000", "250 240 1010", "240 242 1010", "210 205", "1", "240 241 1010"],
    "not level": ["2"],
}
ENDS = ("215 217 1020", "1", "214 216 1020", "210 215 1020", "1", "214 215 1020")


def balances(advisor: Advisor) -> Iterator[Question]:
    """Yield the questions of some balances, one after the other."""
    for typed in LINES.values():
        at = Dialogue(advisor, Journal(None))
        at.begin(BALANCE)
        for line in (*typed, *ENDS):
            yield at.session.question
            at.take(line)
        yield at.session.question


def tune_up(advisor: Advisor) -> Iterator[Question]:
    """Yield every question of a tune-up in which whatever can be wrong is wrong, and left so."""
    at = Dialogue(advisor, Journal(None))
    at.begin(TUNE_UP)
    for _ in range(400):
        question = at.session.question
        yield question
        if question.title.startswith("All before"):
            return
        if question.title.startswith("Now:"):
            at.take("1")
        elif question.title.startswith("Put right"):
            at.take("3")
        else:
            before = len(at.session.journal.events)
            at.take("1")
            if len(at.session.journal.events) == before:
                at.take("not known")
    pytest.fail("the tune-up does not come to its end")


def stages(advisor: Advisor) -> Iterator[Question]:
    """Yield each question of the set-up, and each reason why a balance does not come."""
    base = advisor.base
    case = Case(
        title="", bike=Bike(), complaint="", seen=(), measured=(), means=Means(person="mechanic", tools=None, engine="")
    )
    chosen: list[Event] = []
    for about, name in ((so_far.READY, so_far.YES), (so_far.METHOD, so_far.GAUGES), (so_far.CROSS, so_far.YES)):
        yield balance_question(so_far.led(chosen, base), case, base)
        chosen.append(SetUp(about, name))
    yield balance_question(so_far.led(chosen, base), case, base)
    for anew in ((), (SetUp(so_far.ANEW, "right"),)):
        led = so_far.led([*chosen, *anew], base)
        for why in get_args(Why):
            for where in get_args(Where):
                yield wont_come(WontCome(why=why, side="right", where=where), led, base)


def test_every_question_of_a_balance_fits(advisor: Advisor) -> None:
    found = [*balances(advisor), *stages(advisor)]
    assert len({one.title for one in found}) > 15
    for one in found:
        for heard in (False, True):
            assert not too_long(asked(one, BALANCE, heard=heard))


@pytest.mark.slow  # ten seconds; each check of it is drawn in test_screens
def test_every_question_of_a_tune_up_fits(advisor: Advisor) -> None:
    found = list(tune_up(advisor))
    assert {one.title for one in found} >= {f"Now: {area.title}" for area in advisor.base.areas if area.items}
    assert sum(one.title.startswith("Put right") for one in found) > 20
    for one in found:
        assert not too_long(asked(one, TUNE_UP))


def test_a_turn_stands_at_the_top_once_all_cautions_were_heard(advisor: Advisor) -> None:
    """They are in full once; then they take one line, so that the turn is seen at once."""
    at = Dialogue(advisor, Journal(None))
    at.begin(BALANCE)
    for line in (*LINES["gauges, leave"], "again"):
        *_, question = at.take(line)
    assert isinstance(question, QuestionShown)
    first, second, *_ = [line for line in lines(question, 80) if line.strip()]
    assert first.startswith("  ! ")
    assert second.startswith(question.question.title)
    names = {one.says for one in advisor.base.cautions.values() if one.brief and one.brief in question.brief}
    assert names == set(question.question.cautions)


def test_a_caution_that_was_not_heard_in_full_is_never_in_brief(advisor: Advisor) -> None:
    at = Dialogue(advisor, Journal(None))
    heard: set[str] = set()
    for found in (at.begin(BALANCE), *(at.take(line) for line in LINES["gauges, leave"])):
        for one in found:
            if isinstance(one, QuestionShown):
                assert not one.brief or set(one.question.cautions) <= heard
                heard |= {each.says for each in (*one.cautions, *one.dangers) if one.cares and not each.again}
