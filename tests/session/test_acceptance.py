"""After a repair: what is set again, what must hold in figures, and what must be gone, each asked once."""

import pytest

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.session.acceptance import complaints, open_repair
from advisor.session.events import ALL_HOLDS, Answered, Event, Forgotten, PutRight, Read, Told
from advisor.session.next_question import HOLDS, Question
from advisor.session.record import record_of
from advisor.session.session import Session
from advisor.session.state import fold
from advisor.session.store import Journal
from tests.session.sessions import CABLE, cable_put_right, complained, told


def asked(advisor: Advisor, *events: Event) -> Question:
    return Session(advisor, Journal(None, events=[*cable_put_right(advisor.base), *events])).question


def test_each_thing_is_asked_once_and_only_what_was_reported(advisor: Advisor) -> None:
    found = asked(advisor)
    assert found.kind == HOLDS
    lines = [*found.steps, *(one.says for one in found.options)]
    assert len(set(lines)) == len(lines)
    reported = {"balance-wont-hold", "throttle-lever-sticks"}  # hanging revs must be gone too, and never were told of
    assert {report.sign for report in found.options[0].reports} == reported
    assert found.steps[0] == next(one.set_again for one in advisor.base.areas if one.set_again)
    assert "It must read: Depression at idle: left and right within 10 mmHg." in found.steps


@pytest.mark.parametrize(
    ("complaint", "due"), [("balance-wont-hold", True), ("drop-small-off-idle left", True), ("pops", False)]
)
def test_where_the_balance_was_complained_of_it_must_read_level_at_idle_and_at_speed(
    advisor: Advisor, complaint: str, due: bool
) -> None:
    """Common practice, no source: what was uneven off idle is read off idle again, also if it was not read before."""
    base, (name, _, side) = advisor.base, complaint.partition(" ")
    said = Told((SignReport(sign=name, side=side or None, seen=True, how=base.words.opening),))  # type: ignore[arg-type]
    events = [*complained(base, ""), said, PutRight(CABLE, "right")]
    lines = Session(advisor, Journal(None, events=events)).question.steps
    for reading in ("column-idle", "column-off-idle"):
        title = base.readings[reading].title
        assert any(line.startswith(f"It must read: {title}: left and right within") for line in lines) == due, reading


def test_what_a_reading_still_shows_is_said_before_it_is_called_held(advisor: Advisor) -> None:
    apart, alike = (
        asked(advisor, Read(tuple(spoken("column-idle", words, advisor.base))))
        for words in ("left 240 mmHg right 220 mmHg", "left 221 mmHg right 220 mmHg")
    )
    assert apart.kind == alike.kind == HOLDS
    assert "Not yet, as read: More depression on the left at idle." in apart.steps
    assert not any(line.startswith("Not yet") for line in alike.steps)


def test_a_repair_is_open_until_it_is_said_whether_it_holds(advisor: Advisor) -> None:
    events = cable_put_right(advisor.base)
    assert open_repair(fold(events, advisor.base)) == PutRight(CABLE, "right")
    assert open_repair(fold([*events, told("pops")], advisor.base)) == PutRight(CABLE, "right")
    assert open_repair(fold([*events, Answered(CABLE, "right", ALL_HOLDS, ())], advisor.base)) is None
    assert open_repair(fold(events[:-1], advisor.base)) is None


def test_what_was_complained_of_is_what_was_told_and_not_taken_back(advisor: Advisor) -> None:
    base = advisor.base
    events = complained(base, "", "pops", "began-after-work", "idle-hangs")
    assert complaints(fold(events, base), base) == [("pops", None), ("idle-hangs", None)]  # no repair changes the past
    events.append(Forgotten(signs=(("pops", None),)))
    assert complaints(fold(events, base), base) == [("idle-hangs", None)]


def test_the_record_names_what_could_not_be_told_yet_as_not_judged(advisor: Advisor) -> None:
    base = advisor.base
    events = [*complained(base, "", "runs-badly", "thirsty"), PutRight("plug-dead", "left")]
    held = Answered("plug-dead", "left", ALL_HOLDS, (SignReport(sign="runs-badly", side=None, seen=False, how="seen"),))
    record = record_of(Session(advisor, Journal(None, events=[*events, held])))
    assert "When it can be told: is it gone? Thirsty." in record.look_again
    assert not any("still gone" in line and "Thirsty" in line for line in record.look_again)
