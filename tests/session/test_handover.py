"""The sheet for the workshop."""

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.session.events import Told
from advisor.session.handover import hand_over
from advisor.session.next_question import CHECK
from advisor.session.session import Session
from tests.session.sessions import RIDER, session


def test_what_forbids_riding_is_on_the_sheet(advisor: Advisor) -> None:
    at = session(advisor, kind="phone")
    at.journal.add(Told((SignReport(sign="fuel-drips", side="left", seen=True, how="told"),)))
    at = Session(advisor, at.journal)
    assert not hand_over(at).may_ride
    assert hand_over(at).cautions


def test_the_workshop_is_not_told_to_ask_again_what_the_rider_could_not_say(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad", kind="phone", means=RIDER)
    skipped = set()
    for _ in range(8):
        if at.question.kind == CHECK and advisor.base.checks[at.question.name].how == "told":
            skipped.add(at.question.title)
        at.answer("not known")
    assert skipped
    assert not skipped & {one.title for one in hand_over(at).open}
