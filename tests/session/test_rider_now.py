"""What the rider does now."""

import pytest

from advisor.diagnose import Advisor
from advisor.session.rider_now import GENTLY, MENDED, NO_RUN, SOUND, rider_now
from advisor.session.session import Session
from tests.session.sessions import told
from tests.session.test_bans import call


@pytest.mark.parametrize(
    ("sign", "words"),
    [
        ("on-fire", "fire service"), ("fuel-leaks", "tap off"), ("fumes-felt", "fresh air"),
        ("throttle-stays-open", "engine off"),
        ("cuts-like-a-switch", "Do not ride"), ("pinks", "Ride it gently"), ("fades-out", "roll to the side"),
        ("wont-start", NO_RUN), ("idle-hangs", GENTLY), ("side-cuts-in-and-out", "on quiet roads"),
    ],
)  # fmt: skip
def test_it_is_one_sentence_that_fits_the_gravest_danger(advisor: Advisor, sign: str, words: str) -> None:
    at = call(advisor, sign)
    said = rider_now(at.report, at.state.case, advisor.base)
    assert words in said
    assert said.endswith(".")
    assert len(said) <= 120


def test_nobody_rides_on_with_a_dead_cylinder_whatever_else_is_told(advisor: Advisor) -> None:
    """Common practice, no source: it may stop in traffic, and unburnt fuel goes into a hot silencer."""
    wet = ("one-side-weak", "worse-in-the-wet")
    for more in ((), wet):
        at = call(advisor, *more)
        at.journal.add(told("side-dead", side="right"))
        at = Session(advisor, at.journal)
        assert "riding" in at.report.forbidden
        assert "no further than out of danger" in rider_now(at.report, at.state.case, advisor.base)
    at = call(advisor, *wet)
    assert "in the dry" in rider_now(at.report, at.state.case, advisor.base)


def test_a_cylinder_that_joins_in_is_no_dead_one(advisor: Advisor) -> None:
    at = call(advisor)
    at.journal.add(told("side-dead", "side-joins-at-revs", side="right"))
    at = Session(advisor, at.journal)
    assert "riding" not in at.report.forbidden


def test_a_fire_comes_before_a_leak(advisor: Advisor) -> None:
    at = call(advisor, "fuel-leaks", "on-fire")
    assert "fire service" in rider_now(at.report, at.state.case, advisor.base)


def test_a_mended_bike_is_ridden(advisor: Advisor) -> None:
    at = call(advisor, "idle-hangs")
    assert rider_now(at.report, at.state.case, advisor.base, mended=True) == MENDED


def test_a_bike_of_which_nothing_wrong_is_known_is_ridden_as_always(advisor: Advisor) -> None:
    at = call(advisor, "idle-hangs")
    assert rider_now(at.report, at.state.case, advisor.base, sound=True) == SOUND
