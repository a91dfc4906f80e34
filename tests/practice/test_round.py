"""A practice round: the same moves give the same answers; right, wrong, half; two faults; words; the verdict."""

import io

import msgspec
import pytest
from rich.console import Console

from advisor.cli.practice_talk import Talk
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.complaint import UNASKED
from advisor.observer.severity import trouble
from advisor.plan.candidates import feasible
from advisor.plan.cost import RETEST
from advisor.plan.deciding import settling
from advisor.practice.lesson import stages
from advisor.practice.levels import BEGUN, LEVELS, place_of, stage_like, stage_of
from advisor.practice.offers import NAME, Finder, checks_of, on_side, said_side
from advisor.practice.round import DO, FIX, GIVEN_UP, HALF, RIGHT, WRONG, Round, Step
from advisor.practice.verdict import ALL, Heard, told, verdict
from advisor.rulebase.model import Rulebase
from advisor.scoring.check_result import NOBODY
from advisor.scoring.game import Move
from advisor.show.verdict import _planner, _together
from advisor.sides import BOTH, Sided, fill, sides_of


@pytest.fixture(scope="module")
def advisor(base: Rulebase) -> Advisor:
    return Advisor(base)


def checks(base: Rulebase) -> list[Sided]:
    """Return the first check of every stage."""
    first = [area.items[0].check for area in base.areas if area.items]
    return [(one, sides_of(base.checks[one].sided)[0]) for one in first]


def two_faults(advisor: Advisor) -> Round:
    rounds = (Round(advisor, seed, "hard") for seed in range(20))
    return next(one for one in rounds if len(one.hidden.faults) == 2)


def sound(now: Round) -> Sided:
    """Return a cause that is not there."""
    return next(
        (one.id, None) for one in now.base.causes.values() if not one.sided and (one.id, None) not in now.stand.left
    )


@pytest.mark.parametrize("level", ["easy", "hard"])
def test_the_same_seed_and_moves_give_the_same_answers(advisor: Advisor, level: str) -> None:
    one, two = (Round(advisor, 11, level) for _ in range(2))
    assert one.hidden == two.hidden
    assert one.complaint == two.complaint
    assert one.complaint
    # who smells fuel must not run the engine before it is known where it comes from
    able = [
        (name, side)
        for name, side in checks(advisor.base)
        if feasible(advisor.base.checks[name], side, one.scene(), advisor.base)
    ]
    assert len(able) >= 3
    for check in able:
        assert one.do(*check) == two.do(*check)
    assert one.minutes == two.minutes > 0


def test_levels_differ(advisor: Advisor) -> None:
    easy = [Round(advisor, seed, "easy") for seed in range(3)]
    assert all(trouble(one.first) >= 1.5 for one in easy)
    assert all(len(one.hidden.faults) == 1 and one.hidden.faults[0][2] >= 0.8 for one in easy)
    hard = [Round(advisor, seed, "hard") for seed in range(3)]
    assert {len(one.hidden.faults) for one in hard} <= {1, 2}


@pytest.mark.parametrize(("area", "level"), [("ignition", "easy"), ("cables", "hard")])
def test_an_area_is_kept_to(advisor: Advisor, area: str, level: str) -> None:
    now = Round(advisor, 3, level, area)
    assert {advisor.base.causes[cause].place for cause, _ in now.hidden.causes} == {area}


def test_an_area_without_faults_is_refused(advisor: Advisor) -> None:
    with pytest.raises(AdvisorError, match="choose one of cables, carburettor"):
        Round(advisor, 3, "fair", "sidecar")


def test_naming_ends_right_or_wrong(advisor: Advisor) -> None:
    now = Round(advisor, 5, "fair")
    assert now.name(now.hidden.causes) == now.over == RIGHT
    now = Round(advisor, 5, "fair")
    assert now.name([sound(now)]) == WRONG


