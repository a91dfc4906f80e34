"""The next question: a repair is proven or the search goes on, and a rider is asked what a rider can tell."""

import random

import pytest
from msgspec.structs import replace

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.report import CautionShown, Report
from advisor.session.events import ALL_HOLDS, Answered, Event, PutRight, Read, RuledOut, Skipped, Told
from advisor.session.handover import hand_over
from advisor.session.next_question import (
    CARRIED,
    CHECK,
    DONE,
    ENOUGH,
    FIXED,
    HAND_OVER,
    HOLDS,
    IN_VAIN,
    LOST,
    REPAIR,
    SOUND,
    Question,
    dangers,
    next_question,
    options,
)
from advisor.session.session import Session
from advisor.session.state import fold
from advisor.session.typed_line import understand
from tests.session.sessions import RIDER, Says, repaired, session


def test_a_repair_that_holds_ends_it(advisor: Advisor) -> None:
    at = repaired(advisor)
    assert (at.question.name, at.question.side) == ("intake-joint-leak", "left")
    at.answer("1")
    assert at.question.kind == HOLDS
    assert len(at.question.options) > 1
    at.answer("1")
    assert at.question.kind == DONE
    last = at.state.counting[-1]
    assert isinstance(last, Answered)
    assert last.says == ALL_HOLDS


def test_a_defect_present_but_not_the_cause_does_not_end_the_search(advisor: Advisor) -> None:
    at = repaired(advisor)
    at.answer("1")
    assert isinstance(at.state.counting[-1], PutRight)
    still = next(n for n, one in enumerate(at.question.options, start=1) if "Revs hang" in one.says)
    at.answer(str(still))
    assert at.question.kind in {CHECK, REPAIR}
    found = next(one for one in at.report.causes if (one.id, one.side) == ("intake-joint-leak", "left"))
    assert found.probability == 0.0
    assert at.report.causes[0].probability > 0


def test_what_was_found_sound_is_ruled_out_and_its_evidence_stays(advisor: Advisor) -> None:
    at = repaired(advisor)
    at.answer("2")
    assert isinstance(at.state.counting[-1], RuledOut)
    assert any(one.sign == "spit-back" for one in at.state.case.seen)
    found = next(one for one in at.report.causes if (one.id, one.side) == ("intake-joint-leak", "left"))
    assert found.probability == 0.0


