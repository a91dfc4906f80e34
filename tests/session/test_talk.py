"""Where a dialogue stands, and how it goes on."""

from advisor.diagnose import Advisor
from advisor.session.place import ForAnswer, Place
from advisor.session.shown import Changed, KeptInWords, QuestionShown
from advisor.session.talk import Talk
from tests.session.sessions import session


def test_an_open_question_is_not_exchanged_in_silence(advisor: Advisor) -> None:
    talk = Talk(session(advisor, "idle-hangs"), Place(asks=ForAnswer()))
    assert [type(one) for one in talk.go_on()] == [QuestionShown]
    before = talk.session.question
    assert talk.place.open == (before.name, before.side)
    talk.session.told(talk.session.hearing.understood("it smokes blue and one exhaust is cold"))
    changed = [one for one in talk.go_on() if isinstance(one, Changed)]
    same = talk.session.question.name == before.name
    assert changed == ([] if same else [Changed(before=before.title, forbidden=False)])
    assert [type(one) for one in talk.go_on()] == [QuestionShown]  # said once


def test_words_are_kept_under_a_number(advisor: Advisor) -> None:
    talk = Talk(session(advisor, "idle-hangs"), Place(asks=ForAnswer()))
    assert list(talk.offer("xyzzy", "also")) == [KeptInWords(number=2)]
