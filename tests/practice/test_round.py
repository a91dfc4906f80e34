"""A practice round: the same steps give the same answers; what a repair does, and how a round ends."""

from dataclasses import replace

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.complaint import UNASKED
from advisor.plan.candidates import feasible
from advisor.plan.cost import RETEST
from advisor.plan.deciding import settling
from advisor.practice.levels import LEVELS, BikeId
from advisor.practice.round import (
    CHECK,
    FIX,
    GIVEN_UP,
    GONE,
    HALF,
    MOST_STILL,
    NOT_GONE,
    RIGHT,
    ROUGH,
    UNNOTICED,
    WRONG,
    Round,
    Step,
)
from advisor.scoring.hidden_bikes import Fault, planted
from advisor.sides import BOTH, Side, Sided, sides_of
from advisor.virtual_bike import operate
from tests.practice.rounds import PLUG, SLIDE, SOUND, bike_with, first_checks

LEAK: Fault = ("intake-joint-leak", "left", 1.0)


@pytest.mark.parametrize("level", ["easy", "hard"])
def test_the_same_seed_and_steps_give_the_same_answers(advisor: Advisor, level: str) -> None:
    one, two = (Round.drawn(advisor, 11, level) for _ in range(2))
    assert one.hidden == two.hidden
    assert one.complaint == two.complaint
    # who smells fuel must not run the engine before it is known where it comes from
    able = [
        (name, side)
        for name, side in first_checks(advisor.base)
        if feasible(advisor.base.checks[name], side, one.scene(), advisor.base)
    ]
    assert len(able) >= 3
    assert [one.do(*check) for check in able] == [two.do(*check) for check in able]
    assert one.minutes == two.minutes > 0


@pytest.mark.parametrize(("area", "level"), [("ignition", "easy"), ("cables", "hard")])
def test_an_area_is_kept_to(advisor: Advisor, area: str, level: str) -> None:
    drawn = Round.drawn(advisor, 3, level, area)
    assert {advisor.base.causes[cause].place for cause, _ in drawn.hidden.causes} == {area}
    assert drawn.bike == BikeId(seed=3, level=level, area=area)


def test_an_area_without_faults_is_refused(advisor: Advisor) -> None:
    with pytest.raises(AdvisorError, match="choose one of cables, carburettor"):
        Round.drawn(advisor, 3, "fair", "sidecar")


@pytest.mark.parametrize(
    ("named", "over"),
    [
        ([("plug-dead", "right")], RIGHT),
        ([SOUND], WRONG),
        ([("plug-dead", "left")], WRONG),
        ([("plug-dead", "right"), SOUND], HALF),
    ],
)
def test_naming_ends_it(advisor: Advisor, named: list[Sided], over: str) -> None:
    round_ = bike_with(advisor, PLUG)
    assert round_.name(named) == round_.over == over


