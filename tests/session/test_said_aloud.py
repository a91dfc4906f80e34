"""What is read aloud in a call."""

from advisor.diagnose import Advisor
from advisor.session.events import Answered, PutRight
from advisor.session.next_question import HOLDS, REPAIR
from advisor.session.said_aloud import AGAIN, confirmed, explanations, sentence
from advisor.session.session import Session
from tests.session.test_bans import call


def test_a_word_is_explained_with_the_question_that_says_it_first(advisor: Advisor) -> None:
    at = call(advisor, "fuel-smell")
    assert at.question.name == "sniff-for-fuel"
    tap = advisor.base.glossary["fuel tap"].says
    assert tap in explanations(at.question, at)
    before = call(advisor, "fuel-smell")
    before.journal.add(Answered("look-at-tap-and-tank", None, "The tap is on.", ()))
    assert tap not in explanations(at.question, Session(advisor, before.journal))


def test_what_a_rider_can_put_right_himself_is_said_and_asked_after(advisor: Advisor) -> None:
    at = call(advisor, "wont-start")
    at.answer("2")
    at.answer("1")
    assert (at.question.kind, at.question.name) == (REPAIR, "fuel-not-on")
    assert sentence(at.question, at) == advisor.base.causes["fuel-not-on"].say
    at.journal.add(PutRight("fuel-not-on", None))
    at = Session(advisor, at.journal)
    assert (at.question.kind, sentence(at.question, at)) == (HOLDS, AGAIN)


def test_an_answer_is_read_back_as_a_statement(advisor: Advisor) -> None:
    at = call(advisor, "wont-start")
    assert confirmed(Answered("ask-about-fire", None, "Nothing burns.", ()), at) == "So: Nothing burns."
    said = confirmed(Answered("ask-about-fire", None, "Never.", ()), at)
    assert said.startswith("I asked: Does anything burn")
    assert said.endswith("You say: never.")
    assert confirmed(Answered("fuel-not-on", None, "It all holds now.", ()), at) == "So: It all holds now."