def test_the_right_fault_on_the_wrong_side_is_wrong_and_said_so(advisor: Advisor) -> None:
    rounds = (Round(advisor, seed, "easy", "ignition") for seed in range(20))
    now = next(one for one in rounds if one.hidden.causes[0][1] == "left")
    assert now.name([(now.hidden.causes[0][0], "right")]) == WRONG
    assert verdict(now).wrong_side


def test_one_of_two_faults_put_right_is_not_the_end(advisor: Advisor) -> None:
    now = two_faults(advisor)
    one, other = now.hidden.causes
    assert now.fix(*one).right
    assert not now.over
    assert now.fix(*other).right
    assert now.over == RIGHT


def test_naming_one_of_two_faults_is_half_right(advisor: Advisor) -> None:
    now = two_faults(advisor)
    assert now.name(now.hidden.causes[:1]) == HALF
    now = two_faults(advisor)
    now.fix(*now.hidden.causes[0])
    assert now.name(now.hidden.causes[1:]) == RIGHT


def test_a_wrong_repair_costs_its_minutes_and_changes_nothing(advisor: Advisor) -> None:
    now = Round(advisor, 5, "easy")
    cause = sound(now)
    done = now.fix(*cause)
    assert not done.right
    assert not done.quiet
    assert done.still
    assert done.minutes == advisor.base.causes[cause[0]].minutes + 5


def test_both_sides_are_one_job_with_one_trial_run(advisor: Advisor) -> None:
    now, page = Round(advisor, 7, "easy"), advisor.base.causes["coil-wire-bad"]
    done = now.fix(page.id, "left", both=True)
    assert (done.minutes, done.in_vain) == (2 * page.minutes + RETEST, 2 * page.minutes + RETEST)
    assert now.earlier(FIX, page.id, "right") is done
    now, page = Round(advisor, 7, "easy"), advisor.base.causes["plug-dead"]
    done = now.fix(page.id, "left", both=True)  # its page means both plugs anyhow
    assert (done.right, done.wrong_side, done.minutes, done.in_vain) == (True, False, page.minutes + RETEST, 0.0)


def test_the_sound_side_of_a_repair_on_both_is_in_vain(advisor: Advisor) -> None:
    rounds = (Round(advisor, seed, "easy", "carburettor") for seed in range(40))
    now = next(one for one in rounds if one.hidden.causes[0][0] in {"slide-sticking", "idle-passage-blocked"})
    cause = now.hidden.causes[0][0]
    done = now.fix(cause, "left", both=True)
    work = advisor.base.causes[cause].minutes
    assert (done.right, done.minutes, done.in_vain) == (True, 2 * work + RETEST, work)
    assert verdict(now).in_vain == (done,)


def test_a_repair_is_blind_until_a_check_has_spoken_for_it(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    cause, side = now.hidden.causes[0]
    blind = now.fix(cause, side)
    assert blind.blind
    assert verdict(now).blind == (blind,)
    assert verdict(now).minutes == blind.minutes
    now = Round(advisor, 7, "easy")
    look = now.do(advisor.base.causes[cause].settled_by, side)
    assert look.settled
    now.do("look-at-the-plug", "left" if side == "right" else "right")  # what comes after leaves that as it is
    seen = now.fix(cause, side)
    found = verdict(now)
    assert (seen.blind, found.blind, found.in_vain, found.guessed) == (False, (), (), False)
    assert (found.minutes, found.found) == (now.minutes - seen.minutes, True)


def test_what_its_deciding_check_spoke_for_is_never_blind(advisor: Advisor) -> None:
    spoke = 0
    for seed in range(1, 9):
        now = Round(advisor, seed, "fair")
        cause, side = now.hidden.causes[0]
        check = advisor.base.checks[advisor.base.causes[cause].settled_by]
        at = side if check.sided else None
        if feasible(check, at, now.scene(), advisor.base) and now.do(check.id, at).settled:
            spoke += 1
            assert not now.fix(cause, side).blind
    assert spoke >= 4


def test_a_cure_by_the_wrong_side_is_no_find(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    assert now.hidden.causes == (("plug-dead", "right"),)
    now.do("look-at-the-plug", "left")
    now.fix("plug-dead", "left")
    found = verdict(now)
    assert (now.over, found.wrong_side, found.found) == (RIGHT, True, False)


def test_a_check_counts_as_done_until_something_is_put_right(advisor: Advisor) -> None:
    now = Round(advisor, 5, "easy")
    step = now.do("look-at-the-plug", "left")
    assert now.earlier(DO, "look-at-the-plug", "left") is step
    assert not now.done("look-at-the-plug", "right")
    cause = sound(now)
    now.fix(*cause)
    assert not now.done("look-at-the-plug", "left")
    assert now.earlier(FIX, *cause) is not None


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ((0.026, 0.034), "nothing"),  # both are shown as 3%
        ((0.03, 0.04), "nothing"),
        ((0.37, 0.38), "nothing"),
        ((0.03, 0.06), "little"),
        ((0.10, 0.30), "much"),
        ((0.30, 0.20), "misled a little"),
        ((0.30, 0.10), "misled"),
        ((0.004, 0.012), "nothing"),
    ],
)
def test_what_a_check_told_goes_with_the_figures_beside_it(given: tuple[float, float], word: str) -> None:
    assert told(Step(kind=DO, id="x", side=None, minutes=1.0, given=given)) == word


