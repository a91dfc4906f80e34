"""How a round went: what a check told, what was blind, in vain or too early; whether the planner's order is good."""

import msgspec
import pytest

from advisor.diagnose import Advisor
from advisor.plan.cost import RETEST
from advisor.practice.round import CHECK, FIX, GIVEN_UP, HALF, RIGHT, WRONG, Round, Step
from advisor.practice.verdict import (
    ALL,
    CURED,
    LITTLE,
    LONGER,
    LOST,
    LOST_TOO,
    MISLED,
    MISLED_A_LITTLE,
    MOST_LOOKS,
    MUCH,
    NOT_ALL,
    NOTHING,
    WRONG_SIDE,
    Heard,
    Verdict,
    how_bad,
    looks,
    looks_together,
    told,
    verdict,
)
from advisor.rulebase.model import Rulebase
from advisor.scoring.check_result import NOBODY
from advisor.scoring.game import Move
from advisor.sides import BOTH, fill
from tests.practice.rounds import PLUG, SLIDE, SOUND, bike_with, first_checks

RIGHT_FIX, VAIN_FIX = (Heard("fix", "plug-dead", "right", right=right, minutes=30.0) for right in (True, False))
GOOD = Verdict(
    outcome=GIVEN_UP,
    planted=(),
    steps=(),
    minutes=50.0,
    early=None,
    told_nothing=(),
    in_vain=(),
    blind=(),
    plan=(RIGHT_FIX,),
    plan_minutes=60.0,
    plan_found=True,
    wrong_side=False,
    guessed=False,
)


