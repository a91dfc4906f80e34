"""What a record says of a balance."""

from advisor.diagnose import Advisor
from advisor.session.balance_record import balance_done
from advisor.session.dialogue import Dialogue
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.shown import RecordShown
from tests.session.test_balance_asked import begun, gauges, played


def text_of(at: Dialogue) -> str:
    return record_text(record_of(at.session))


def test_a_balance_on_paper_says_how_it_was_read_turned_and_left(advisor: Advisor) -> None:
    text = " ".join(text_of(played(advisor)).split())
    assert "Balanced by gauges, and shorting one plug at a time as a check" in text
    assert "columns at idle: before left 35 mmHg higher, 980 rpm; after right 2 mmHg" in text
    assert "columns at 2,500 rpm: before left 40 mmHg higher; after left 2 mmHg" in text
    assert "Readings 9 taken" in text
    assert "Complaint" not in text
    assert "no fault was put right" not in text


def test_turns_of_a_screw_add_up_whichever_way_they_were_said(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 980", "left in 1/8, right out 1/4", "222 214 1010")
    asked = at.session.question.turns
    at.take("left in 1/4")
    found = balance_done(at.session.state.known, advisor.base)
    assert asked
    assert found is not None
    assert found.turned == ("left idle stop: in 3/8 turn in all (2 times)", "right idle stop: out 1/4 turn in all")


def test_mixture_screws_say_where_they_stand(advisor: Advisor) -> None:
    at = begun(advisor, "1", "3", "2", "2", "1", "1000", "1040", "1050", "1040", "1010", "1")
    found = balance_done(at.session.state.known, advisor.base)
    assert found is not None
    assert any(one.startswith("left mixture screw: ") and one.endswith("at its best by revs") for one in found.mixture)


def test_what_it_went_over_to_and_why_stays_though_it_begins_again(advisor: Advisor) -> None:
    at = gauges(advisor, *["240 205 850"] * 10)
    at.take("1")
    found = balance_done(at.session.state.known, advisor.base)
    assert found is not None
    (over,) = found.went_over
    assert over.startswith("the search for a fault: ")
    assert found.turned
    assert "columns at idle: before left 35 mmHg higher, 850 rpm; after left 35 mmHg higher, 850 rpm" in found.places


def test_a_search_has_no_balance_on_paper(advisor: Advisor) -> None:
    at = begun(advisor)
    assert balance_done(at.session.state.known, advisor.base) is None
    assert "Balanced by" not in text_of(at)


def test_a_balance_that_ends_shows_its_record(advisor: Advisor) -> None:
    at = played(advisor)
    assert at.session.question.takes == ("drop-idle",) or any(isinstance(one, RecordShown) for one in at.take("stop"))
