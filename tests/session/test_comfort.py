"""A rider whose bike runs well hears that first, and few things after it; the sheet has the whole list."""

from msgspec.structs import replace

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.session.comfort import MOST_NEXT, comfort
from advisor.session.events import PHONE, Began, Told
from advisor.session.handover import hand_over
from advisor.session.next_question import WELL
from advisor.session.not_checked import not_checked
from advisor.session.rider_now import SOUND
from advisor.session.said_aloud import sentence
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.show.sheet import sheet_text
from tests.session.test_not_checked import praised

HEALTHY = ("As it should be: It goes as it used to.", "Not there: Hard to start.")


def call(advisor: Advisor) -> Session:
    """Return a call about a bike that runs as it should."""
    bench = praised(advisor)
    denied = SignReport(sign="hard-to-start", side=None, seen=False, how="complained")
    began, *rest = bench.journal.events
    assert isinstance(began, Began)
    return Session(advisor, Journal(None, events=[replace(began, kind=PHONE), *rest, Told((denied,))]))


def test_what_is_as_it_should_be_comes_first_and_three_things_at_most_after_it(advisor: Advisor) -> None:
    at = call(advisor)
    found = comfort(at.state, at.report, advisor.base)
    assert found[:2] == HEALTHY
    assert 1 <= found[2].partition(": ")[2].count(";") + 1 <= MOST_NEXT
    asked = at.question
    assert (asked.kind, asked.steps[: len(found)]) == (WELL, found)
    assert not any(" min" in line for line in asked.steps)
    assert sentence(asked, at) == SOUND


def test_the_whole_list_is_on_the_sheet_and_at_the_bench(advisor: Advisor) -> None:
    at = call(advisor)
    stages = list(not_checked(at.report))
    sheet = hand_over(at)
    assert (list(sheet.not_checked), sheet.open) == (stages, ())
    text = " ".join(sheet_text(sheet).split())
    assert all(item in text for stage in stages for item in stage.items)
    bench = " ".join(praised(advisor).question.steps)
    assert all(stage.title in bench for stage in stages)


def test_where_all_was_looked_at_nothing_is_left_to_say(advisor: Advisor) -> None:
    at = call(advisor)
    whole = replace(at.report, readiness=())
    assert comfort(at.state, whole, advisor.base) == HEALTHY
