"""A session: each answer works everything out anew, undo takes it back, a repair is proven or the search goes on."""

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Case, Means, SignReport
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.intake.casefile import parse_case, read_case
from advisor.intake.caseout import case_text
from advisor.places import shipped
from advisor.session.events import Answered, PutRight, Read, RuledOut, Skipped, Told
from advisor.session.handover import hand_over
from advisor.session.next_question import ALL_HOLDS, CHECK, DONE, HAND_OVER, HOLDS, LOST, REPAIR
from advisor.session.session import Session
from advisor.session.state import fold, put_right
from advisor.session.store import Journal, Store
from advisor.session.typed_line import Wish, understand
from advisor.yaml_nodes import read_text
from tests.cases import random_cases

WORKSHOP = Means(person="workshop", tools=None, engine="")


def session(
    advisor: Advisor, *signs: str, kind: str = "bench", means: Means = WORKSHOP, journal: Journal | None = None
) -> Session:
    found = Session(advisor, journal or Journal(None))
    found.begin(kind, "it will not settle", means)
    found.journal.add(Told(tuple(SignReport(sign=one, side=None, seen=True, how="told") for one in signs)))
    return Session(advisor, found.journal)


def test_a_sentence_offers_what_it_may_mean(advisor: Advisor) -> None:
    found = [one.sign for one in session(advisor).understood("won't idle evenly since I did the valves")]
    assert {"idle-bad", "began-after-work"} <= set(found)
    assert {one.side for one in session(advisor).understood("the left cylinder is dead")} <= {"left", None}
    assert session(advisor).understood("xyzzy") == []


def test_a_repair_asks_anew_what_was_felt_but_not_how_it_began(advisor: Advisor) -> None:
    told = session(advisor, "runs-badly", "hard-to-start", "began-after-standing").state.case
    after = put_right(told, "fuel-stale-or-wrong", None, advisor.base)
    assert [one.sign for one in after.seen if one.seen] == ["began-after-standing"]


