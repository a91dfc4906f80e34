"""Events fold to one case: a repair opens what it had shown, and a later reading replaces an earlier one."""

import random

import pytest
from msgspec.structs import replace

from advisor.case import Bike
from advisor.chain.compile import side_at
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.intake.casefile import read_case
from advisor.intake.valid import refuse_invalid
from advisor.places import shipped
from advisor.rulebase import Rulebase
from advisor.session.events import (
    Answered,
    AtHand,
    Began,
    Event,
    OfBike,
    PutRight,
    Read,
    RuledOut,
    Skipped,
    Told,
    Undone,
)
from advisor.session.session import Session
from advisor.session.state import State, fold, put_right
from advisor.sides import BOTH, Side, other
from tests.cases import figure, report
from tests.session.sessions import RIDER, WORKSHOP, session


def test_a_repair_asks_anew_what_was_felt_but_not_how_it_began(advisor: Advisor) -> None:
    told = session(advisor, "runs-badly", "hard-to-start", "began-after-standing").state.case
    after = put_right(told, "fuel-stale-or-wrong", None, advisor.base)
    assert [one.sign for one in after.seen if one.seen] == ["began-after-standing"]


def test_what_was_set_around_a_fault_is_open_again(advisor: Advisor) -> None:
    case = read_case(shipped("cases_demo") / "mail-1-balance-wont-hold.yaml", advisor.base)
    after = put_right(case, "intake-joint-leak", "left", advisor.base)
    relies = {name for area in advisor.base.areas for name in area.relies}
    assert not relies & {one.reading for one in after.measured}
    assert not relies & {one.sign for one in after.seen}
    assert after.put_right == (("intake-joint-leak", "left"),)