def test_an_order_is_good_only_where_it_is_short_and_no_longer_than_ones_own(advisor: Advisor) -> None:
    now = Round(advisor, 1, "easy")
    cause, side = now.hidden.causes[0]
    now.give_up()
    found = verdict(now)
    fix = Heard("fix", cause, side, right=True, minutes=30.0)
    good = msgspec.structs.replace(found, plan=(fix,), plan_found=True, plan_minutes=60.0)
    assert good.good_order
    for changed in ({"plan_minutes": 100.0}, {"plan_found": False}, {"outcome": RIGHT, "minutes": 20.0}):
        assert not msgspec.structs.replace(good, **changed).good_order
    assert msgspec.structs.replace(good, outcome=RIGHT, minutes=20.0, guessed=True).good_order


def test_the_heading_over_the_planner_says_why_it_is_no_order_to_follow(advisor: Advisor) -> None:
    now = Round(advisor, 1, "easy")
    now.give_up()
    fix, vain = (Heard("fix", *now.hidden.causes[0], right=right, minutes=30.0) for right in (True, False))
    found = msgspec.structs.replace(verdict(now), plan=(fix,), plan_found=True, plan_minutes=60.0)
    for changed, says in (
        ({}, "A GOOD ORDER"),
        ({"plan_minutes": 170.0}, "it was lost too"),
        ({"plan_found": False, "plan": (vain,)}, "a repair in vain and it was lost too"),
        ({"outcome": RIGHT, "minutes": 20.0}, "it took longer than you"),
        ({"outcome": RIGHT, "minutes": 200.0, "plan_minutes": 170.0}, "it was lost"),
    ):
        heading = _planner(msgspec.structs.replace(found, **changed))
        assert says in heading
        assert len(heading) <= 80


def test_the_planners_plain_checks_show_what_they_said(advisor: Advisor) -> None:
    now = Round(advisor, 3, "fair")
    now.give_up()
    plain = [one for one in verdict(now).plan if one.kind == "check"]
    assert plain
    for one in plain:
        outcomes = {fill(each.says, at) for each in advisor.base.checks[one.name].outcomes for at in (*BOTH, None)}
        assert one.says in outcomes | {NOBODY}


def test_what_is_open_makes_the_next_check_cheaper(advisor: Advisor) -> None:
    now = Round(advisor, 5, "easy")
    first, again = now.do("look-at-the-plug", "left"), now.do("look-at-the-plug", "left")
    assert again.minutes < first.minutes


def test_a_caution_is_shown_once(advisor: Advisor) -> None:
    now = Round(advisor, 5, "easy")
    shown = [caution for check in checks(advisor.base) for caution in now.do(*check).cautions]
    assert shown
    assert len(shown) == len(set(shown))