def test_giving_up_ends_it(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    assert not round_.over
    round_.give_up()
    assert round_.over == GIVEN_UP


def test_one_of_two_faults_put_right_is_not_the_end(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG, LEAK, level="hard")
    assert round_.fix("plug-dead", "right").right
    assert not round_.over
    assert round_.fix("intake-joint-leak", "left").outcome == GONE
    assert round_.over == RIGHT


def test_naming_one_of_two_faults_is_half_right_and_the_last_one_is_right(advisor: Advisor) -> None:
    assert bike_with(advisor, PLUG, LEAK).name([("plug-dead", "right")]) == HALF
    round_ = bike_with(advisor, PLUG, LEAK)
    round_.fix("plug-dead", "right")
    assert round_.name([("intake-joint-leak", "left")]) == RIGHT
    round_ = bike_with(advisor, PLUG, LEAK)
    round_.fix("plug-dead", "right")
    assert round_.name([SOUND]) == HALF  # the one that was put right counts


def test_a_wrong_repair_costs_its_minutes_and_changes_nothing(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    done = round_.fix(*SOUND)
    assert (done.right, done.cured, done.outcome, round_.over) == (False, (), NOT_GONE, "")
    assert done.minutes == done.in_vain == advisor.base.causes[SOUND[0]].minutes + RETEST
    assert set(round_.complaint) <= set(done.still)
    assert len(done.still) <= MOST_STILL


def test_what_the_rider_does_not_notice_is_not_said_to_be_gone(advisor: Advisor) -> None:
    assert bike_with(advisor, ("needle-loose", "right", 0.3)).fix(*SOUND).outcome == UNNOTICED
    bad = bike_with(advisor, ("gauge-at-fault", None, 1.0))
    bad.complaint = ()
    assert bad.fix(*SOUND).outcome == ROUGH


def test_what_was_set_around_the_fault_is_set_again_and_takes_its_time(advisor: Advisor) -> None:
    hidden = planted([SLIDE])
    tuned = replace(hidden, bike=operate.tune(hidden.bike))
    assert tuned.set_around
    around, plain = (Round(advisor, BikeId(seed=7, level="hard"), one) for one in (tuned, hidden))
    assert not around.fix(*SOUND).set_again
    first, second = around.fix("slide-sticking", "left"), plain.fix("slide-sticking", "left")
    assert (first.set_again, second.set_again) == (True, False)
    assert first.minutes > second.minutes


def test_both_sides_are_one_job_with_one_trial_run(advisor: Advisor) -> None:
    round_, page = bike_with(advisor, PLUG), advisor.base.causes["coil-wire-bad"]
    done = round_.fix(page.id, "left", both=True)
    assert (done.minutes, done.in_vain) == (2 * page.minutes + RETEST, 2 * page.minutes + RETEST)
    assert round_.earlier(FIX, page.id, "right") is done


def test_a_repair_that_its_page_does_to_both_sides_costs_one_job(advisor: Advisor) -> None:
    round_, page = bike_with(advisor, PLUG), advisor.base.causes["plug-dead"]
    done = round_.fix(page.id, "left", both=True)
    assert (done.right, done.wrong_side, done.minutes, done.in_vain) == (True, False, page.minutes + RETEST, 0.0)


def test_the_sound_side_of_a_repair_on_both_is_in_vain(advisor: Advisor) -> None:
    done = bike_with(advisor, SLIDE).fix("slide-sticking", "left", both=True)
    work = advisor.base.causes["slide-sticking"].minutes
    assert (done.right, done.minutes, done.in_vain) == (True, 2 * work + RETEST, work)


def test_a_cure_by_the_wrong_side_is_said(advisor: Advisor) -> None:
    assert bike_with(advisor, PLUG).fix("plug-dead", "left").wrong_side  # a new pair of plugs
    assert not bike_with(advisor, PLUG).fix("plug-dead", "right").wrong_side
    assert not bike_with(advisor, SLIDE).fix("slide-sticking", "right").wrong_side  # that cures nothing


def test_a_repair_is_blind_until_its_deciding_check_has_spoken(advisor: Advisor) -> None:
    assert bike_with(advisor, PLUG).fix("plug-dead", "right").blind
    round_ = bike_with(advisor, PLUG)
    look = round_.do(advisor.base.causes["plug-dead"].settled_by, "right")
    assert look.settled
    round_.do("look-at-the-plug", None)  # what comes after leaves that as it is
    assert not round_.fix("plug-dead", "right").blind


def test_a_repair_is_not_blind_where_another_check_made_it_much_likelier(advisor: Advisor) -> None:
    assert advisor.base.causes["plug-dead"].settled_by != "feel-the-plugs"
    round_ = bike_with(advisor, PLUG)
    round_.do("measure-the-compression", None)
    round_.do("feel-the-plugs", None)
    assert not round_.fix("plug-dead", "right").blind


def test_a_repair_is_not_blind_where_the_complaint_alone_makes_it_likely(
    advisor: Advisor, monkeypatch: pytest.MonkeyPatch
) -> None:
    round_ = bike_with(advisor, PLUG)
    for likely, blind in ((0.49, True), (0.5, False)):
        chances = dict.fromkeys(round_.ranked(), likely)
        monkeypatch.setattr(round_, "_opening", chances)
        monkeypatch.setattr(round_, "ranked", lambda chances=chances: chances)
        assert round_.fix(*SOUND).blind == blind


@pytest.mark.parametrize(
    ("cause", "side"),
    [
        ("slide-sticking", "left"),
        ("float-level-high", "left"),
        ("plug-dead", "left"),
        ("cap-or-lead-failing", "right"),
        ("air-filter-blocked", None),
        ("clearance-tight", "right"),
    ],
)
def test_what_its_deciding_check_spoke_for_tells_all_and_is_never_blind(
    advisor: Advisor, cause: str, side: Side
) -> None:
    round_ = bike_with(advisor, (cause, side, 1.0))
    check = advisor.base.checks[advisor.base.causes[cause].settled_by]
    step = round_.do(check.id, side if check.sided else None)
    assert step.settled
    assert step.chances[1] > step.chances[0]
    assert not round_.fix(cause, side).blind


def test_a_check_counts_as_done_until_something_is_put_right(advisor: Advisor) -> None:
    round_ = bike_with(advisor, SLIDE)
    step = round_.do("look-under-the-rocker-cover", "left")
    assert round_.earlier(CHECK, "look-under-the-rocker-cover", "left") is step
    assert not round_.done("look-under-the-rocker-cover", "right")
    round_.fix(*SOUND)
    assert not round_.done("look-under-the-rocker-cover", "left")
    assert round_.earlier(FIX, *SOUND) is not None


def test_what_cannot_be_done_takes_no_time(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    here = round_.scene()
    not_here = next(
        (one.id, side)
        for one in advisor.base.checks.values()
        for side in sides_of(one.sided)
        if not feasible(one, side, here, advisor.base)
    )
    with pytest.raises(AdvisorError, match="not on this bike as it is known now"):
        round_.do(*not_here)
    assert (round_.minutes, round_.steps) == (0.0, [])


def test_what_is_open_makes_the_next_check_cheaper(advisor: Advisor) -> None:
    round_ = bike_with(advisor, SLIDE)
    first, again = (round_.do("look-under-the-rocker-cover", "left") for _ in range(2))
    assert again.minutes < first.minutes


def test_a_caution_is_shown_once_and_then_goes_by_its_name(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    first, again = (round_.do("test-the-spark", side) for side in BOTH)
    assert first.cautions
    assert set(again.as_before) >= set(first.cautions)
    assert not set(again.cautions) & set(first.cautions)
    round_.caution_again()
    assert set(round_.do("test-the-spark", "left").cautions) >= set(first.cautions)


@pytest.mark.parametrize("level", LEVELS)
def test_no_complaint_settles_it_but_for_what_every_rider_notices(advisor: Advisor, level: str) -> None:
    for seed in range(8):
        round_ = Round.drawn(advisor, seed, level)
        pages = [(advisor.base.causes[cause], side) for cause, side in round_.hidden.causes]
        settles = {key for page, side in pages for key in settling(page, side, advisor.base)}
        found = {key for key in round_.complaint if key[0] not in UNASKED and not advisor.base.signs[key[0]].past}
        assert not found & settles


def test_a_check_is_never_blind() -> None:
    assert not Step(kind=CHECK, id="x", side=None, minutes=1.0).blind
    assert Step(kind=FIX, id="x", side=None, minutes=1.0).blind
