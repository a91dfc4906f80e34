"""Each case is worked out once, and says the same wherever that is done."""

import os
import signal
import threading
from collections.abc import Iterator

import pytest

from advisor.case import Case
from advisor.diagnose import Advisor
from advisor.errors import CaseError, ChainError
from advisor.places import shipped
from advisor.report import Report
from advisor.web import worked_out
from advisor.web.worked_out import Asked, WorkedOut, Workers
from tests.cases import case, report

HANGS, LEAKS = case(report("idle-hangs")), case(report("idle-hangs"), report("enricher-helps"))
PLAIN: Asked = (False, False, 1)


class Counts:
    """Works cases out with an advisor, and counts them; `waits` holds it up until it is set."""

    def __init__(self, advisor: Advisor) -> None:
        self.advisor = advisor
        self.cases: list[Case] = []
        self.waits = threading.Event()
        self.waits.set()

    def __call__(self, found: Case, asked: Asked) -> Report:
        """Return the report of a case."""
        self.cases.append(found)
        assert self.waits.wait(10)
        exact, closely, gone_into = asked
        return self.advisor.diagnose(found, exact=exact, closely=closely, gone_into=gone_into)


def test_a_case_is_worked_out_once_and_says_what_the_advisor_says(advisor: Advisor) -> None:
    counts = Counts(advisor)
    at = WorkedOut(advisor, counts)
    first, second, third = at.diagnose(HANGS), at.diagnose(HANGS), at.diagnose(LEAKS)
    assert first is second
    assert (first, third) == (advisor.diagnose(HANGS), advisor.diagnose(LEAKS))
    assert counts.cases == [HANGS, LEAKS]
    at.diagnose(HANGS, closely=True)  # what is asked is part of what is kept
    assert len(counts.cases) == 3


def test_without_workers_it_is_worked_out_here(advisor: Advisor) -> None:
    assert WorkedOut(advisor).diagnose(HANGS, closely=True) == advisor.diagnose(HANGS, closely=True)


def test_two_who_ask_at_once_wait_for_one_working_out(advisor: Advisor) -> None:
    counts = Counts(advisor)
    counts.waits.clear()
    at, found = WorkedOut(advisor, counts), list[Report]()
    askers = [threading.Thread(target=lambda: found.append(at.diagnose(HANGS))) for _ in range(4)]
    for one in askers:
        one.start()
    counts.waits.set()
    for one in askers:
        one.join(10)
    assert len(counts.cases) == 1
    assert len({id(one) for one in found}) == 1 == len(found) / 4


def test_a_mistake_is_said_each_time(advisor: Advisor) -> None:
    at = WorkedOut(advisor)
    for _ in range(2):
        with pytest.raises(CaseError, match="no-such-sign"):
            at.diagnose(case(report("no-such-sign")))


def test_the_oldest_reports_are_let_go(advisor: Advisor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worked_out, "MOST_KEPT", 1)
    counts = Counts(advisor)
    at = WorkedOut(advisor, counts)
    for one in (HANGS, LEAKS, LEAKS, HANGS):
        at.diagnose(one)
    assert counts.cases == [HANGS, LEAKS, HANGS]


@pytest.fixture(scope="module")
def workers(advisor: Advisor) -> Iterator[Workers]:  # noqa: ARG001 - the cache is filled
    """Return one worker."""
    found = Workers([shipped("rules")], many=1)
    found.warm_up()
    yield found
    found.close()


def test_a_worker_says_what_the_advisor_says(workers: Workers, advisor: Advisor) -> None:
    assert workers(HANGS, PLAIN) == advisor.diagnose(HANGS)
    with pytest.raises(CaseError, match="no-such-sign"):
        workers(case(report("no-such-sign")), PLAIN)


def test_a_worker_that_dies_is_replaced(workers: Workers, advisor: Advisor) -> None:
    number = workers._pool.submit(worked_out._process_number).result()
    assert number != os.getpid()
    os.kill(number, signal.SIGKILL)
    assert workers(LEAKS, PLAIN) == advisor.diagnose(LEAKS)
    assert workers._pool.submit(worked_out._process_number).result() != number


def _dies(case: Case, asked: Asked) -> Report:
    """End the worker as the rule engine does when it crashes."""
    os._exit(bool(case) and bool(asked))


def test_a_case_that_ends_every_worker_is_given_up(
    workers: Workers, advisor: Advisor, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(worked_out, "_work_out", _dies)
        with pytest.raises(ChainError, match="take the last answer back"):
            workers(HANGS, PLAIN)
    assert workers(HANGS, PLAIN) == advisor.diagnose(HANGS)
