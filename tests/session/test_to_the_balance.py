"""From the search to the balance, and back."""

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.dialogue import Dialogue
from advisor.session.events import ALL_HOLDS, BALANCE, SEARCH, Answered, Event, PutRight, WentOver
from advisor.session.next_question import BALANCED, DONE, HOLDS, LED, REPAIR, Question
from advisor.session.place import ForAnswer, Place
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.session.to_the_balance import AGAIN, BACK, LEAD_ME, SETTINGS, with_balance
from tests.session.sessions import CABLE, RIDER, cable_put_right, complained, session
from tests.session.test_balance_asked import BALANCED_LINES


def of(advisor: Advisor, events: list[Event]) -> Session:
    journal = Journal(None)
    for event in events:
        journal.add(event)
    return Session(advisor, journal)


def says(at: Session) -> list[str]:
    return [one.says for one in at.question.options]


def test_balance_goes_over_at_any_time_and_search_goes_back(advisor: Advisor) -> None:
    at = session(advisor, "balance-wont-hold")
    before = at.question
    at.answer("balance")
    assert at.state.leads == BALANCE
    assert at.question.kind == LED
    at.answer("search")
    assert at.state.leads == SEARCH
    assert at.question == before


def test_no_rider_is_led_through_a_balance(advisor: Advisor) -> None:
    at = session(advisor, "balance-wont-hold", kind="phone", means=RIDER)
    with pytest.raises(AdvisorError):
        at.answer("balance")
    assert at.state.leads == SEARCH


def test_a_repair_around_which_all_is_set_again_offers_the_balance_before_and_after_it_holds(advisor: Advisor) -> None:
    at = of(advisor, cable_put_right(advisor.base))
    assert at.question.kind == HOLDS
    assert AGAIN in says(at)
    at = of(advisor, [*cable_put_right(advisor.base), Answered(CABLE, "right", ALL_HOLDS, ())])
    assert at.question.kind == DONE
    at.answer(str(says(at).index(AGAIN) + 1))
    assert at.state.leads == BALANCE


def test_a_repair_that_moves_no_setting_offers_none(advisor: Advisor) -> None:
    events = complained(advisor.base, "dim light", "starter-slow")
    at = of(advisor, [*events, PutRight("battery-or-charging-low", None)])
    assert at.question.kind == HOLDS
    assert AGAIN not in says(at)


def test_a_balance_out_of_a_search_ends_with_the_way_back_to_its_question(advisor: Advisor) -> None:
    events = [*cable_put_right(advisor.base), WentOver(BALANCE)]
    at = Dialogue(advisor, of(advisor, events).journal, Place(asks=ForAnswer()))
    for line in BALANCED_LINES:
        at.take(line)
    assert at.session.question.kind == BALANCED
    at.take(str(says(at.session).index(BACK) + 1))
    assert at.session.question.kind == HOLDS


def test_a_balance_that_does_not_come_out_of_a_search_comes_back_to_the_balance_once_it_holds(advisor: Advisor) -> None:
    held = Answered(CABLE, "right", ALL_HOLDS, ())
    events = complained(advisor.base, "balance won't hold", "balance-wont-hold")
    over = [*events, WentOver(BALANCE), WentOver(SEARCH, "moves by itself"), PutRight(CABLE, "right")]
    assert of(advisor, over).state.leads == SEARCH
    assert of(advisor, [*over, held]).state.leads == BALANCE
    by_hand = [*events, WentOver(BALANCE), WentOver(SEARCH), PutRight(CABLE, "right"), held]
    assert of(advisor, by_hand).state.leads == SEARCH


@pytest.mark.parametrize(("cause", "offers"), [(SETTINGS, True), ("set-too-hot", True), ("air-filter-blocked", False)])
def test_what_is_put_right_by_a_balance_offers_it(advisor: Advisor, cause: str, offers: bool) -> None:
    state = session(advisor, "balance-wont-hold").state
    asked = Question(kind=REPAIR, title="", steps=(), name=cause)
    found = with_balance(asked, state, advisor.base)
    assert (LEAD_ME in [one.says for one in found.options]) is offers
    on_the_phone = session(advisor, "balance-wont-hold", kind="phone", means=RIDER).state
    assert with_balance(asked, on_the_phone, advisor.base) == asked
