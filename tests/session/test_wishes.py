"""What is asked of a session and changes nothing in it."""

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.shown import Explained, Standing, WouldBe
from advisor.session.typed_line import Wish
from advisor.session.wishes import granted
from tests.session.sessions import session


def test_where_it_stands_is_a_screenful_of_suspects(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", "spit-back")
    chances = (0.4, 0.3, 0.02, 0.0199, 0.0, 0.0)
    causes = tuple(replace(one, probability=chance) for one, chance in zip(at.report.causes, chances, strict=False))
    at._next = at.question, replace(at.report, causes=causes)
    (found,) = granted(Wish("where"), at)
    assert isinstance(found, Standing)
    assert [chance for _, chance in found.likely] == [0.4, 0.3, 0.02]
    assert found.said == at.all_said()
    at._next = at.question, replace(at.report, causes=tuple(replace(one, probability=0.1) for one in causes))
    (found,) = granted(Wish("where"), at)
    assert isinstance(found, Standing)
    assert len(found.likely) == 5


def test_a_cause_is_explained_with_the_words_of_the_rules_that_it_quotes_and_no_others(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", "spit-back")
    _, found = granted(Wish("why"), at)
    assert isinstance(found, Explained)
    assert found.cause == at.report.causes[0]
    quoted = {rule for why in found.cause.why for rule in why.rules}
    assert set(found.reasons) == quoted & set(advisor.reasons())
    assert found.reasons
    (other,) = granted(Wish("why not", found.cause.title), at)
    assert other == found


def test_what_if_names_the_answer_and_what_would_lead(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    (found,) = granted(Wish("what if", "1"), at)
    assert isinstance(found, WouldBe)
    at.answer("1")
    assert (found.answer, found.causes[0]) == ("1", (at.report.causes[0].title, at.report.causes[0].probability))


@pytest.mark.parametrize("wish", [Wish("why not", "xyzzyqqq"), Wish("what if", "99"), Wish("what if", "help")])
def test_what_names_nothing_is_one_message(advisor: Advisor, wish: Wish) -> None:
    with pytest.raises(AdvisorError):
        list(granted(wish, session(advisor, "idle-hangs")))