@pytest.fixture
def idle_planner(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the planner do nothing, where it is not asked what it did: it takes its time."""
    monkeypatch.setattr("advisor.practice.verdict.play", lambda _: ())


def changed(**fields: object) -> Verdict:
    return msgspec.structs.replace(GOOD, **fields)


def step(**fields: object) -> Step:
    return msgspec.structs.replace(Step(kind=CHECK, id="x", side=None, minutes=1.0), **fields)


@pytest.mark.parametrize(
    ("chances", "word"),
    [
        ((0.026, 0.034), NOTHING),  # both are shown as 3%
        ((0.03, 0.04), NOTHING),
        ((0.37, 0.38), NOTHING),
        ((0.03, 0.05), LITTLE),
        ((0.03, 0.07), LITTLE),
        ((0.03, 0.08), MUCH),
        ((0.10, 0.30), MUCH),
        ((0.30, 0.20), MISLED_A_LITTLE),
        ((0.30, 0.10), MISLED),
        ((0.004, 0.012), NOTHING),
    ],
)
def test_what_a_check_told_goes_with_the_figures_beside_it(chances: tuple[float, float], word: str) -> None:
    assert told(step(chances=chances)) == word
    assert told(step(chances=chances, settled=True)) == ALL


@pytest.mark.parametrize(
    ("outcome", "wrong_side", "ending"),
    [
        (RIGHT, False, RIGHT),
        (RIGHT, True, CURED),
        (WRONG, True, WRONG_SIDE),
        (WRONG, False, WRONG),
        (HALF, True, HALF),
        (GIVEN_UP, True, GIVEN_UP),
    ],
)
def test_how_it_ended(outcome: str, wrong_side: bool, ending: str) -> None:
    assert changed(outcome=outcome, wrong_side=wrong_side).ending == ending


@pytest.mark.parametrize(
    ("fields", "found", "beaten"),
    [
        ({"outcome": RIGHT}, True, True),
        ({"outcome": RIGHT, "minutes": 60.0}, True, False),
        ({"outcome": RIGHT, "blind": (step(kind=FIX),)}, True, False),
        ({"outcome": RIGHT, "guessed": True}, False, False),
        ({"outcome": RIGHT, "wrong_side": True}, False, False),
        ({"outcome": HALF}, False, False),
    ],
)
def test_what_is_found_and_beats_the_planner(fields: dict[str, object], found: bool, beaten: bool) -> None:
    assert (changed(**fields).found, changed(**fields).beaten) == (found, beaten)


@pytest.mark.parametrize(
    ("fields", "good", "in_vain", "failed"),
    [
        ({}, True, 0, ""),
        ({"plan_minutes": 90.0}, True, 0, ""),
        ({"plan_minutes": 91.0}, False, 0, LOST_TOO),
        ({"plan_minutes": 91.0, "outcome": RIGHT, "minutes": 95.0}, False, 0, LOST),
        ({"outcome": RIGHT, "minutes": 20.0}, False, 0, LONGER),
        ({"outcome": RIGHT, "minutes": 20.0, "guessed": True}, True, 0, ""),
        ({"plan": (VAIN_FIX, RIGHT_FIX)}, False, 1, ""),
        ({"plan": (VAIN_FIX, VAIN_FIX), "plan_found": False}, False, 2, LOST_TOO),
        ({"plan_found": False, "outcome": RIGHT}, False, 0, NOT_ALL),
    ],
)
def test_whether_the_planners_order_is_one_to_follow(
    fields: dict[str, object], good: bool, in_vain: int, failed: str
) -> None:
    found = changed(**fields)
    assert (found.good_order, found.plan_in_vain, found.plan_failed) == (good, in_vain, failed)


@pytest.mark.parametrize(
    ("severity", "word"), [(1.0, "severe"), (0.75, "severe"), (0.5, "plain to find"), (0.49, "slight"), (0.0, "slight")]
)
def test_how_bad_a_fault_is_in_words(severity: float, word: str) -> None:
    assert how_bad(severity) == word


def test_a_fault_is_described_by_what_settles_it_first(base: Rulebase) -> None:
    seen = looks(*PLUG, base)
    settling = base.checks[base.causes["plug-dead"].settled_by]
    signs = {shown.sign for outcome in settling.outcomes for shown in outcome.shows}
    assert seen[0] in {fill(base.signs[sign].plain, side) for sign in signs for side in (*BOTH, None)}
    assert 1 < len(seen) <= MOST_LOOKS
    assert len(set(seen)) == len(seen)


@pytest.mark.usefixtures("idle_planner")
def test_a_repair_with_nothing_that_spoke_for_it_counts_its_minutes(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    blind = round_.fix("plug-dead", "right")
    found = verdict(round_)
    assert (found.blind, found.minutes, found.guessed) == ((blind,), blind.minutes, True)


@pytest.mark.usefixtures("idle_planner")
def test_a_repair_that_was_found_does_not(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    round_.do(advisor.base.causes["plug-dead"].settled_by, "right")
    right = round_.fix("plug-dead", "right")
    found = verdict(round_)
    assert (found.blind, found.in_vain, found.guessed, found.found) == ((), (), False, True)
    assert found.minutes == round_.minutes - right.minutes
    assert [one.found for one in found.planted] == [True]


@pytest.mark.usefixtures("idle_planner")
def test_what_was_spent_on_a_sound_side_counts_and_is_in_vain(advisor: Advisor) -> None:
    round_ = bike_with(advisor, SLIDE)
    check = advisor.base.checks[advisor.base.causes["slide-sticking"].settled_by]
    round_.do(check.id, "left" if check.sided else None)
    both = round_.fix("slide-sticking", "left", both=True)
    found = verdict(round_)
    assert found.in_vain == (both,)
    assert found.minutes == round_.minutes - advisor.base.causes["slide-sticking"].minutes - RETEST


@pytest.mark.usefixtures("idle_planner")
def test_the_wrong_side_is_no_find(advisor: Advisor) -> None:
    cured = bike_with(advisor, PLUG)
    cured.do("look-at-the-plug", None)
    cured.fix("plug-dead", "left")
    named = bike_with(advisor, PLUG)
    named.name([("plug-dead", "left")])
    for round_, over in ((cured, RIGHT), (named, WRONG)):
        found = verdict(round_)
        assert (found.outcome, found.wrong_side, found.found) == (over, True, False)
    half = bike_with(advisor, PLUG, SLIDE)
    half.name([("plug-dead", "right"), ("slide-sticking", "right")])
    assert not verdict(half).wrong_side  # one of them is right


@pytest.mark.usefixtures("idle_planner")
def test_a_cause_named_with_nothing_looked_at_is_a_guess(advisor: Advisor) -> None:
    guessed, looked, gave_up = (bike_with(advisor, PLUG) for _ in range(3))
    guessed.name(guessed.hidden.causes)
    looked.do("look-at-the-plug", None)
    looked.name(looked.hidden.causes)
    gave_up.give_up()
    assert [verdict(one).guessed for one in (guessed, looked, gave_up)] == [True, False, False]


def gone_through(round_: Round, backwards: bool) -> Verdict:
    checks = first_checks(round_.base)
    for check in reversed(checks) if backwards else checks:
        round_.do(*check)
    round_.give_up()
    return verdict(round_)


@pytest.mark.usefixtures("idle_planner")
def test_the_order_is_blamed_only_where_a_skipped_stage_mattered(advisor: Advisor) -> None:
    assert gone_through(bike_with(advisor, PLUG), backwards=False).early is None
    early = gone_through(bike_with(advisor, ("clearance-tight", "left", 1.0)), backwards=True).early
    assert early
    assert (early.stage, early.reason, early.there) == (
        advisor.base.areas[0].title,
        advisor.base.areas[0].reason,
        True,
    )
    settles = bike_with(advisor, SLIDE)
    check = advisor.base.checks[advisor.base.causes["slide-sticking"].settled_by]
    settles.do(check.id, "left" if check.sided else None)  # its own stage at once: nothing before it was wrong
    settles.give_up()
    assert verdict(settles).early is None


@pytest.mark.usefixtures("idle_planner")
def test_balance_read_first_is_early_wherever_the_fault_lies(advisor: Advisor) -> None:
    round_ = bike_with(advisor, ("out-of-adjustment", None, 1.0))
    balance = len(advisor.base.areas) - 1
    relies = set(advisor.base.areas[balance].relies)
    check = next(
        one
        for one in advisor.base.checks.values()
        if advisor.base.order_of(one.place) == balance and relies & set(one.takes)
    )
    first = round_.do(check.id, "left" if check.sided else None)
    round_.do(check.id, "left" if check.sided else None)
    round_.give_up()
    early = verdict(round_).early
    assert early
    assert early.step is first
    assert not early.there


def test_every_check_is_weighed_and_the_planners_minutes_add_up(advisor: Advisor) -> None:
    found = gone_through(bike_with(advisor, PLUG), backwards=True)
    assert len(found.steps) == len(first_checks(advisor.base))
    assert all(0 <= chance <= 1 for one in found.steps for chance in one.chances)
    assert found.told_nothing == tuple(one for one in found.steps if told(one) == NOTHING)
    assert found.plan_found
    assert found.plan_minutes == sum(one.minutes for one in found.plan if not (one.kind == "fix" and one.right))
    (fault,) = found.planted
    assert (fault.cause, fault.side, fault.bad, fault.found) == ("plug-dead", "right", "severe", False)


def test_the_planners_plain_checks_show_what_they_said(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    round_.give_up()
    plain = [one for one in verdict(round_).plan if one.kind == "check"]
    assert plain
    for one in plain:
        outcomes = {fill(each.says, at) for each in advisor.base.checks[one.name].outcomes for at in (*BOTH, None)}
        assert one.says in outcomes | {NOBODY}


@pytest.mark.usefixtures("idle_planner")
def test_a_wrong_repair_is_in_vain(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    vain = round_.fix(*SOUND)
    round_.give_up()
    assert verdict(round_).in_vain == (vain,)


def test_looks_taken_together_keep_their_minutes_and_what_they_were_for(base: Rulebase) -> None:
    look = Move("check", "measure-the-clearances", "left", right=False, minutes=15.0)
    tight, wide = (
        Move("settle", one, "left", right=True, minutes=10.0) for one in ("clearance-tight", "clearance-wide")
    )
    fix = Move("fix", "clearance-tight", "left", right=True, minutes=30.0)
    assert looks_together([look, tight, fix], base) == [(msgspec.structs.replace(tight, minutes=25.0), 2), (fix, 1)]
    assert [times for _, times in looks_together([wide, tight, tight], base)] == [1, 2]
    moves = [look, wide, tight, tight, fix, look]
    assert sum(one.minutes for one, _ in looks_together(moves, base)) == sum(one.minutes for one in moves)
