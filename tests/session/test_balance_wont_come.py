"""How a balance that does not come goes over to the search, and what it takes along."""

import pytest

from advisor.balance.course import DOES_NOTHING
from advisor.diagnose import Advisor
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, SEARCH, WentOver
from advisor.session.store import Journal

MIXTURE_STAYS = "1"


def dead_side(advisor: Advisor, *lines: str, ready: str = "1") -> Dialogue:
    """Return a balance with gauges, whose right plug is worth nothing, after these lines."""
    found = Dialogue(advisor, Journal(None))
    found.begin(BALANCE)
    for line in (ready, "3", "1", MIXTURE_STAYS, "720 5", *lines):
        found.take(line)
    return found


def told(at: Dialogue) -> dict[tuple[str, str | None], tuple[bool, str]]:
    """Return what the case says of each sign: whether it is there, and how that is known."""
    return {(one.sign, one.side): (one.seen, one.how) for one in at.session.state.case.seen}


@pytest.mark.parametrize(("higher_up", "joins"), [("1500 1300", True), ("2000 40", False)])
def test_a_dead_side_is_tried_higher_up_first_and_that_goes_along(
    advisor: Advisor, higher_up: str, joins: bool
) -> None:
    at = dead_side(advisor)
    assert at.session.question.takes == ("drop-off-idle",)
    at.take(higher_up)
    at.take("1")
    assert at.session.state.leads == SEARCH
    assert told(at)["side-joins-at-revs", "right"] == (joins, "measured")


def test_what_is_not_to_be_had_higher_up_stays_unknown(advisor: Advisor) -> None:
    at = dead_side(advisor, "1")
    over = at.session.journal.events[-1]
    assert isinstance(over, WentOver)
    assert over.why == DOES_NOTHING
    assert told(at)["side-dead", "right"] == (True, "measured")
    assert ("side-joins-at-revs", "right") not in told(at)


def test_only_who_says_that_all_is_ready_denies_what_must_be_right_before(advisor: Advisor) -> None:
    said, not_sure = dead_side(advisor, "1"), dead_side(advisor, "1", ready="3")
    assert told(said)["clearance-tight", "left"] == (False, "told")
    assert ("clearance-tight", "left") not in told(not_sure)


def test_what_does_not_come_right_is_a_complaint_with_a_cause(advisor: Advisor) -> None:
    case = dead_side(advisor, "1").session.state.case
    assert case.complaint == "It does not come right: a side does nothing."
    causes = advisor.diagnose(case, gone_into=0).causes
    assert sum(one.probability for one in causes) > 0.9
