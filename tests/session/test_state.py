"""Events fold to one case: a repair opens what it had shown, a later reading takes an earlier one's place."""

import random

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.intake.casefile import read_case
from advisor.places import shipped
from advisor.session.session import Session
from advisor.session.state import fold, put_right
from tests.session.sessions import session


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