@pytest.mark.wide
def test_events_fold_to_one_case_whatever_was_undone(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    choose = random.Random(7)
    for _ in range(25):
        line = choose.choice(["1", "2", "not known", "undo", "can't"])
        try:
            at.answer(line)
        except AdvisorError:
            continue
        state = fold(at.journal.events, advisor.base)
        assert state == at.state
        assert fold(state.counting, advisor.base).case == state.case


def test_a_reading_of_one_side_leaves_that_of_the_other(advisor: Advisor) -> None:
    apart, at_once = session(advisor, "idle-bad"), session(advisor, "idle-bad")
    apart.answer("clearance-exhaust right 0.05 mm")
    apart.answer("clearance-exhaust left 0.20 mm")
    at_once.answer("clearance-exhaust left 0.20 mm right 0.05 mm")

    def read(at: Session) -> set[tuple[str, str | None, tuple[float, ...]]]:
        return {(one.reading, one.side, one.values) for one in at.state.case.measured}

    assert read(apart) == read(at_once)
    assert apart.report.causes[0].id == at_once.report.causes[0].id == "clearance-tight"
    apart.answer("clearance-exhaust right 0.25 mm")
    assert ("clearance-exhaust", "left", (0.2,)) in read(apart)
    assert len(read(apart)) == 2
    leads = session(advisor, "idle-bad")
    leads.answer("column-idle left 240 mmHg right 205 mmHg")
    leads.answer("column-idle left more by 3 mmHg")
    assert len(leads.state.case.measured) == 1


BEGAN: tuple[Event, ...] = (
    Began("bench", "it will not settle, and it has not for as long as I can remember, whatever was done"),
    AtHand(WORKSHOP),
    OfBike(Bike(name="nine")),
)
LEAK = PutRight("intake-joint-leak", "left")


def folded(base: Rulebase, *events: Event) -> State:
    return fold([*BEGAN, *events], base)


def test_a_session_is_of_its_kind_bike_and_words(base: Rulebase) -> None:
    state = folded(base)
    assert (state.kind, state.case.bike.name, state.case.means) == ("bench", "nine", WORKSHOP)
    assert isinstance(BEGAN[0], Began)
    assert state.case.complaint == BEGAN[0].sentence
    assert state.case.title == BEGAN[0].sentence[:70]
    assert state.undoable == 0


def test_a_check_that_was_done_or_could_not_be_done_is_not_asked_again(base: Rulebase) -> None:
    done = Answered("seal-the-joint", "left", "It moves.", (report("joint-sealing-changes-idle", "left"),))
    state = folded(base, done, Skipped("watch-the-idle", None, "can't"))
    assert state.case.not_again == (("seal-the-joint", "left"), ("watch-the-idle", None))
    assert [one.sign for one in state.case.seen] == ["joint-sealing-changes-idle"]


def test_a_repair_opens_the_checks_again_and_closes_the_covers(base: Rulebase) -> None:
    """What was found before it says nothing of the bike after it, and nobody rides with the covers off."""
    covered = next(check for check in base.checks.values() if check.opens and not check.sided)
    found: list[Event] = [Answered(covered.id, None, "", ()), Skipped("watch-the-idle", None, "can't")]
    before = folded(base, *found)
    assert before.case.not_again
    assert before.case.opened
    after = folded(base, *found, LEAK)
    assert (after.case.not_again, after.case.opened) == ((), ())
    assert after.case.put_right == (("intake-joint-leak", "left"),)


def test_a_repair_keeps_what_the_fault_does_not_show(base: Rulebase) -> None:
    joint, other_sign = base.causes["intake-joint-leak"], "fuel-drips"
    shown = {(link.sign, side_at(link.bearing, "left")) for link in joint.links if not base.signs[link.sign].past}
    assert other_sign not in {sign for sign, _ in shown}
    seen = tuple(report(sign, side) for sign, side in sorted(shown, key=str)[:5])
    state = folded(base, Told((*seen, report(other_sign, "left"))), RuledOut("plug-dead", "left"), LEAK)
    assert [(one.sign, one.side) for one in state.case.seen] == [(other_sign, "left")]
    assert state.case.ruled_out == (("plug-dead", "left"),)


def test_a_repair_on_one_side_leaves_what_was_seen_on_the_other(base: Rulebase) -> None:
    wetted = [report("joint-wetting-moves-idle", side, seen=side == "left") for side in BOTH]
    state = folded(base, Told(tuple(wetted)), LEAK)
    assert [(one.sign, one.side) for one in state.case.seen] == [("joint-wetting-moves-idle", "right")]


@pytest.mark.parametrize("side", BOTH)
def test_a_repair_opens_again_what_said_its_sign_in_other_words(base: Rulebase, side: Side) -> None:
    """With the dead right plug replaced it is open whether only the left cylinder works."""
    told = Told((report("only-side-works", side), report("fumes-felt", None, seen=False)))
    after = folded(base, told, PutRight("plug-dead", other(side)))
    assert [one.sign for one in after.case.seen] == ["fumes-felt"]
    assert len(folded(base, told, PutRight("plug-dead", side)).case.seen) == 2


def test_a_later_report_of_a_sign_replaces_the_earlier_one_of_its_side(base: Rulebase) -> None:
    state = folded(
        base,
        Told((report("plug-black", "left"), report("plug-black", "right"))),
        Told((report("plug-black", "left", seen=False),)),
    )
    assert [(one.side, one.seen) for one in state.case.seen] == [("right", True), ("left", False)]


def test_undo_takes_back_answers_but_not_who_is_there_or_which_bike_it_is(base: Rulebase) -> None:
    checks = [one.id for one in base.checks.values() if not one.sided][:4]
    skips = [Skipped(name, None, "can't") for name in checks]
    events: list[Event] = [skips[0], AtHand(RIDER), skips[1], skips[2], OfBike(Bike(name="ten")), Undone(2)]
    state = folded(base, *events)
    assert state.counting == (*BEGAN, skips[0], AtHand(RIDER), OfBike(Bike(name="ten")))
    assert (state.case.means, state.case.bike.name, state.undoable) == (RIDER, "ten", 1)
    assert folded(base, *events, skips[3]).case.not_again == ((checks[0], None), (checks[3], None))


def test_what_no_page_knows_any_more_is_kept_but_says_nothing_of_checks(base: Rulebase) -> None:
    state = folded(base, Answered("a check of last year", None, "It holds.", (report("idle-hangs"),)))
    assert (state.case.not_again, state.case.opened) == ((), ())
    assert [one.sign for one in state.case.seen] == ["idle-hangs"]
    assert state.undoable == 1


def test_how_much_more_one_side_has_replaces_the_readings_of_both(base: Rulebase) -> None:
    left, right = figure("column-idle", "left", 30.0, base), figure("column-idle", "right", 27.0, base)
    lead = replace(left, over_other=True)
    assert folded(base, Read((left, right))).case.measured == (left, right)
    assert folded(base, Read((left, right)), Read((lead,))).case.measured == (lead,)
    assert folded(base, Read((lead,)), Read((right,))).case.measured == (right,)
    assert folded(base, Read((left,)), Read((right,))).case.measured == (left, right)


def test_what_the_rule_base_does_not_have_any_more_is_left_out(advisor: Advisor) -> None:
    base = advisor.base
    kept = report("idle-hangs", how="told")
    gone = report("no-such-sign", "left")
    reading = figure("idle-speed", None, 1000.0, base)
    state = fold(
        [
            Began("bench", "it hangs"),
            Told((kept, gone)),
            Answered("no-such-check", None, "yes", (gone,)),
            Skipped("no-such-check", None, "can't"),
            Read((reading, replace(reading, reading="no-such-reading"))),
            RuledOut("no-such-cause", None),
            PutRight("no-such-cause", "left"),
        ],
        base,
    )
    assert state.case.seen == (kept,)
    assert state.case.measured == (reading,)
    assert not (state.case.not_again)
    assert not (state.case.ruled_out)
    assert not state.case.put_right
    refuse_invalid(state.case, base)
    assert advisor.diagnose(state.case).causes
