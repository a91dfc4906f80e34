"""What was typed: an answer, a reading or a wish, and one clear sentence where it is none of them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import Read, Skipped
from advisor.session.typed_line import understand
from tests.session.sessions import session


@pytest.mark.parametrize(
    "line",
    [
        *("99", "0", "1 2", "blah", "idle-speed 1300 kg", "undo 50", "left 3 bar", "what if", "already done: 77"),
        *("yes", "can't hear the left one at all", "cannot say which side it was"),
    ],
)
def test_what_means_nothing_is_said_and_nothing_is_lost(advisor: Advisor, line: str) -> None:
    at = session(advisor, "idle-hangs")
    before = list(at.journal.events), at.question
    with pytest.raises(AdvisorError):
        at.answer(line)
    assert (at.journal.events, at.question) == before


@settings(max_examples=25, deadline=None)
@given(line=st.text(max_size=40))
def test_no_line_breaks_it(advisor: Advisor, line: str) -> None:
    at = session(advisor, "idle-hangs")
    try:
        at.answer(line)
    except AdvisorError:
        assert len(at.journal.events) == 3


@pytest.mark.parametrize(
    ("line", "why"),
    [("dunno", "not known"), ("Not sure.", "not known"), ("skip", "not known"), ("can't do that", "can't")],
)
def test_who_cannot_tell_says_so_in_his_own_words(advisor: Advisor, line: str, why: str) -> None:
    at = session(advisor, "idle-hangs")
    at.answer(line)
    last = at.state.counting[-1]
    assert isinstance(last, Skipped)
    assert last.why == why


def test_a_slip_in_a_command_is_taken_for_that_command(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    for line, meant in (("hand ovr", "hand over"), ("what if", "what if 2"), ("idle-sped 1000 rpm", "idle-speed")):
        with pytest.raises(AdvisorError, match=meant):
            at.answer(line)


def test_already_done_takes_an_answer_or_a_reading(advisor: Advisor) -> None:
    one, two = session(advisor, "idle-hangs"), session(advisor, "idle-hangs")
    one.answer("1")
    two.answer("already done: 1")
    assert one.report == two.report
    two.answer("already done: idle-speed 1300 rpm")
    assert two.state.case.measured[0].reading == "idle-speed"


def test_a_figure_without_a_side_is_of_the_side_that_is_asked(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    asked = replace(at.question, name="measure-the-slack", side="right", takes=("cable-slack",))
    event = understand("3 mm", asked, at.state, advisor.base)
    assert isinstance(event, Read)
    assert [(one.reading, one.side) for one in event.readings] == [("cable-slack", "right")]
    with pytest.raises(AdvisorError, match="is measured on a side"):
        understand("3 mm", replace(asked, side=None), at.state, advisor.base)


def test_several_readings_on_one_line_and_one_that_could_be_either(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    at.answer("clearance-inlet right 0.15 mm, clearance-exhaust: right 0.05 mm left 0.2 mm")
    assert {(one.reading, one.side, one.values) for one in at.state.case.measured} == {
        ("clearance-inlet", "right", (0.15,)),
        ("clearance-exhaust", "right", (0.05,)),
        ("clearance-exhaust", "left", (0.2,)),
    }
    both = replace(at.question, takes=("clearance-inlet", "clearance-exhaust"))
    with pytest.raises(AdvisorError, match=r"which of clearance-inlet, clearance-exhaust\?"):
        understand("right 0.05 mm", both, at.state, advisor.base)
