"""An answer that is not sure is taken as that answer, and believed less."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import Answered
from advisor.session.in_doubt import without_doubt
from advisor.session.session import Session
from tests.session.sessions import repaired, session


@pytest.mark.parametrize(
    ("line", "plain"),
    [
        ("maybe 1", "1"), ("I think 2", "2"), ("probably yes", "yes"), ("2?", "2"), ("2, I think", "2"),
        ("not sure, maybe 2", "2"), ("I'm not really sure but 3", "3"), ("could be the left one", "the left one"),
        ("he thinks it's 2", "2"), ("the left one, I suppose", "the left one"),
    ],
)  # fmt: skip
def test_the_words_that_say_so_are_taken_off(line: str, plain: str) -> None:
    assert without_doubt(line) == (plain, True)


@pytest.mark.parametrize("line", ["1", "not sure", "maybe", "left 24 mm", "what is it?"])
def test_what_has_none_or_nothing_else_stays_as_it_is(line: str) -> None:
    assert without_doubt(line) == (line, False)


@given(line=st.text(max_size=60))
def test_nothing_is_added_and_something_is_left(line: str) -> None:
    plain, doubt = without_doubt(line)
    assert plain in line
    assert plain.strip() if doubt else plain == line


def answered(at: Session, line: str) -> Answered:
    at.answer(line)
    last = at.journal.events[-1]
    assert isinstance(last, Answered)
    return last


@pytest.mark.parametrize("line", ["maybe 1", "1?", "I think 1", "already done: maybe 1"])
def test_it_is_the_answer_and_counts_for_less(advisor: Advisor, line: str) -> None:
    sure, unsure = session(advisor, "idle-hangs"), session(advisor, "idle-hangs")
    plain, doubted = answered(sure, "1"), answered(unsure, line)
    assert (doubted.check, doubted.says) == (plain.check, plain.says)
    assert [(one.sign, one.side, one.seen) for one in doubted.reports] == [
        (one.sign, one.side, one.seen) for one in plain.reports
    ]
    assert {one.how for one in doubted.reports} == {advisor.base.words.in_doubt}
    assert unsure.steps_taken()[-1] == f"{sure.steps_taken()[-1]} (not sure)"


def test_it_moves_the_causes_the_same_way_but_less_far(advisor: Advisor) -> None:
    """Trust: an answer in doubt lies between the answer and none."""
    before = session(advisor, "idle-hangs")
    sure, unsure = session(advisor, "idle-hangs"), session(advisor, "idle-hangs")
    sure.answer("1")
    unsure.answer("maybe 1")
    chances = [{(one.id, one.side): one.probability for one in at.report.causes} for at in (before, unsure, sure)]
    most = max(chances[0], key=lambda key: abs(chances[2][key] - chances[0][key]))
    none, little, full = (chance[most] for chance in chances)
    assert min(none, full) < little < max(none, full)


def test_it_is_not_enough_that_a_repair_was_perhaps_done_or_perhaps_holds(advisor: Advisor) -> None:
    at = repaired(advisor)
    for _ in range(2):  # the repair, and then whether it holds
        before = list(at.journal.events)
        with pytest.raises(AdvisorError, match="this must be sure"):
            at.answer("maybe 1")
        assert at.journal.events == before
        at.answer("1")


def test_one_or_the_other_is_no_answer(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    with pytest.raises(AdvisorError, match="leaves it open; write the likelier one"):
        at.answer("1 or 2")
