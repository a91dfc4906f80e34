"""A bike that runs well is told so, with what nobody has looked at, in the order in which it must be right."""

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.session.events import Answered, Event
from advisor.session.next_question import WELL
from advisor.session.not_checked import Stage, in_short, not_checked
from advisor.session.session import Session
from advisor.session.store import Journal
from tests.session.sessions import complained


def praised(advisor: Advisor, *signs: str, sentence: str = "", sign: str = "power-low") -> Session:
    """Return a session with these complaints, after this was said not to be so."""
    said = SignReport(sign=sign, side=None, seen=False, how="told")
    answer: Event = Answered("ask-about-the-power", None, "It goes as it used to.", (said,))
    return Session(advisor, Journal(None, events=[*complained(advisor.base, sentence, *signs), answer]))


def test_a_bike_that_runs_well_is_told_so_with_what_was_not_checked(advisor: Advisor) -> None:
    asked = praised(advisor).question
    assert (asked.kind, asked.options) == (WELL, ())
    stages = [area.title for area in advisor.base.areas if area.items]
    places = [next(n for n, line in enumerate(asked.steps) if line.startswith(title)) for title in stages]
    assert places == sorted(places)
    assert all(" min" in asked.steps[n] for n in places)


def test_it_is_not_told_of_a_bike_with_a_trouble(advisor: Advisor) -> None:
    assert praised(advisor, "pops").question.kind != WELL
    assert praised(advisor, sign="pinks").question.kind != WELL  # one trouble less is not all of it


def test_what_was_looked_at_is_left_out_and_its_minutes_too(advisor: Advisor) -> None:
    before = next(not_checked(praised(advisor).report))
    at = praised(advisor)
    seen = (SignReport(sign="chain-rattles", side=None, seen=False, how="seen"),)
    at.journal.add(Answered("listen-at-the-front-cover", None, "Quiet.", seen))
    after = next(not_checked(Session(advisor, at.journal).report))
    assert set(before.items) - set(after.items) == {"timing chain quiet"}
    assert before.minutes - after.minutes == advisor.base.checks["listen-at-the-front-cover"].minutes


def test_a_stage_in_one_line() -> None:
    assert (
        in_short(Stage(title="cables", items=("slack", "locks"), minutes=12.0))
        == "cables, 2 things, 12 min; first: slack"
    )
    assert in_short(Stage(title="cables", items=("slack",), minutes=5.0)) == "cables, 5 min: slack"


def test_it_is_not_told_of_a_bike_of_which_only_the_past_was_told(advisor: Advisor) -> None:
    assert praised(advisor, "began-after-work", sentence="new gaskets").question.kind != WELL
