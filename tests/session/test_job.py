"""A job: from a case file and from a session."""

import msgspec

from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.session.events import RuledOut
from advisor.session.job import FIRST, LAST, Job, job_of, job_of_case
from advisor.session.record import record_of
from advisor.session.session import Session
from advisor.session.store import Journal
from tests.pages.jobs import DEMO, demo, full
from tests.session.sessions import cable_put_right, complained
from tests.session.test_balance_asked import played


def test_a_case_is_a_job_with_nothing_done(advisor: Advisor) -> None:
    case = full(advisor)
    job = job_of_case(case, advisor)
    assert job.record is None
    assert job.asked is None
    assert job.report == advisor.diagnose(case)
    assert job.title == "Everything at once"
    assert {row.title for row in job.rows} >= {"Depression at idle", "Idle speed"}
    assert [len(one.rides) for one in [job.shook] if one] == [2]


def test_the_readings_of_a_log_stand_among_the_others(advisor: Advisor) -> None:
    job = job_of_case(demo(DEMO[-1], advisor), advisor)
    assert any("mail-8-idle.csv" in row.whole for row in job.rows)
    assert len(job.idles) == 1


def test_a_session_has_its_record_and_readings_twice(advisor: Advisor, base: Rulebase) -> None:
    at = session(advisor, base)
    assert [one.when for one in job_of(at).pairs] == [""]
    at.answer("left 222 mmHg right 220 mmHg")
    at.answer("1")
    job = job_of(at)
    assert job.record == record_of(at)
    assert [(one.title, one.when) for one in job.pairs] == [("Depression at idle", FIRST), ("Depression at idle", LAST)]
    assert job.pairs[0].given == "left 240 mmHg, right 205 mmHg"
    assert job.asked is not None
    assert job.asked.title == at.question.title


def session(advisor: Advisor, base: Rulebase) -> Session:
    journal = Journal(None)
    for one in cable_put_right(base):
        journal.add(one)
    return Session(advisor, journal)


def test_a_search_goes_by_its_ranking(advisor: Advisor, base: Rulebase) -> None:
    journal = Journal(None)
    for one in (*complained(base, "it hangs", "idle-hangs"), RuledOut("intake-joint-leak", "left")):
        journal.add(one)
    at = Session(advisor, journal)
    job = job_of(at)
    assert job.asked is None
    later = [base.cautions[name].says for check in at.report.next_checks for name in check.cautions]
    assert set(later) <= set(job.cautions)


def test_a_job_can_be_written_as_json_and_read(advisor: Advisor) -> None:
    job = job_of(played(advisor).session)
    assert msgspec.json.decode(msgspec.json.encode(job), type=Job) == job
