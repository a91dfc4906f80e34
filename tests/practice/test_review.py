"""A round that is over in words: what was done, what was wrong with the order, what the planner did."""

import msgspec
import pytest

from advisor.diagnose import Advisor
from advisor.practice.review import (
    CheckReviewed,
    Guessed,
    InVain,
    Luck,
    PlanCheck,
    PlanLook,
    PlanRepair,
    RepairReviewed,
    Review,
    ToldNothing,
    TooEarly,
    review,
)
from advisor.practice.round import CHECK, FIX, GIVEN_UP, RIGHT, WRONG, Round, Step
from advisor.practice.verdict import CURED, LITTLE, Early, Heard, Verdict
from tests.practice.rounds import PLUG, bike_with

LOOK = Step(kind=CHECK, id="look-under-the-rocker-cover", side="left", minutes=4.0, says="Tan.", chances=(0.03, 0.06))
VAIN = Step(kind=FIX, id="throttle-spindle-worn", side="left", minutes=185.0, in_vain=185.0, likely=0.02)
BLIND = Step(kind=FIX, id="plug-dead", side="left", minutes=20.0, likely=0.1, cured=(("plug-dead", "right"),))
ONE_SIDE = Step(
    kind=FIX,
    id="slide-sticking",
    side="left",
    both=True,
    minutes=65.0,
    in_vain=30.0,
    spoken_for=True,
    cured=(("slide-sticking", "left"),),
)
FOUND = Verdict(
    outcome=GIVEN_UP,
    planted=(),
    steps=(LOOK, VAIN, BLIND, ONE_SIDE),
    minutes=50.0,
    early=None,
    told_nothing=(),
    in_vain=(),
    blind=(),
    plan=(
        Heard("check", "look-under-the-rocker-cover", "left", right=False, minutes=4.0, says="Tan."),
        Heard("settle", "plug-dead", "right", right=False, minutes=20.0),
        Heard("settle", "plug-dead", "right", right=True, minutes=20.0),
        Heard("fix", "plug-dead", "right", right=True, minutes=15.0),
    ),
    plan_minutes=44.0,
    plan_found=True,
    wrong_side=False,
    guessed=False,
)


@pytest.fixture(scope="module")
def round_(advisor: Advisor) -> Round:
    return bike_with(advisor, PLUG)


def reviewed(round_: Round, **fields: object) -> Review:
    return review(msgspec.structs.replace(FOUND, **fields), round_)


def test_each_step_with_what_it_told_or_cured(round_: Round) -> None:
    look, vain, blind, both = reviewed(round_).steps
    assert look == CheckReviewed(
        title="Look under the left rocker cover", minutes=4.0, says="Tan.", told=LITTLE, before=0.03, after=0.06
    )
    spindle = "The left throttle spindle or its seals are worn"
    assert vain == RepairReviewed(title=spindle, minutes=185.0, right=False, cured_besides=())
    assert isinstance(blind, RepairReviewed)
    assert (blind.right, blind.cured_besides) == (True, ("The right plug is dead",))
    assert isinstance(both, RepairReviewed)
    assert (both.title, both.cured_besides) == ("The left and right slide sticks", ())


def test_a_repair_in_vain_says_what_it_cost_and_how_likely_it_was(round_: Round) -> None:
    vain, one_side = reviewed(round_, in_vain=(VAIN, ONE_SIDE)).order
    spindle = "The left throttle spindle or its seals are worn"
    assert vain == InVain(title=spindle, minutes=185.0, new_parts=True, one_side=False, likely=0.02, blind=True)
    assert isinstance(one_side, InVain)
    assert (one_side.minutes, one_side.new_parts, one_side.one_side, one_side.blind) == (30.0, False, True, False)


def test_what_is_guessed_is_not_called_luck_besides(round_: Round) -> None:
    assert reviewed(round_, blind=(BLIND,)).order == (Luck(title="The left plug is dead", likely=0.1),)
    assert reviewed(round_, blind=(BLIND,), guessed=True).order == (Guessed(),)


def test_checks_too_early_and_those_that_told_nothing(round_: Round) -> None:
    early = Early(step=LOOK, stage="valves", reason="Air first.", there=True)
    first, second = reviewed(round_, early=early, told_nothing=(LOOK, LOOK)).order
    assert first == TooEarly(title="Look under the left rocker cover", stage="valves", reason="Air first.", there=True)
    assert second == ToldNothing(
        titles=("Look under the left rocker cover", "Look under the left rocker cover"), minutes=8.0
    )
    assert reviewed(round_).order == ()


def test_the_planners_steps(round_: Round) -> None:
    look, settled, fix = reviewed(round_).plan
    assert look == PlanCheck(title="Look under the left rocker cover", minutes=4.0, says="Tan.")
    assert isinstance(settled, PlanLook)
    assert (settled.minutes, settled.times, settled.speaks_for) == (40.0, 2, True)
    assert settled.cause == "The right plug is dead"
    assert fix == PlanRepair(title="The right plug is dead", minutes=15.0)


def test_what_was_named_is_said_where_it_was_not_right(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    round_.name([("tank-vent-blocked", None), ("plug-dead", "left")])
    titles = reviewed(round_, outcome=WRONG).named
    assert (len(titles), titles[1]) == (2, "The left plug is dead")
    assert reviewed(round_, outcome=RIGHT).named == ()


def test_its_ending_and_figures_are_the_verdicts(round_: Round) -> None:
    found = reviewed(round_, outcome=RIGHT, wrong_side=True, blind=(BLIND,))
    assert (found.ending, found.all_found, found.luck, found.good_order) == (CURED, True, True, True)
    assert (found.minutes, found.plan_minutes, found.clock, found.bike) == (50.0, 44.0, round_.minutes, round_.bike)
    assert not reviewed(round_).all_found
