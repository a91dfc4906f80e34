"""What must not be done with a bike as it is, and what may still be looked at."""

import pytest

from advisor.diagnose import Advisor
from advisor.session.bans import asked_since, bans, safe_looks
from advisor.session.next_question import CHECK, HAND_OVER
from advisor.session.session import Session
from advisor.sides import Side
from tests.session.sessions import RIDER, session, told


def call(advisor: Advisor, *signs: str, side: Side = None) -> Session:
    at = session(advisor, kind="phone", means=RIDER)
    at.journal.add(told(*signs, side=side))
    return Session(advisor, at.journal)


def test_each_ban_says_why_on_its_side_the_gravest_first(advisor: Advisor) -> None:
    at = call(advisor, "wont-start")
    at.journal.add(told("fuel-drips", side="right"))
    at = Session(advisor, at.journal)
    drips, cannot = bans(at.report, at.state.case, advisor.base)
    assert (drips.reason, drips.warns) == ("Fuel drips from the right carburettor.", ("fuel-leak",))
    assert cannot.warns == ()  # it cannot run, which is no danger


@pytest.mark.parametrize("sign", ["wont-start", "dies-after-start", "fires-but-wont-run"])
def test_an_engine_that_does_not_run_is_a_call_like_any_other(advisor: Advisor, sign: str) -> None:
    at = call(advisor, sign)
    for _ in range(4):
        assert at.question.kind == CHECK
        assert "running" not in advisor.base.checks[at.question.name].involves
        at.answer("not known")
    assert "riding" not in at.report.forbidden


def test_a_stuck_throttle_is_looked_at_with_the_engine_off(advisor: Advisor) -> None:
    at, names = call(advisor, "throttle-stays-open"), list[str]()
    while at.question.kind == CHECK:
        check = advisor.base.checks[at.question.name]
        assert not check.involves
        names.append(check.id)
        at.answer(str(len(at.question.options)))  # the last answer is the sound one
    assert set(names) == set(advisor.base.rules["throttle-stayed-open"].looks)
    assert at.question.kind == HAND_OVER


def test_a_leak_is_asked_after_before_the_call_ends_and_fire_is_not(advisor: Advisor) -> None:
    at = call(advisor, "fuel-leaks")
    assert at.question.name == "ask-where-it-leaks"
    at.answer("1")
    assert at.question.kind == HAND_OVER
    for sign in ("on-fire", "fumes-felt", "wiring-smokes"):
        at = call(advisor, sign, "throttle-stays-open")
        found = bans(at.report, at.state.case, advisor.base)
        assert list(safe_looks(found, at.report, at.state.case, advisor.base)) == []
        assert at.question.kind == HAND_OVER


@pytest.mark.parametrize("sign", ["cuts-out", "cuts-like-a-switch", "restarts-after-rest", "changes-with-bars"])
def test_no_ride_is_asked_for_while_riding_is_banned(advisor: Advisor, sign: str) -> None:
    at = call(advisor, sign)
    assert "riding" in at.report.forbidden
    while at.question.kind == CHECK:
        assert "riding" not in advisor.base.checks[at.question.name].involves
        at.answer("not known")


def test_a_ban_that_comes_late_leaves_time_for_looks(advisor: Advisor) -> None:
    at = call(advisor, "idle-bad")
    for _ in range(6):
        at.answer("not known")
    at.journal.add(told("changes-with-bars"))
    at = Session(advisor, at.journal)
    found = bans(at.report, at.state.case, advisor.base)
    assert asked_since(found, at.state.counting, advisor.base) == 0
    assert asked_since((), at.state.counting, advisor.base) == 6
    assert at.question.kind == CHECK
    at.answer("not known")
    assert asked_since(found, at.state.counting, advisor.base) == 1
