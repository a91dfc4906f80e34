"""A check on the bike as it stands: after a run the engine cools while something else is done."""

from advisor.case import Case
from advisor.diagnose import Advisor
from advisor.session.as_it_stands import first_of_all, minutes_now
from advisor.session.events import Answered, AtHand, Event
from advisor.session.state import fold
from tests.cases import case

CLEARANCES, CAP = ("measure-the-clearances", "left"), "look-at-the-plug-cap"


def _after(advisor: Advisor, *checks: str) -> Case:
    sides = {CAP: "right", CLEARANCES[0]: "left"}
    events: list[Event] = [Answered(one, sides.get(one), "", ()) for one in checks]  # type: ignore[arg-type]
    return fold(events, advisor.base, case()).case


def test_a_cold_check_after_a_warm_one_waits_less_what_was_done_meanwhile(advisor: Advisor) -> None:
    base, check = advisor.base, advisor.base.checks[CLEARANCES[0]]
    own = check.minutes
    cold, hot, later = (_after(advisor, *done) for done in ((), ("watch-the-idle",), ("watch-the-idle", CAP)))
    assert [minutes_now(check, "left", one, base) - own for one in (cold, hot, later)] == [0.0, 60.0, 59.0]
    assert first_of_all(check, cold) == ()
    assert first_of_all(check, later) == ("Let the engine cool first, about 59 minutes.",)


def test_a_warm_check_after_a_cold_one_warms_it_up_first(advisor: Advisor) -> None:
    base, check = advisor.base, advisor.base.checks["watch-the-idle"]
    at = _after(advisor, CLEARANCES[0])
    assert first_of_all(check, at) == ("Warm the engine up again first.",)
    assert minutes_now(check, None, at, base) == check.minutes + 5.0


def test_who_is_there_says_nothing_of_the_engine_unless_they_say_so(advisor: Advisor) -> None:
    hot = _after(advisor, "watch-the-idle")
    same = fold([AtHand(case().means)], advisor.base, hot).case
    assert (same.cools, same.means.engine) == (60.0, "warm")
