"""A line, taken where a dialogue stands."""

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.place import ForAnew, ForAnswer, Place
from advisor.session.taken import COVERED, UNCOVER, taken
from advisor.session.talk import Talk
from tests.session.sessions import session


def test_a_number_below_another_list_is_no_answer_until_the_question_is_shown_again(advisor: Advisor) -> None:
    talk = Talk(session(advisor, "idle-hangs"), Place(asks=ForAnswer()))
    list(taken("told", talk))
    assert talk.place.covered
    with pytest.raises(AdvisorError) as refused:
        list(taken("1", talk))
    assert str(refused.value) == f"{COVERED}; {UNCOVER}"
    list(taken("", talk))
    assert not talk.place.covered


def test_a_number_below_the_answers_of_an_earlier_check_is_one_of_those(advisor: Advisor) -> None:
    talk = Talk(session(advisor, "idle-hangs"), Place(asks=ForAnswer()))
    list(taken("1", talk))
    list(taken("2:", talk))
    assert talk.place.asks == ForAnew(number=2)