def test_each_answer_is_an_event_and_undo_takes_any_number_back(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    questions = [at.question]
    for line in ("not known", "not known", "can't", "idle-speed 1300 rpm", "can't"):
        at.answer(line)
        questions.append(at.question)
    assert [type(one) for one in at.state.counting[-4:-1]] == [Skipped, Skipped, Read]
    for asked in reversed(questions[:-1]):
        at.answer("undo")
        assert at.question == asked
    again = session(advisor, "idle-hangs")
    for line in ("not known", "not known", "can't", "idle-speed 1300 rpm", "can't"):
        again.answer(line)
    again.answer("undo 5")
    assert again.question == questions[0]
    assert again.report == at.report


def test_what_was_answered_is_not_asked_again(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", "idle-hunts")
    asked = set()
    for _ in range(12):
        if at.question.kind != CHECK:
            break
        assert (at.question.name, at.question.side) not in asked
        asked.add((at.question.name, at.question.side))
        at.answer("not known")


def test_wishes_change_nothing(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    events = list(at.journal.events)
    for line in ("where", "why", "why not gauge-at-fault", "what if 1", "help", "save x", "also pops", "stop"):
        assert isinstance(at.answer(line), Wish)
    assert at.what_if("1").causes
    assert at.journal.events == events


@pytest.mark.parametrize(
    "line",
    [
        *("99", "0", "1 2", "blah", "idle-speed 1300 kg", "undo 50", "left 3 bar", "what if", "already done: 77"),
        *("yes", "can't hear the left one at all", "cannot say which side it was"),
    ],
)
def test_what_means_nothing_is_said_and_nothing_is_lost(advisor: Advisor, line: str) -> None:
    at = session(advisor, "idle-hangs")
    before = list(at.journal.events), at.question
    with pytest.raises(AdvisorError):
        at.answer(line)
    assert (at.journal.events, at.question) == before


@settings(max_examples=25, deadline=None)
@given(line=st.text(max_size=40))
def test_no_line_breaks_it(advisor: Advisor, line: str) -> None:
    at = session(advisor, "idle-hangs")
    try:
        at.answer(line)
    except AdvisorError:
        assert len(at.journal.events) == 3


@pytest.mark.parametrize(
    ("line", "why"),
    [("dunno", "not known"), ("Not sure.", "not known"), ("skip", "not known"), ("can't do that", "can't")],
)
def test_who_cannot_tell_says_so_in_his_own_words(advisor: Advisor, line: str, why: str) -> None:
    at = session(advisor, "idle-hangs")
    at.answer(line)
    last = at.state.counting[-1]
    assert isinstance(last, Skipped)
    assert last.why == why


def test_all_can_be_taken_back_at_once(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    at.answer("1")
    at.answer("undo all")
    assert at.state.undoable == 0
    with pytest.raises(AdvisorError):
        at.answer("back")


def test_a_slip_in_a_command_is_taken_for_that_command(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    for line, meant in (("hand ovr", "hand over"), ("what if", "what if 2"), ("idle-sped 1000 rpm", "idle-speed")):
        with pytest.raises(AdvisorError, match=meant):
            at.answer(line)


def test_already_done_takes_an_answer_or_a_reading(advisor: Advisor) -> None:
    one, two = session(advisor, "idle-hangs"), session(advisor, "idle-hangs")
    one.answer("1")
    two.answer("already done: 1")
    assert one.report == two.report
    two.answer("already done: idle-speed 1300 rpm")
    assert two.state.case.measured[0].reading == "idle-speed"


def _settle(at: Session, side: str) -> None:
    """Tell what settles a cause."""
    at.journal.add(
        Told(
            (
                SignReport(sign="joint-wetting-moves-idle", side=side, seen=True, how="seen"),  # type: ignore[arg-type]
                SignReport(sign="idle-hangs", side=None, seen=True, how="seen"),
                SignReport(sign="spit-back", side=None, seen=True, how="seen"),
            )
        )
    )


def repaired(advisor: Advisor) -> Session:
    at = session(advisor, "idle-hangs")
    _settle(at, "left")
    at = Session(advisor, at.journal)
    while at.question.kind == CHECK:
        at.answer("can't")
    assert at.question.kind == REPAIR
    return at


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


def test_what_was_set_around_a_fault_is_open_again(advisor: Advisor) -> None:
    case = read_case(shipped("cases_demo") / "mail-1-balance-wont-hold.yaml", advisor.base)
    after = put_right(case, "intake-joint-leak", "left", advisor.base)
    relies = {name for area in advisor.base.areas for name in area.relies}
    assert not relies & {one.reading for one in after.measured}
    assert not relies & {one.sign for one in after.seen}
    assert after.put_right == (("intake-joint-leak", "left"),)


def test_resumed_it_asks_the_same(advisor: Advisor, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    number = store.begin()
    at = session(advisor, "idle-hangs", journal=Journal(store, number))
    at.answer("not known")
    at.answer("idle-speed 1300 rpm")
    again = Session(advisor, Journal(store, number, Store(tmp_path / "s.sqlite").events(number)))
    assert again.question == at.question
    assert again.report == at.report


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_a_case_written_out_reads_back_to_the_same_report(advisor: Advisor, data: st.DataObject) -> None:
    told: Case = data.draw(random_cases(advisor.base))
    told = replace(told, title="written", complaint="it will not settle", not_again=(("wet-the-joint", "left"),))
    problems: list[object] = []
    root = read_text(case_text(told, advisor.base), "case.yaml", problems)  # type: ignore[arg-type]
    again = parse_case(root, advisor.base) if root else None
    assert not problems
    assert again is not None
    assert advisor.diagnose(again) == advisor.diagnose(told)


@pytest.mark.parametrize("path", sorted(shipped("cases_demo").glob("*.yaml")), ids=lambda path: path.stem)
def test_the_demo_cases_written_out_read_back(advisor: Advisor, path: Path, tmp_path: Path) -> None:
    case = read_case(path, advisor.base)
    out = tmp_path / "out.yaml"
    out.write_text(case_text(case, advisor.base), encoding="utf-8")
    assert advisor.diagnose(read_case(out, advisor.base)) == advisor.diagnose(case)


def test_a_rider_is_asked_only_what_a_rider_can_do(advisor: Advisor) -> None:
    rider = Means(person="rider", tools=frozenset(), engine="")
    at = session(advisor, "idle-hangs", kind="phone", means=rider)
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


def test_what_forbids_riding_is_on_the_sheet(advisor: Advisor) -> None:
    at = session(advisor, kind="phone")
    at.journal.add(Told((SignReport(sign="fuel-drips", side="left", seen=True, how="told"),)))
    at = Session(advisor, at.journal)
    assert not hand_over(at).may_ride
    assert hand_over(at).cautions


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


@pytest.mark.parametrize(
    ("words", "sign"),
    [
        ("petrol leak under the left carb", "fuel-drips"),
        ("fuel leak", "fuel-drips"),
        ("left carb leaks", "fuel-drips"),
        ("needs choke all the time", "enricher-helps"),
        ("the revs drop slowly", "idle-hangs"),
        ("won't start at all since I cleaned the carburettors", "wont-start"),
        ("wont start", "wont-start"),
        ("when I let go of the throttle the revs stay up", "throttle-stays-open"),
        ("the left side is dead", "side-dead"),
        ("weaker on the left", "one-side-weak"),
        ("it tingles at 80", "cruise-vibration"),
    ],
)
def test_what_is_dangerous_or_decisive_is_understood_in_a_riders_words(advisor: Advisor, words: str, sign: str) -> None:
    found = session(advisor).understood(words)
    assert sign in [one.sign for one in found]
    assert all(one.warns for one in found if one.sign in {"fuel-drips", "throttle-stays-open"})


def test_a_figure_without_a_side_is_of_the_side_that_is_asked(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    asked = replace(at.question, name="measure-the-slack", side="right", takes=("cable-slack",))
    event = understand("3 mm", asked, at.state, advisor.base)
    assert isinstance(event, Read)
    assert [(one.reading, one.side) for one in event.readings] == [("cable-slack", "right")]
    with pytest.raises(AdvisorError, match="is measured on a side"):
        understand("3 mm", replace(asked, side=None), at.state, advisor.base)


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


def test_after_a_repair_each_sign_is_asked_for_on_its_own_side_and_what_was_complained_of_too(advisor: Advisor) -> None:
    """A leak on the left lowers the left column: what must be gone is more depression on the right."""
    at = session(advisor)
    how = advisor.base.words.opening
    at.journal.add(Told((SignReport(sign="pops", side=None, seen=True, how=how),)))
    at.journal.add(PutRight("intake-joint-leak", "left"))
    asked = Session(advisor, at.journal).question
    assert asked.kind == HOLDS
    gone = {(report.sign, report.side) for report in asked.options[0].reports}
    assert ("column-higher-idle", "right") in gone
    assert ("column-higher-idle", "left") not in gone
    assert ("pops", None) in gone
    assert len(asked.options) == len(gone) + 1


def test_what_a_repair_does_not_explain_is_said_before_it_and_asked_for_after_it(advisor: Advisor) -> None:
    at = session(advisor)
    at.journal.add(
        Answered("feel-which-side-works", None, "", (SignReport(sign="side-dead", side="left", seen=True, how="seen"),))
    )
    at.journal.add(PutRight("throttle-spindle-worn", "right"))
    asked = Session(advisor, at.journal).question
    assert ("side-dead", "left") in {(report.sign, report.side) for report in asked.options[0].reports}


def test_the_main_troubles_can_be_chosen_from(advisor: Advisor) -> None:
    found = [one.sign for one in session(advisor).troubles()]
    assert found[0] == "idle-bad"
    assert {"cuts-out", "one-side-weak", "hard-to-start", "power-low"} <= set(found)
    assert not {"runs-badly", "began-after-work", "idle-lumpy"} & set(found)


def test_the_workshop_is_not_told_to_ask_again_what_the_rider_could_not_say(advisor: Advisor) -> None:
    rider = Means(person=advisor.base.persons[0], tools=frozenset(), engine="")
    at = session(advisor, "idle-bad", kind="phone", means=rider)
    skipped = set()
    for _ in range(8):
        if at.question.kind == CHECK and advisor.base.checks[at.question.name].how == "told":
            skipped.add(at.question.title)
        at.answer("not known")
    assert skipped
    assert not skipped & {one.title for one in hand_over(at).open}


def test_a_call_about_a_bike_that_must_not_be_ridden_ends_soon(advisor: Advisor) -> None:
    rider = Means(person=advisor.base.persons[0], tools=frozenset(), engine="")
    at = session(advisor, kind="phone", means=rider)
    at.journal.add(Told((SignReport(sign="changes-with-bars", side=None, seen=True, how="told"),)))
    at, asked = Session(advisor, at.journal), 0
    while at.question.kind == CHECK:
        at.answer("not known")
        asked += 1
    assert at.question.kind == HAND_OVER
    assert 0 < asked <= 5
    at.answer("undo")
    assert at.question.kind == CHECK


def test_a_call_about_fuel_that_drips_ends_at_once_and_a_smell_is_looked_at_first(advisor: Advisor) -> None:
    """Nothing is worth asking of a bike that must not be started; common practice, no source."""
    rider = Means(person=advisor.base.persons[0], tools=frozenset(), engine="")
    at = session(advisor, kind="phone", means=rider)
    at.told([one for one in at.understood("fuel drips from the left carburettor") if one.sign == "fuel-drips"])
    assert at.question.kind == HAND_OVER
    at = session(advisor, kind="phone", means=rider)
    at.told([one for one in at.understood("it smells of fuel") if one.sign == "fuel-smell"])
    assert at.question.name == "sniff-for-fuel"
    at.answer("1")  # it drips
    assert at.question.kind == HAND_OVER


def test_who_tells_of_a_fire_is_asked_nothing(advisor: Advisor) -> None:
    at = session(advisor, kind="phone", means=Means(person=advisor.base.persons[0], tools=frozenset(), engine=""))
    at.told([one for one in at.understood("it is on fire") if one.sign == "on-fire"])
    assert at.question.kind == LOST
    assert not at.question.options
    assert "above" in at.question.title
    assert "Nothing" not in at.question.steps[0]
    assert any("fire" in one.says for one in at.report.cautions)


def test_why_not_keeps_to_the_side_and_the_part_that_are_named(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    for words in ("right plug dead", "left plug fouled", "right diaphragm torn"):
        side, part, _ = words.split()
        found = at.cause(words)
        assert (found.side, part in found.title.lower()) == (side, True)
    assert "plug" in at.cause("right plug").title


def test_a_rider_is_asked_on_where_he_can_still_tell_something(advisor: Advisor) -> None:
    rider = Means(person=advisor.base.persons[0], tools=frozenset(), engine="")
    at = session(advisor, "fuel-smell", "one-side-weak", kind="phone", means=rider)
    at.journal.add(Told((SignReport(sign="header-cold", side="left", seen=True, how="told"),)))
    at.journal.add(Told((SignReport(sign="began-suddenly", side=None, seen=True, how="told"),)))
    at = Session(advisor, at.journal)
    for _ in range(12):
        if at.question.kind != CHECK:
            break
        assert advisor.base.checks[at.question.name].who == advisor.base.persons[0]
        at.answer("not known")
    assert at.report.advice.kind != "put right" or at.question.kind in {CHECK, HAND_OVER}


@pytest.mark.parametrize("signs", [("idle-hangs",), ("idle-bad", "one-side-weak", "hard-start-cold", "began-suddenly")])
def test_what_stands_beside_an_answer_comes_true(advisor: Advisor, signs: tuple[str, ...]) -> None:
    """The probability beside an answer is that which leads once it is given, unless rules then set links aside."""
    at, seen = session(advisor, *signs), 0
    for _ in range(6):
        if at.question.kind != CHECK:
            break
        before = advisor.chained(at.state.case)
        for number, option in enumerate(at.question.options, start=1):
            event = understand(str(number), at.question, at.state, advisor.base)
            assert isinstance(event, Answered)
            after = advisor.chained(fold([*at.journal.events, event], advisor.base).case)
            if option.leads and (after.off, len(after.set_aside)) == (before.off, len(before.set_aside)):
                would_be = at.what_if(str(number)).causes
                assert max(chance for _, chance in would_be) == pytest.approx(option.chance, abs=0.005)
                seen += 1
        at.answer(str(len(at.question.options)))  # the last answer is the sound one: no repair cuts it short
    assert seen > 3


def test_several_readings_on_one_line_and_one_that_could_be_either(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    at.answer("clearance-inlet right 0.15 mm, clearance-exhaust: right 0.05 mm left 0.2 mm")
    assert {(one.reading, one.side, one.values) for one in at.state.case.measured} == {
        ("clearance-inlet", "right", (0.15,)),
        ("clearance-exhaust", "right", (0.05,)),
        ("clearance-exhaust", "left", (0.2,)),
    }
    both = replace(at.question, takes=("clearance-inlet", "clearance-exhaust"))
    with pytest.raises(AdvisorError, match=r"which of clearance-inlet, clearance-exhaust\?"):
        understand("right 0.05 mm", both, at.state, advisor.base)