def test_a_rider_is_asked_only_what_a_rider_can_do(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", kind="phone", means=RIDER)
    choose = random.Random(4)
    for _ in range(15):
        if at.question.kind != CHECK:
            break
        check = advisor.base.checks[at.question.name]
        assert check.who == "rider"
        assert not check.tools
        at.answer(str(choose.randint(1, len(at.question.options))))
    sheet = hand_over(at)
    assert sheet.found
    assert sheet.likely


def test_after_a_repair_each_sign_is_asked_for_on_its_own_side_and_what_was_complained_of_too(advisor: Advisor) -> None:
    """A leak on the left lowers the left column: what must be gone is more depression on the right, if it was read."""
    at = session(advisor)
    how = advisor.base.words.opening
    at.journal.add(Told((SignReport(sign="pops", side=None, seen=True, how=how),)))
    columns = spoken("column-idle", "left 205 mmHg right 240 mmHg", advisor.base)
    at.journal.add(Read(tuple(columns)))
    at.journal.add(PutRight("intake-joint-leak", "left"))
    asked = Session(advisor, at.journal).question
    assert asked.kind == HOLDS
    gone = {(report.sign, report.side) for report in asked.options[0].reports}
    assert gone == {("column-higher-idle", "right"), ("pops", None)}  # nothing that nobody reported
    assert sum(one.event is None for one in asked.options) == len(gone) + 1
    assert len({*asked.steps}) == len(asked.steps)
    assert "column-idle" in asked.takes
    assert any("left and right within 10 mmHg" in line for line in asked.steps)
    assert asked.steps[0] == next(one.set_again for one in advisor.base.areas if one.set_again)


def test_what_a_repair_does_not_explain_is_said_before_it_and_asked_for_after_it(advisor: Advisor) -> None:
    at = session(advisor)
    at.journal.add(
        Answered("feel-which-side-works", None, "", (SignReport(sign="side-dead", side="left", seen=True, how="seen"),))
    )
    at.journal.add(PutRight("throttle-spindle-worn", "right"))
    asked = Session(advisor, at.journal).question
    assert ("side-dead", "left") in {(report.sign, report.side) for report in asked.options[0].reports}


def test_a_call_about_a_bike_that_must_not_be_ridden_ends_soon(advisor: Advisor) -> None:
    at = session(advisor, kind="phone", means=RIDER)
    at.journal.add(Told((SignReport(sign="changes-with-bars", side=None, seen=True, how="told"),)))
    at, asked = Session(advisor, at.journal), 0
    while at.question.kind == CHECK:
        at.answer("not known")
        asked += 1
    assert at.question.kind == HAND_OVER
    assert 0 < asked <= ENOUGH
    at.answer("undo")
    assert at.question.kind == CHECK


def test_a_call_about_fuel_that_drips_ends_at_once_and_a_smell_is_looked_at_first(advisor: Advisor) -> None:
    """Nothing is worth asking of a bike that must not be started; common practice, no source."""
    at = session(advisor, kind="phone", means=RIDER)
    at.told([one for one in at.hearing.understood("fuel drips from the left carburettor") if one.sign == "fuel-drips"])
    assert at.question.kind == HAND_OVER
    at = session(advisor, kind="phone", means=RIDER)
    at.told([one for one in at.hearing.understood("it smells of fuel") if one.sign == "fuel-smell"])
    assert at.question.name == "sniff-for-fuel"
    at.answer("1")  # it drips
    assert at.question.kind == HAND_OVER


def test_who_tells_of_a_fire_is_asked_nothing(advisor: Advisor) -> None:
    at = session(advisor, kind="phone", means=RIDER)
    at.told([one for one in at.hearing.understood("it is on fire") if one.sign == "on-fire"])
    assert at.question.kind == HAND_OVER
    assert not at.question.options
    assert "Nothing" not in at.question.steps[0]
    assert any("fire" in one.says for one in at.report.cautions)


def test_a_rider_is_asked_on_where_he_can_still_tell_something(advisor: Advisor) -> None:
    at = session(advisor, "fuel-smell", "one-side-weak", kind="phone", means=RIDER)
    at.journal.add(Told((SignReport(sign="header-cold", side="left", seen=True, how="told"),)))
    at.journal.add(Told((SignReport(sign="began-suddenly", side=None, seen=True, how="told"),)))
    at = Session(advisor, at.journal)
    for _ in range(12):
        if at.question.kind != CHECK:
            break
        assert advisor.base.checks[at.question.name].who == advisor.base.persons[0]
        at.answer("not known")
    assert at.report.advice.kind != "put right" or at.question.kind in {CHECK, HAND_OVER}


@pytest.mark.slow
@pytest.mark.wide
@pytest.mark.parametrize("signs", [("idle-hangs",), ("idle-bad", "one-side-weak", "hard-start-cold", "began-suddenly")])
def test_what_stands_beside_an_answer_comes_true(advisor: Advisor, signs: tuple[str, ...]) -> None:
    """The probability beside an answer is that which leads once it is given, unless rules then say more or less."""
    at, seen = session(advisor, *signs), 0
    for _ in range(6):
        if at.question.kind != CHECK:
            break
        before = advisor.chained(at.state.case)
        for number, option in enumerate(at.question.options, start=1):
            event = understand(str(number), at.question, at.state, advisor.base)
            assert isinstance(event, Answered)
            after = advisor.chained(fold([*at.journal.events, event], advisor.base).case)
            told = {(one.sign, one.side) for one in event.reports} | {(one.sign, one.side) for one in before.evidence}
            more = len(after.evidence) - len(told)
            if option.leads and not more and (after.off, len(after.set_aside)) == (before.off, len(before.set_aside)):
                would_be = at.what_if(str(number))
                assert max(chance for _, chance in would_be) == pytest.approx(option.chance, abs=0.01)
                seen += 1
        at.answer(str(len(at.question.options)))  # the last answer is the sound one: no repair cuts it short
    assert seen > 3


@pytest.mark.wide
def test_what_was_answered_is_not_asked_again(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", "idle-hunts")
    asked = set()
    for _ in range(12):
        if at.question.kind != CHECK:
            break
        assert (at.question.name, at.question.side) not in asked
        asked.add((at.question.name, at.question.side))
        at.answer("not known")


def test_a_rider_is_only_asked_for_a_repair_that_his_hand_can_do(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", kind="phone", means=RIDER)
    for _ in range(40):
        if not at.question.options:
            break
        at.answer("1")
        assert at.question.kind != REPAIR or advisor.base.causes[at.question.name].say
    assert at.question.kind in {HAND_OVER, LOST, DONE}


def asked(at: Session, report: Report, *more: Event) -> Question:
    """Return what a session would ask, were this the report of its case, after these further events."""
    state = fold([*at.journal.events, *more], at.base)
    return next_question(state, Says(at.advisor, report))[0]


def telling(report: Report, *bits: float) -> Report:
    """Return the report with next checks that tell so much, in bits."""
    checks = zip(report.next_checks, bits, strict=False)
    return replace(report, next_checks=tuple(replace(check, gain_bits=much) for check, much in checks))


@pytest.fixture(scope="module")
def call(advisor: Advisor) -> Session:
    return session(advisor, "idle-bad", kind="phone", means=RIDER)


def test_a_rider_is_asked_while_any_answer_tells_something(call: Session, advisor: Advisor) -> None:
    assert call.report.advice.kind == "check"
    assert asked(call, telling(call.report, 0.0149, 0.0151)).kind == CHECK
    over = asked(call, telling(call.report, *[0.0149] * 5))
    assert over.kind == HAND_OVER
    assert over.steps == ("Nothing that a rider can do tells apart what is left.",)
    bench = session(advisor, "idle-bad")
    assert asked(bench, telling(bench.report, 1e-6, 1e-6)).kind == CHECK  # in a workshop it is looked at all the same


def likely(report: Report, *, proven: bool) -> Report:
    """Return the report with its first cause to be put right, and nothing left to prove it."""
    first = report.causes[0]
    advice = replace(
        report.advice, kind="put right", says=first.title, cause=first.id, side=first.side, proven=proven, proof=None
    )
    return replace(report, advice=advice)


def test_in_place_of_a_repair_a_rider_is_asked_what_tells_enough(call: Session) -> None:
    report = likely(call.report, proven=False)
    found = asked(call, telling(report, 0.049, 0.051, 1.0))
    assert (found.kind, found.name) == (CHECK, report.next_checks[1].id)
    over = asked(call, telling(report, *[0.049] * 5))
    assert (over.kind, over.steps) == (HAND_OVER, ("That is not a repair for a rider.",))
    assert report.causes[0].title in over.title


def test_what_was_found_needs_no_more_questions(call: Session) -> None:
    proven = likely(call.report, proven=True)
    sure = tuple(replace(one, probability=0.6) for one in proven.causes)
    assert asked(call, telling(replace(proven, causes=sure), 1.0)).kind == HAND_OVER
    carried = replace(likely(call.report, proven=False), forbidden=("cranking",))
    assert asked(call, telling(carried, 1.0)).steps == (CARRIED,)


def test_a_bike_that_must_not_be_ridden_is_asked_about_so_often_and_no_oftener(call: Session) -> None:
    report = replace(telling(call.report, 1.0), forbidden=("riding",))
    skipped = [Skipped(f"check-{number}", None, "can't") for number in range(ENOUGH)]
    answered = Answered("watch-the-idle", None, "It stalls.", ())
    assert asked(call, report, *skipped[1:]).kind == CHECK
    assert asked(call, report, *skipped).kind == HAND_OVER
    assert asked(call, report, *skipped[1:], answered).kind == HAND_OVER
    assert asked(call, replace(report, forbidden=()), *skipped).kind == CHECK


def test_a_bike_that_must_not_be_started_is_carried(call: Session) -> None:
    report = replace(telling(call.report, 1.0), forbidden=("cranking",))
    found = asked(call, report)
    assert (found.kind, found.steps) == (HAND_OVER, (CARRIED,))


def test_where_nothing_fits_and_it_must_not_be_ridden_the_danger_comes_first(call: Session) -> None:
    nothing = replace(call.report.advice, kind=LOST, says="none of them")
    lost = asked(call, replace(call.report, advice=nothing))
    assert (lost.title, lost.steps) == ("Nothing here explains it", ("none of them",))
    first = asked(call, replace(call.report, advice=nothing, forbidden=("riding",)))
    assert (first.kind, first.title) == (LOST, "First do what stands above")


def test_what_a_caution_of_the_question_says_is_no_danger_besides(call: Session) -> None:
    cautions = tuple(
        CautionShown(id=says, says=says, because="", of_the_case=of_the_case)
        for says, of_the_case in (("hot", True), ("fuel", True), ("gloves", False))
    )
    question = replace(call.question, cautions=("fuel",))
    assert dangers(question, replace(call.report, cautions=cautions)) == ("hot",)


def test_a_repair_says_what_it_would_leave_but_not_how_it_began(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    report = likely(at.report, proven=True)
    past = next(sign.title for sign in advisor.base.signs.values() if sign.past)
    left = ("one", past, "two", "three", "four", "five")
    causes = (replace(report.causes[0], unexplained=left), *report.causes[1:])
    found = asked(at, replace(report, causes=causes))
    assert found.kind == REPAIR
    assert found.steps[1:] == ("It does not explain: one; two; three; four. Look for that afterwards.",)
    assert [one.says for one in found.options] == [FIXED, SOUND, IN_VAIN]
    assert asked(at, report).because == "it was found"


def test_a_question_says_what_it_decides_between(call: Session) -> None:
    first = call.report.next_checks[0]
    one, other = first.outcomes[0], replace(first.outcomes[0], leads_title="Another fault")
    both = asked(call, replace(call.report, next_checks=(replace(first, outcomes=(one, other, one)),)))
    assert both.because == f"it decides between: {one.leads_title}; Another fault"
    same = asked(call, replace(call.report, next_checks=(replace(first, outcomes=(one, one)),)))
    assert same.because.endswith(call.report.causes[0].title)


def test_figures_that_leave_several_answers_leave_the_rest_to_be_asked(advisor: Advisor) -> None:
    """How much air is lost leaves open where it goes: that decides between rings, a valve and the head joint."""
    at = session(advisor, "one-side-weak")
    taken = tuple(spoken("leak-down", "left 40 %", advisor.base))
    at.journal.add(Read(taken, "hear-where-it-leaks", "left"))
    at = Session(advisor, at.journal)
    asked = at.question
    assert (asked.name, asked.side, asked.minutes) == ("hear-where-it-leaks", "left", 0)
    every = options(advisor.base.checks[asked.name], "left", None, advisor.base)
    assert 1 < len(asked.options) < len(every)
    lost = ("leak-down-high", "left", True)
    assert all(lost in {(one.sign, one.side, one.seen) for one in option.reports} for option in asked.options)
    at.answer("1")
    assert at.state.counting[-1] == Answered(asked.name, "left", asked.options[0].says, asked.options[0].reports)
    assert at.question.name != asked.name


def test_a_rider_mends_at_hand_what_alone_forbids_the_start_and_nothing_else(advisor: Advisor) -> None:
    def call(*more: Event) -> Question:
        out = Told((SignReport(sign="cable-sheath-unseated", side="left", seen=True, how="seen"),))
        at = session(advisor, "idle-too-high", kind="phone", means=RIDER)
        for one in (out, *more):
            at.journal.add(one)
        return Session(advisor, at.journal).question

    assert (call().kind, call().name, call().side) == (REPAIR, "sheath-out-of-socket", "left")
    other = Told((SignReport(sign="cable-sheath-unseated", side="right", seen=True, how="seen"),))
    leak = Told((SignReport(sign="fuel-leaks", side=None, seen=True, how="seen"),))
    assert {call(more).kind for more in (other, leak)} == {HAND_OVER}