def test_the_verdict_weighs_each_check(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    for check in reversed(checks(advisor.base)):
        now.do(*check)
    now.give_up()
    found = verdict(now)
    assert found.outcome == GIVEN_UP
    assert len(found.steps) == len(checks(advisor.base))
    assert {told(one) for one in found.steps} <= {ALL, "much", "little", "nothing", "misled", "misled a little"}
    assert all(0 <= chance <= 1 for one in found.steps for chance in one.given)
    assert found.plan_found
    assert found.plan_minutes == sum(one.minutes for one in found.plan if not (one.kind == "fix" and one.right))
    assert all(one.looks and one.reason for one in found.planted)


@pytest.mark.parametrize("seed", range(1, 9))
def test_the_deciding_check_that_speaks_for_a_fault_tells_all(advisor: Advisor, seed: int) -> None:
    now = Round(advisor, seed, "easy")
    cause, side = now.hidden.causes[0]
    settles = advisor.base.checks[advisor.base.causes[cause].settled_by]
    at = side if settles.sided else None
    if not feasible(settles, at, now.scene(), advisor.base):  # what was told forbids it: a throttle that may stick
        pytest.skip(f"{settles.id} must not be done on this bike")
    step = now.do(settles.id, at)
    assert (told(step) == ALL) == step.settled == (step.given[1] > step.given[0])


def test_the_order_is_blamed_only_where_a_skipped_stage_mattered(advisor: Advisor) -> None:
    for seed in range(10):
        now = Round(advisor, seed, "easy")
        cause, side = now.hidden.causes[0]
        place = advisor.base.causes[cause].place
        check = advisor.base.checks[advisor.base.causes[cause].settled_by]
        at = side if check.sided else None
        if check.place == place and place != "balance" and feasible(check, at, now.scene(), advisor.base):
            now.do(check.id, at)
            now.give_up()
            assert verdict(now).early is None, cause


def test_a_cause_named_with_nothing_looked_at_is_a_guess(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    now.name(now.hidden.causes)
    assert (now.over, verdict(now).guessed) == (RIGHT, True)


def test_a_caution_goes_by_its_name_once_it_was_shown(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    first, again = (now.do("test-the-spark", side) for side in BOTH)
    assert first.cautions
    assert set(again.as_before) >= set(first.cautions)
    assert not set(again.cautions) & set(first.cautions)


@pytest.mark.parametrize("level", LEVELS)
def test_nobody_tells_what_settles_it_but_for_what_every_rider_notices(advisor: Advisor, level: str) -> None:
    for seed in range(20):
        now = Round(advisor, seed, level)
        pages = [(advisor.base.causes[cause], side) for cause, side in now.hidden.causes]
        settles = {key for page, side in pages for key in settling(page, side, advisor.base)}
        found = {key for key in now.complaint if key[0] not in UNASKED and not advisor.base.signs[key[0]].past}
        assert not found & settles


@pytest.mark.parametrize("words", ["name ;", "-1", "?"])
def test_what_names_nothing_ends_nothing(advisor: Advisor, words: str) -> None:
    now = Round(advisor, 7, "easy")
    screen = Console(file=io.StringIO(), width=80)
    assert Talk(now, screen).take(words)
    assert (now.over, now.minutes) == ("", 0.0)


def test_a_title_with_a_side_in_it_is_that_side(advisor: Advisor) -> None:
    now = Round(advisor, 2, "easy")
    Talk(now, Console(file=io.StringIO(), width=80)).take("look at both ends of the left cable's sheath")
    assert [(one.id, one.side) for one in now.steps] == [("look-at-the-sheath-ends", "left")]


def test_a_good_order_is_not_blamed(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    for check in checks(advisor.base):
        now.do(*check)
    now.give_up()
    assert verdict(now).early is None


def test_words_find_checks_readings_and_causes(advisor: Advisor) -> None:
    find = Finder(Round(advisor, 7, "easy"))
    assert [one.id for one in find.checks(["look", "plug"])] == ["look-at-the-plug"]
    assert [one.id for one in find.causes(["diaphragm-torn"], NAME)] == ["diaphragm-torn"]
    takers = find.measured(["cable-slack"])
    assert all("cable-slack" in advisor.base.checks[one.id].takes for one in takers)
    assert "left or right" not in on_side(find.checks(["look", "plug"])[0], ("left",)).title
    for wrong in (find.checks, find.measured):
        with pytest.raises(AdvisorError, match="'xyzzyq' finds no"):
            wrong(["xyzzyq"])


def test_sides_and_stages_are_understood(base: Rulebase) -> None:
    assert said_side(["plug", "l"]) == (["plug"], ("left",))
    assert said_side(["plug", "both"]) == (["plug"], ("left", "right"))
    assert stage_of("1", base) == 0
    assert stage_of("cables", base) == 5
    assert stage_of("8", base) is None
    assert stage_of("sidecar", base) is None


def test_a_stage_is_understood_by_the_beginnings_of_its_words(base: Rulebase) -> None:
    for place, area in enumerate(base.areas):
        assert stage_like(area.title.upper(), base) == place
        assert stage_like(area.title.split(" ")[0][:4], base) in range(place + 1)
    assert stage_like("valve", base) == 0
    assert stage_like("carb", base) == 4
    assert stage_like("c" * (BEGUN - 1), base) is None
    assert stage_like("sidecar", base) is None


def test_a_place_is_understood_by_its_beginning_or_by_its_stage(base: Rulebase) -> None:
    for words, place in (
        ("Ignition", "ignition"),
        ("elec", "electrical"),
        ("float levels", "fuel"),
        ("balance", "method"),
        ("plugs", "ignition"),
        ("", ""),
    ):
        assert place_of(words, base) == place
    with pytest.raises(AdvisorError, match="a word of a stage's title"):
        place_of("ca", base)


def test_every_check_stands_in_one_stage_and_leaves_it_when_done(advisor: Advisor) -> None:
    now = Round(advisor, 7, "easy")
    before = [one.id for one in checks_of(0, now)]
    assert before[0] == advisor.base.areas[0].items[0].check
    now.do("measure-the-compression", None)
    after = {one.id for one in checks_of(0, now)}
    assert "measure-the-compression" in set(before) - after


def test_the_lesson_shows_each_stage_on_a_bike_that_fails_it(base: Rulebase) -> None:
    found = list(stages(base))
    assert [one.title for one in found] == [area.title for area in base.areas]
    for one in found:
        assert one.looked
        assert one.before.endswith(".")
        assert one.cautions
        assert one.shown is not None
        assert any(one.shown.answer.findings.values())


def test_a_checks_own_title_is_that_check(advisor: Advisor) -> None:
    """Whoever types what he reads on the list gets it, whatever else has these words."""
    find = Finder(Round(advisor, 7, "easy"))
    for page in advisor.base.checks.values():
        twins = [one for one in advisor.base.checks.values() if one.title == page.title]
        words = fill(page.title, "right").replace(" right", "").split()
        if len(twins) == 1:
            assert [one.id for one in find.checks(words)] == [page.id]


def test_looks_taken_together_keep_their_minutes_and_what_they_were_for(base: Rulebase) -> None:
    look = Move("check", "measure-the-clearances", "left", right=False, minutes=15.0)
    tight, wide = (
        Move("settle", one, "left", right=True, minutes=10.0) for one in ("clearance-tight", "clearance-wide")
    )
    fix = Move("fix", "clearance-tight", "left", right=True, minutes=30.0)
    assert _together([look, tight, fix], base) == [(msgspec.structs.replace(tight, minutes=25.0), 2), (fix, 1)]
    assert [times for _, times in _together([wide, tight, tight], base)] == [1, 2]
    moves = [look, wide, tight, tight, fix, look]
    assert sum(one.minutes for one, _ in _together(moves, base)) == sum(one.minutes for one in moves)
