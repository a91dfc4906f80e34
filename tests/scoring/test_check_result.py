"""Answers: the outcome that agrees best, on the right side, with slips now and then."""

import numpy as np
import pytest

from advisor.errors import AdvisorError
from advisor.observer.bike_view import usual, view
from advisor.plan.deciding import settling
from advisor.rulebase.model import Rulebase
from advisor.scoring.check_result import NOBODY, answer
from advisor.sides import BOTH, Side, other
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant


def rng(seed: int = 0) -> np.random.Generator:
    return np.random.default_rng(seed)


def test_a_healthy_bike_gives_the_most_innocent_outcome(base: Rulebase) -> None:
    for check in base.checks.values():
        side: Side = "left" if check.sided else None
        got = answer(base, check.id, side, usual(), rng(), slips=0.0)
        fewest = min(sum(shown.seen and shown.bearing != "none" for shown in one.shows) for one in check.outcomes)
        assert sum(got.findings.values()) <= fewest + 1, check.id


def test_the_right_side_is_named(base: Rulebase) -> None:
    for side in BOTH:
        v = view(plant(Bike(), "plug-dead", side, 0.7))
        got = answer(base, "short-each-plug-at-idle", None, v, rng(), slips=0.0)
        assert got.side == side
        assert side in got.says
        assert got.findings == {("drop-half-idle", side): True}
        assert got.readings["drop-idle"].unit == "rpm"


def test_a_check_of_a_side_answers_for_that_side(base: Rulebase) -> None:
    v = view(plant(Bike(), "intake-joint-leak", "left", 0.7))
    assert answer(base, "seal-the-joint", "left", v, rng(), slips=0.0).findings == {
        ("joint-sealing-changes-idle", "left"): True
    }
    assert answer(base, "seal-the-joint", "right", v, rng(), slips=0.0).findings == {
        ("joint-sealing-changes-idle", "right"): False
    }


def test_one_look_at_both_sides_says_on_which_side_a_fault_is(base: Rulebase) -> None:
    """For each fault of one side that is decided by one look at both: found on its side, and not on the other.

    Not where figures are read: their signs hang together.
    """
    looks = {check.id for check in base.checks.values() if not check.sided and not check.takes}
    sided = [one for one in base.causes.values() if one.sided and one.settled_by in looks]
    looked = [(one, settling(one, side, base)) for one in sided for side in BOTH]
    assert len(looked) > 2 * 10
    for cause, signs in looked:
        at = {key: True for key in signs if key[1] is not None}
        told = {(sign, other(side)): False for sign, side in at} | at
        found = answer(base, cause.settled_by, None, usual(), rng(), slips=0.0, told=told).findings
        assert any(found.get(key) for key in at), cause.id
        assert not any(found.get((sign, other(side))) for sign, side in at), cause.id


def test_what_is_told_counts(base: Rulebase) -> None:
    after_work = ("began-after-work", None)
    got = answer(base, "ask-what-was-done", None, usual(), rng(), slips=0.0, told={after_work: True})
    assert [key for key, seen in got.findings.items() if seen] == [after_work]
    valves = ("began-after-valve-work", None)
    got = answer(base, "ask-what-was-done", None, usual(), rng(), slips=0.0, told={after_work: True, valves: True})
    assert [key for key, seen in got.findings.items() if seen] == [valves]
    assert not any(answer(base, "ask-what-was-done", None, usual(), rng(), slips=0.0).findings.values())


def test_nobody_says_no_to_what_nobody_can_know(base: Rulebase) -> None:
    v = view(plant(Bike(), "cap-or-lead-failing", "left", 0.7))
    for check in ("ask-about-the-wet", "ask-for-a-pattern"):
        got = answer(base, check, None, v, rng(), slips=0.0)
        assert (got.says, got.findings) == (NOBODY, {})
    sign, side = "worse-in-the-wet", None
    told = answer(base, "ask-about-the-wet", None, v, rng(), slips=0.0, told={(sign, side): True})
    assert told.findings == {(sign, side): True}


def test_slips_are_drawn_and_repeat_with_the_seed(base: Rulebase) -> None:
    v = view(plant(Bike(), "intake-joint-leak", "left", 0.7))
    given = [answer(base, "seal-the-joint", "left", v, rng(i), slips=0.2).says for i in range(300)]
    right = answer(base, "seal-the-joint", "left", v, rng(), slips=0.0).says
    assert 0.7 < given.count(right) / 300 < 0.9
    assert given == [answer(base, "seal-the-joint", "left", v, rng(i), slips=0.2).says for i in range(300)]


def test_an_unknown_check_is_named(base: Rulebase) -> None:
    with pytest.raises(AdvisorError, match="no such check: wet-the-joit"):
        answer(base, "wet-the-joit", "left", usual(), rng())
