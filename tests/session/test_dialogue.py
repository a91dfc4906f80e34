"""A session as a dialogue: lines in, records out, carried on anywhere, from any thread, without a terminal."""

import json
import random
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.case import Bike, Case
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.intake.casefile import parse_case
from advisor.report import Report
from advisor.rulebase import Rulebase
from advisor.session import shown
from advisor.session.dialogue import Dialogue
from advisor.session.events import Answered, AtHand, Began, HandedOver, OfBike, Told, Undone
from advisor.session.hearing import Hearing
from advisor.session.next_question import CHECK, DONE, REPAIR
from advisor.session.notes import noted
from advisor.session.place import ForAnswer, ForNumbers, ForPerson, ForTool, ForTools, ForWords, Place
from advisor.session.shown import (
    AskNumbers,
    AskReplace,
    AskTool,
    AskToolRoll,
    AskTools,
    AskWho,
    AskWords,
    Begins,
    Cautions,
    Changed,
    Contradiction,
    Ended,
    Explained,
    FigureMeans,
    GoesOn,
    Help,
    KeptInWords,
    LeftAlone,
    Mistake,
    NotedDown,
    QuestionShown,
    ReadBack,
    ReadingsTaken,
    RecordShown,
    Remembered,
    SaveAs,
    SetRight,
    Sheet,
    Shown,
    Standing,
    TakenBack,
    ToldSoFar,
    ToolsListed,
    Trouble,
    Troubles,
    Understood,
    WhyAsked,
    WouldBe,
)
from advisor.session.store import Journal, Store
from advisor.session.talk import KEEP_IT
from advisor.session.typed_line import LONGEST
from advisor.session.who_is_there import HABIT
from advisor.yaml_nodes import MAX_BYTES, MOST_SAID, read_text

BLIP = "the revs hang after a blip"
TWO_DANGERS = "petrol drips from the left carb and the throttle is stuck wide open"
WORKSHOP = ("workshop",)  # who is there with what
LINES = (  # what anybody may type anywhere
    *("1", "2", "1 2", "1-3", "none", "", "  ", "not known", "can't", "undo", "undo 2", "undo all", "99", "0"),
    *("also it idles too slow", "also it smells of fuel", "also xyzzy", "also", "it idles badly", "xyzzy", "tools"),
    *("workshop", "rider", "all", "where", "why", "why not plug", "what if 1", "help", "hand over", "save a.yaml"),
    *("idle-speed 1300 rpm", "idle-speed 1300 kg", "already done: 1", "??", BLIP),
)

Begin = Callable[..., Dialogue]


@pytest.fixture(scope="module")
def hearing(base: Rulebase) -> Hearing:
    """Return what all dialogues here hear with: its index is made once."""
    return Hearing(base)


@pytest.fixture
def dialogue(advisor: Advisor, hearing: Hearing) -> Begin:
    """Return a function that makes a dialogue on a journal, in memory unless another one is given."""
    return lambda journal=None: Dialogue(advisor, journal or Journal(None), hearing=hearing)


def kinds(found: Iterable[object]) -> list[type]:
    return [type(one) for one in found]


def lines(at: Dialogue, *typed: str | None) -> list[Shown]:
    """Return what is shown after the last of these lines."""
    found: list[Shown] = []
    for line in typed:
        found = at.take(line)
    return found


def end(found: list[Shown]) -> str:
    """Return how a dialogue ended that shows nothing else."""
    (one,) = found
    assert isinstance(one, Ended)
    return one.how


def only(kind: type, found: Iterable[Shown]) -> Shown:
    (one,) = (one for one in found if isinstance(one, kind))
    return one


def opened(at: Dialogue, kind: str = "bench", sentence: str = BLIP, chosen: str = "1") -> list[Shown]:
    """Bring a dialogue to its first question; return what is shown with it."""
    at.begin(kind, sentence)
    return lines(at, *(WORKSHOP if kind == "bench" else ()), chosen)


def told(at: Dialogue) -> list[str]:
    """Return the signs that were told and not taken back."""
    return [one.sign for event in at.session.state.counting if isinstance(event, Told) for one in event.reports]


# The opening


def test_a_session_at_the_bike_opens_in_this_order(dialogue: Begin) -> None:
    at = dialogue()
    assert kinds(at.begin("bench")) == [AskWords]
    assert kinds(at.take(BLIP)) == [AskWho]
    assert kinds(at.take("workshop")) == [Remembered, Understood, AskNumbers]
    assert kinds(at.take("1")) == [ToldSoFar, QuestionShown]
    assert kinds(at.session.journal.events) == [Began, AtHand, Told]
    assert at.session.state.case.complaint == BLIP


def test_a_call_asks_for_the_tool_roll_when_a_check_needs_it_or_when_told_to(dialogue: Begin, base: Rulebase) -> None:
    at = dialogue()
    assert kinds(at.begin("phone", BLIP)) == [Understood, AskNumbers]
    means = at.session.state.case.means
    assert (means.person, means.tools) == (base.persons[0], frozenset(base.tool_roll))
    at.take("1")
    assert kinds(at.take("tools")) == [AskToolRoll]
    assert kinds(at.take("a spade")) == [Mistake]
    assert kinds(at.take("1")) == [QuestionShown]
    assert at.session.state.case.means.tools == frozenset(base.tool_roll[:1])


def test_who_rings_is_kept_at_any_time_and_stays_after_an_undo(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone", BLIP)
    assert kinds(at.take("name: Ada Moss")) == [NotedDown, AskNumbers]
    at.take("1")
    assert kinds(at.take("bike grey 900")) == [NotedDown]
    at.take("undo all")
    found = noted(at.session.state.counting)
    assert (found.name, found.bike) == ("Ada Moss", "grey 900")
    early = dialogue()
    early.begin("phone")
    assert kinds(early.take("name: Ada")) == [Mistake, AskWords]  # nothing has begun that could keep it
    bench = dialogue()
    bench.begin("bench", BLIP)
    assert NotedDown not in kinds(bench.take("name: Ada"))


def test_who_is_not_understood_may_choose_a_trouble(dialogue: Begin) -> None:
    at = dialogue()
    assert kinds(at.begin("phone", "xyzzy")) == [Mistake, Troubles, AskNumbers]
    assert kinds(at.take("1")) == [ToldSoFar, QuestionShown]
    assert told(at) == ["idle-bad"]


def test_who_tells_nothing_is_not_told_that_it_was_not_understood(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone")
    assert kinds(at.take("")) == [Troubles, AskNumbers]


def test_in_place_of_a_trouble_other_words_are_taken(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone", "xyzzy")
    assert kinds(at.take("it idles too fast")) == [Understood, AskNumbers]
    assert kinds(at.take("1")) == [ToldSoFar, QuestionShown]
    at = dialogue()
    at.begin("phone", "xyzzy")
    found = at.take("xyzzy")
    assert kinds(found) == [Mistake, QuestionShown]  # no second list: it goes on without


def test_where_none_of_it_is_so_the_troubles_are_offered(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone", "it idles badly")
    assert kinds(at.take("none of them")) == [Troubles, AskNumbers]
    assert kinds(at.take("")) == [QuestionShown]
    assert told(at) == []


def test_what_is_dangerous_stands_first_with_what_can_hurt(dialogue: Begin) -> None:
    found = dialogue().begin("phone", TWO_DANGERS)
    offered = only(Understood, found)
    assert isinstance(offered, Understood)
    warns = [one.warns for one in offered.signs]
    assert warns == sorted(warns, reverse=True)
    assert {"throttle-stays-open", "fuel-drips"} <= {one.sign for one in offered.signs if one.warns}
    assert any("stop switch" in one for one in offered.dangers)
    assert any("tap off" in one for one in offered.dangers)
    harmless = only(Understood, dialogue().begin("phone", BLIP))
    assert isinstance(harmless, Understood)
    assert harmless.dangers == ()


@pytest.mark.parametrize(
    ("line", "numbers"), [("2", [2]), ("1-2", [1, 2]), ("2, 1", [1, 2]), ("1 and 3", [1, 3]), ("all", [])]
)
def test_the_numbers_chosen_are_told(dialogue: Begin, line: str, numbers: list[int]) -> None:
    at = dialogue()
    offered = only(Troubles, at.begin("phone", "xyzzy"))
    assert isinstance(offered, Troubles)
    at.take(line)
    assert told(at) == [offered.signs[number - 1].sign for number in numbers or range(1, len(offered.signs) + 1)]


def test_other_words_in_place_of_numbers_are_offered_beside_the_first(dialogue: Begin) -> None:
    at = dialogue()
    first = only(Understood, at.begin("phone", "it idles badly"))
    assert kinds(at.take("xyzzy")) == [Mistake, Understood, AskNumbers]
    assert only(Understood, at.asked()) == first  # nothing better came: the list stays
    second = only(Understood, at.take(BLIP))
    assert isinstance(first, Understood)
    assert isinstance(second, Understood)
    assert second.signs[: len(first.signs)] == first.signs  # nothing that was understood is taken away
    at.take(str(len(second.signs)))
    assert told(at) == ["idle-hangs"]


@pytest.mark.parametrize(("line", "shown"), [("help", Help), ("?", Help), ("where", Standing), ("told", ToldSoFar)])
def test_looking_changes_nothing_while_numbers_are_asked(dialogue: Begin, line: str, shown: type) -> None:
    at = dialogue()
    at.begin("phone", "it idles badly")
    before = at.place
    assert kinds(at.take(line)) == [shown, Understood, AskNumbers]
    assert at.place == before


def test_who_is_there_is_remembered_and_asked_again_for_tools(dialogue: Begin, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    opened(dialogue(Journal(store, store.begin())))
    at = dialogue(Journal(store, store.begin()))
    assert kinds(at.begin("bench", BLIP)) == [Begins, Understood, AskNumbers]
    at.take("1")
    assert kinds(at.take("who")) == [AskWho]
    assert kinds(at.take("mech"))[0] is Remembered
    assert at.session.state.case.means.person == "mechanic"
    store.remember(HABIT, "nobody at all")  # a habit that cannot be read is asked for
    assert kinds(dialogue(Journal(store, store.begin())).begin("bench", BLIP)) == [Begins, AskWho]


def mechanic(dialogue: Begin, sentence: str = BLIP, journal: Journal | None = None) -> Dialogue:
    """Return a dialogue in which a mechanic has told what is wrong."""
    at = dialogue(journal)
    at.begin("bench", sentence)
    lines(at, "mechanic", "1")
    return at


def asked_for(at: Dialogue) -> str:
    """Skip what needs no tool; return the tool that is then asked for."""
    while not isinstance(at.place.asks, ForTool):
        at.take("not known")
    return at.place.asks.tool


def test_a_tool_is_asked_for_when_a_step_needs_it_and_remembered(dialogue: Begin, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    at = mechanic(dialogue, journal=Journal(store, store.begin()))
    tool, step = asked_for(at), at.session.question
    (asks,) = at.asked()
    assert asks == AskTool(tool=at.session.base.tools[tool].title, step=step.title)
    assert kinds(at.take("")) == [AskTool]
    assert kinds(at.take("7")) == [Mistake, AskTool]
    assert kinds(at.take("help")) == [Help, AskTool]
    at.take("yes")
    assert at.session.question == step  # worked out once, and planned as if it were there
    assert tool in (at.session.state.sure or ())
    others = [one for one in at.session.base.checks[step.name].tools if one != tool]
    assert isinstance(at.place.asks, ForTool if others else ForAnswer)
    again = mechanic(dialogue, journal=Journal(store, store.begin())) if not others else at
    assert tool in (again.session.state.sure or ())


def test_without_the_tool_something_else_comes_next(dialogue: Begin) -> None:
    at = mechanic(dialogue)
    tool, step = asked_for(at), at.session.question.name
    at.take("2")
    assert tool not in (at.session.state.case.means.tools or {tool})
    while at.session.question.kind == CHECK:  # it never comes back
        assert tool not in at.session.base.checks[at.session.question.name].tools
        assert at.session.question.name != step
        at.take("can't" if not isinstance(at.place.asks, ForTool) else "no")


def test_tools_are_listed_and_changed_in_words_and_numbers(dialogue: Begin) -> None:
    at = mechanic(dialogue)
    (listed, _) = at.take("tools")
    assert isinstance(listed, ToolsListed)
    assert {there for _, there in listed.tools} == {None}
    names = list(at.session.base.tools)
    at.take("strobe lamp, 2 3 and no meter")
    (listed, _) = at.take("tools")
    assert isinstance(listed, ToolsListed)
    known = {name: there for name, (_, there) in zip(names, listed.tools, strict=True) if there is not None}
    assert known == {"strobe": True, names[1]: True, names[2]: True, "meter": False}
    assert kinds(at.take("gauge")) == [Mistake, AskTools]
    assert kinds(at.take(""))[-1] in {QuestionShown, AskTool}


def test_a_bike_and_words_told_later_come_into_the_session(dialogue: Begin) -> None:
    at, bike = dialogue(), Bike(name="nine")
    at.begin("bench", bike=bike)
    lines(at, BLIP, *WORKSHOP, "1")
    assert at.session.state.case.bike == bike
    assert kinds(at.session.journal.events) == [Began, OfBike, AtHand, Told]


# Slips


def test_words_without_end_are_refused_where_they_are_typed(dialogue: Begin) -> None:
    """Else the session could be saved and not be read again."""
    assert LONGEST <= MOST_SAID
    for letter in ("a", "\U000e0001"):
        at = dialogue()
        at.begin("phone")
        assert kinds(at.take(letter * (LONGEST + 1))) == [Mistake, AskWords]
        assert at.session.journal.events == []
        at.take(letter * LONGEST)
        lines(at, "none")
        saved = only(SaveAs, at.take("save a.yaml"))
        assert isinstance(saved, SaveAs)
        assert LONGEST < len(saved.text.encode()) < MAX_BYTES
    at = dialogue()
    assert Mistake in kinds(at.begin("phone", "a" * (LONGEST + 1)))
    assert at.session.journal.events == []


@pytest.mark.parametrize(
    ("typed", "wrong", "again"),
    [
        ((BLIP,), "banana", [Mistake, AskWho]),
        ((BLIP,), "", [Mistake, AskWho]),
        ((BLIP, *WORKSHOP), "99", [Mistake, AskNumbers]),
        ((BLIP, *WORKSHOP), "why", [Mistake, AskNumbers]),
        ((BLIP, *WORKSHOP, "1"), "blah", [Mistake]),
        ((BLIP, *WORKSHOP, "1"), "99", [Mistake]),
        ((BLIP, *WORKSHOP, "1"), "why not xyzzyqqq", [Mistake]),
    ],
)
def test_a_slip_is_said_and_the_same_is_asked_again(
    dialogue: Begin, typed: tuple[str, ...], wrong: str, again: list[type]
) -> None:
    at = dialogue()
    at.begin("bench")
    lines(at, *typed)
    before = at.place, list(at.session.journal.events)
    assert kinds(at.take(wrong)) == again
    assert (at.place, at.session.journal.events) == before


def test_what_cannot_be_ranked_is_not_kept(dialogue: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    at = dialogue()
    at.begin("phone", BLIP)

    def refuses(_: Advisor, __: Case, **___: object) -> Report:
        msg = "too much hangs together"
        raise AdvisorError(msg)

    with monkeypatch.context() as patch:
        patch.setattr(type(at.session.advisor), "diagnose", refuses)
        assert at.take("1") == [Mistake(says="too much hangs together"), AskNumbers(most=1)]
        assert told(at) == []
    assert kinds(at.take("1")) == [ToldSoFar, QuestionShown]
    events = list(at.session.journal.events)
    with monkeypatch.context() as patch:
        patch.setattr(type(at.session.advisor), "diagnose", refuses)
        assert kinds(at.take("1")) == [Mistake]
    assert at.session.journal.events == events
    assert kinds(at.take("1")) == [ReadBack, QuestionShown]


# Answers


def test_an_answer_is_read_back_to_a_rider_and_a_reading_is_weighed_for_anybody(dialogue: Begin) -> None:
    at = dialogue()
    asked = only(QuestionShown, opened(at, "phone"))
    assert isinstance(asked, QuestionShown)
    assert at.take("1")[0] == ReadBack(says=f"So: {asked.question.options[0].says}")
    at = dialogue()
    opened(at)
    assert kinds(at.take("1")) == [QuestionShown]
    found = at.take("idle-speed 1300 rpm")
    assert kinds(found) == [FigureMeans, QuestionShown]
    assert isinstance(found[0], FigureMeans)
    assert found[0].found.given == "1300 rpm"
    assert found[0].found.aim == "900 to 1100 rpm"
    at = dialogue()
    opened(at, "phone")
    found = at.take("idle-speed 1300 rpm")
    assert kinds(found) == [ReadingsTaken, FigureMeans, QuestionShown]
    assert found[0] == ReadingsTaken(says=("measured: Idle speed: 1300 rpm",))


def test_undo_says_what_it_took_back_and_asks_that_again(dialogue: Begin) -> None:
    at = dialogue()
    first = only(QuestionShown, opened(at))
    lines(at, "not known", "can't")
    steps = at.session.steps_taken()
    found = at.take("undo 2")
    assert found[0] == TakenBack(steps=tuple(steps[1:]))
    again = only(QuestionShown, found)
    assert isinstance(first, QuestionShown)
    assert isinstance(again, QuestionShown)
    assert again.question == first.question


@pytest.mark.parametrize("undo", ["undo 2", "undo all"])
def test_undo_of_all_goes_back_into_what_was_understood(dialogue: Begin, undo: str) -> None:
    at = dialogue()
    opened(at)
    at.take("not known")
    assert kinds(at.take(undo)) == [TakenBack, Understood, AskNumbers]
    assert kinds(at.take("1")) == [ToldSoFar, QuestionShown]
    assert told(at) == ["idle-hangs"]
    assert kinds(at.take("undo")) == [TakenBack, Understood, AskNumbers]
    assert kinds(at.take("none")) == [QuestionShown]  # no troubles: he knows by now how to tell more
    assert kinds(at.take("undo")) == [Mistake]


def test_undo_where_the_words_said_nothing_goes_on_with_a_question(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone", "xyzzy")
    at.take("1")
    assert kinds(at.take("undo")) == [TakenBack, QuestionShown]


def test_what_contradicts_is_said_once(dialogue: Begin) -> None:
    at = dialogue()
    opened(at, sentence="it idles too fast")
    assert kinds(at.take("also it idles too slow")) == [Understood, AskNumbers]
    found = at.take("1")
    assert kinds(found) == [ToldSoFar, Contradiction, Changed, QuestionShown]
    assert found[1] == Contradiction(says=((1, "Idle too fast"), (2, "Idle too slow")), mends=("not 1", "not 2"))
    at.take("also it idles too slow")
    assert kinds(at.take("1")) == [ToldSoFar, QuestionShown]
    standing = only(Standing, at.take("where"))
    assert isinstance(standing, Standing)
    assert any(one.never for one in standing.conflicts)
    assert Contradiction not in kinds(at.take("not known"))


def test_more_can_be_told_at_any_question(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    assert kinds(at.take("also it smells of fuel")) == [Understood, AskNumbers]
    assert kinds(at.take("")) == [KeptInWords, QuestionShown]
    assert told(at) == ["idle-hangs"]
    at.take("also it smells of fuel")
    assert kinds(at.take("pops back through a carburettor")) == [Understood, AskNumbers]
    at.take("2")
    assert told(at) == ["idle-hangs", "spit-back"]


def test_words_that_mean_nothing_are_kept_as_they_were_said_and_weigh_nothing(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    question, causes = at.session.question, [one.probability for one in at.session.report.causes]
    assert at.take("also xyzzy") == [KeptInWords(number=2)]
    assert at.session.all_said()[1] == (2, 'own words: "xyzzy"')
    assert (at.session.question, [one.probability for one in at.session.report.causes]) == (question, causes)
    at.take("drop 2")
    assert [number for number, _ in at.session.all_said()] == [1]


def test_words_of_which_nothing_offered_is_so_are_kept_too(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    at.take("also it smells of fuel")
    at.take("none")
    assert ('own words: "it smells of fuel"' in [one for _, one in at.session.all_said()]) is True
    at.take("2: it pops back through a carburettor")  # said anew: what stands there is not lost
    at.take("none")
    assert [one for _, one in at.session.all_said()][1:] == ['own words: "it smells of fuel"']


def test_it_is_said_that_another_question_stands_in_the_place_of_an_open_one(dialogue: Begin) -> None:
    at = dialogue()
    opened(at, sentence="it idles too fast")
    before = at.session.question.title
    at.take("also it idles too slow")
    found = at.take("1")
    assert at.session.question.title != before
    assert only(Changed, found) == Changed(before=before, forbidden=False)
    assert Changed not in kinds(at.take("not known"))  # it was answered
    assert Changed not in kinds(at.take("undo"))


def test_it_is_said_that_an_open_question_must_not_be_tried_any_more(dialogue: Begin) -> None:
    at = dialogue()
    opened(at, sentence=BLIP)
    while not at.session.base.checks[at.session.question.name].involves:
        at.take("not known")
    before = at.session.question.title
    at.take("also petrol drips from the left carburettor")
    found = at.take("1")
    assert only(Changed, found) == Changed(before=before, forbidden=True)


def test_a_number_is_an_answer_only_where_its_list_is_the_last_on_the_screen(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    for lists in ("told", "where"):
        at.take(lists)
        before = list(at.session.journal.events)
        assert kinds(at.take("1")) == [Mistake]
        assert at.session.journal.events == before
        assert kinds(at.take("")) == [QuestionShown]
    at.take("1")
    assert isinstance(at.session.journal.events[-1], Answered)


def test_a_number_below_the_answers_of_an_earlier_check_takes_one_of_them(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    asked = at.session.question
    at.take("1")
    question = at.session.question
    at.take("2:")
    assert kinds(at.take("99")) == [Mistake]
    assert SetRight in kinds(at.take("2"))
    (answer,) = [one for one in at.session.state.counting if isinstance(one, Answered)]
    assert (answer.check, answer.says) == (asked.name, asked.options[1].says)
    at.take("2:")
    assert QuestionShown in kinds(at.take(""))
    at.take("2:")
    assert kinds(at.take("not known"))[-1] is QuestionShown  # anything else answers the question
    assert question.name


def seen(at: Dialogue) -> list[tuple[str, bool]]:
    """Return the signs of the case, each with whether it is there."""
    return [(one.sign, one.seen) for one in at.session.state.case.seen]


def test_what_was_told_is_listed_turned_round_and_forgotten_by_number(dialogue: Begin) -> None:
    at = dialogue()
    opened(at, sentence="the idle hangs")
    listed = only(ToldSoFar, at.take("told"))
    assert isinstance(listed, ToldSoFar)
    assert listed.listed
    assert listed.says == ((1, "Revs hang after a blip"),)
    assert at.take("not 1")[0] == SetRight(kind="bench", says=("not: Revs hang after a blip",))
    assert seen(at) == [("idle-hangs", False)]
    assert QuestionShown in kinds(at.take("drop 1"))
    assert not seen(at)
    assert kinds(at.take("drop 1")) == [Mistake]
    assert kinds(at.take("undo")) == [TakenBack, QuestionShown]
    assert seen(at) == [("idle-hangs", False)]


def test_what_is_denied_and_measured_is_told_as_such(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone", "the idle hangs, idles at 1300, but it starts fine; I think it is the coil")
    found = at.take("all")
    readback = only(ToldSoFar, found)
    assert isinstance(readback, ToldSoFar)
    says = [one for _, one in readback.says]
    assert "not: Hard to start" in says
    assert any(one.startswith("Idle speed: 1300 rpm") for one in says)
    assert {(one.sign, one.seen) for one in at.session.state.case.seen} == {
        ("idle-hangs", True),
        ("hard-to-start", False),
    }
    assert [one.values for one in at.session.state.case.measured] == [(1300.0,)]


def test_wishes_change_nothing_and_show_what_was_asked_for(dialogue: Begin, base: Rulebase) -> None:
    at = dialogue()
    opened(at)
    events = list(at.session.journal.events)
    for line, shows in (
        ("help", [Help]),
        ("where", [Standing]),
        ("why", [WhyAsked, Explained]),
        ("why not plug dead", [Explained]),
        ("what if 1", [WouldBe]),
        ("hand over", [Sheet]),
        ("save a case.yaml", [SaveAs]),
    ):
        assert kinds(at.take(line)) == shows
    assert at.session.journal.events == events
    saved = only(SaveAs, at.take("save a case.yaml"))
    assert isinstance(saved, SaveAs)
    assert saved.name == "a case.yaml"
    problems: list[object] = []
    root = read_text(saved.text, "case.yaml", problems)  # type: ignore[arg-type]
    read = parse_case(root, base) if root else None
    assert read is not None
    assert [(one.sign, one.seen) for one in read.seen] == [("idle-hangs", True)]


def test_a_file_that_is_there_is_replaced_only_when_asked(dialogue: Begin) -> None:
    """Whoever writes the file says that it is there; the dialogue asks, and touches no file."""
    for typed, shows in (("1", SaveAs), ("yes", SaveAs), ("2", LeftAlone), ("", LeftAlone), ("no", LeftAlone)):
        at = dialogue()
        opened(at)
        events = list(at.session.journal.events)
        first = only(SaveAs, at.take("save a case.yaml"))
        assert at.there_already("a case.yaml") == at.asked() == [AskReplace(name="a case.yaml")]
        assert msgspec.json.decode(msgspec.json.encode(at.place), type=Place) == at.place
        assert kinds(at.take("save b.yaml")) == [Mistake, AskReplace]
        (found,) = at.take(typed)
        assert isinstance(found, shows)
        if isinstance(found, SaveAs):
            assert isinstance(first, SaveAs)
            assert (found.name, found.text, found.replace, first.replace) == (first.name, first.text, True, False)
        assert at.place.asks == ForAnswer()
        assert at.session.journal.events == events
        assert kinds(at.asked()) == [QuestionShown]


@pytest.mark.parametrize("line", ["stop", None])
def test_a_file_that_is_there_is_left_where_the_session_ends(dialogue: Begin, line: str | None) -> None:
    at = dialogue()
    opened(at)
    at.there_already("a.yaml")
    assert kinds(at.take(line)) == [LeftAlone, Ended]
    assert at.over


# What is said once


def test_a_caution_is_told_in_full_once(dialogue: Begin) -> None:
    at = dialogue()
    seen: set[str] = set()
    found = opened(at, sentence="it smells of fuel")
    for line in ("1", "undo", "not known", "where", "2", "1"):
        for one in found:
            if isinstance(one, QuestionShown):
                told_now = [*one.dangers, *one.cautions]
                assert all(caution.again or caution.says not in seen for caution in told_now)
                assert one.more is any(caution.again and caution.says not in seen for caution in told_now)
                seen |= {caution.says for caution in told_now if one.cares and not caution.again}
        found = at.take(line)
    assert seen
    asked = only(QuestionShown, at.asked())
    assert isinstance(asked, QuestionShown)
    assert not any(one.again for one in asked.dangers)  # for whoever has not seen it


@pytest.mark.parametrize("line", ["", "again", "Once more"])
def test_the_question_is_shown_once_more_after_anything_else_and_cautions_in_full_for_the_asking(
    dialogue: Begin, line: str
) -> None:
    at = dialogue()
    first = only(QuestionShown, opened(at))
    assert isinstance(first, QuestionShown)
    full = {one.says for one in first.cautions if not one.again}
    for other in ("help", "where", "why", "told"):
        at.take(other)
        (found,) = at.take(line)
        assert isinstance(found, QuestionShown)
        assert found.question == first.question
        assert all(one.again for one in found.cautions if one.says in full)
    assert at.take("cautions") == [Cautions(says=tuple(one.says for one in first.cautions))]


def test_enter_turns_to_the_next_part_of_a_long_step_and_again_stays(dialogue: Begin) -> None:
    at = dialogue()
    opened(at, sentence="both carburettors are balanced but the drops are uneven", chosen="")
    question = at.session.question
    at.session._next = (msgspec.structs.replace(question, steps=question.steps * 30), at.session.report)
    parts = [one.part for _ in range(4) for one in at.take("") if isinstance(one, QuestionShown)]
    assert len(set(parts)) > 1
    (one,) = at.take("again")
    assert isinstance(one, QuestionShown)
    assert one.part == parts[-1]
    assert [each.part for each in at.take("") if isinstance(each, QuestionShown)] != [one.part]


def test_trouble_with_the_store_is_said_once_and_nothing_is_lost(dialogue: Begin, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    at = dialogue(Journal(store, store.begin()))
    opened(at)
    store.close()
    found = at.take("not known")
    assert kinds(found) == [Trouble, QuestionShown]
    assert kinds(at.take("can't")) == [QuestionShown]
    assert len(at.session.steps_taken()) == 3
    (ends,) = at.take("stop")
    assert isinstance(ends, Ended)
    assert (ends.how, ends.session, ends.lost) == (shown.KEPT_IN_PART, 1, 2)
    kept = Store(tmp_path / "s.sqlite").events(at.session.journal.session)
    assert kept == at.session.journal.events[:3]


def test_a_page_is_not_told_of_trouble_that_is_over(dialogue: Begin, advisor: Advisor, hearing: Hearing) -> None:
    at = dialogue(Journal(None, trouble="no disk"))
    opened(at, "phone")
    again = Dialogue(advisor, Journal(None, events=at.session.journal.events), at.place, hearing)
    assert kinds(again.take("not known")) == [QuestionShown]


def test_trouble_from_the_beginning_stands_first(dialogue: Begin) -> None:
    at = dialogue(Journal(None, trouble="no disk"))
    assert at.begin("phone", BLIP)[0] == Trouble(says="no disk", typed=KEEP_IT)
    assert Trouble not in kinds(at.take("1"))


# The sheet and the end


@pytest.mark.parametrize(
    ("typed", "due"),
    [
        (("stop",), False),  # nothing was told
        (("1", "stop"), True),
        (("1", None), True),
        (("1", "hand over", "stop"), False),  # the same sheet was shown
        (("1", "hand over", "where", "stop"), False),
        (("1", "hand over", "not known", "stop"), True),
        (("1", "hand over", "undo", "1", "stop"), True),
        (("1", "also it smells of fuel", "stop"), True),
        (("1", "hand over", "also it smells of fuel", "stop"), False),
        (("1", "undo", "stop"), False),  # all was taken back
        (("none", "none", "stop"), True),  # a question came up
    ],
)
def test_a_call_ends_with_a_sheet_that_was_not_shown(dialogue: Begin, typed: tuple[str | None, ...], due: bool) -> None:
    at = dialogue()
    at.begin("phone", BLIP)
    found = lines(at, *typed)
    assert kinds(found) == ([Sheet, Ended] if due else [Ended])
    assert at.over


def test_a_call_is_over_once_its_sheet_was_shown(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("phone", BLIP)
    lines(at, "1", None)
    assert kinds(at.session.journal.events)[-2:] == [Told, HandedOver]
    again = dialogue(at.session.journal)
    again.resume()
    assert again.session.question == at.session.question  # it says nothing of the bike
    assert kinds(again.take("undo")) == [TakenBack, Understood, AskNumbers]
    assert kinds(again.take("stop")) == [Ended]
    bench = dialogue()
    opened(bench)
    bench.take("stop")
    assert HandedOver not in kinds(bench.session.journal.events)


def test_no_sheet_is_due_at_the_bike(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    assert end(at.take("stop")) == shown.NOT_KEPT


PROMPTS = [(), (BLIP,), (BLIP, *WORKSHOP), (BLIP, *WORKSHOP, "1"), ("xyzzy", *WORKSHOP)]


@pytest.mark.parametrize("typed", PROMPTS, ids=len)
def test_where_the_lines_end_it_comes_to_its_end(dialogue: Begin, typed: tuple[str, ...], tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    at = dialogue(Journal(store, store.begin()))
    at.begin("bench")
    lines(at, *typed)
    assert end(at.take(None)) == (shown.KEPT if typed else shown.NOTHING_TOLD)
    assert at.over
    for line in ("1", None):
        assert at.take(line) == at.asked()
    assert store.events(at.session.journal.session) == at.session.journal.events


@pytest.mark.parametrize("typed", PROMPTS[1:], ids=len)
def test_broken_off_anywhere_it_is_kept_and_resumed_from_there(
    dialogue: Begin, typed: tuple[str, ...], tmp_path: Path
) -> None:
    store = Store(tmp_path / "s.sqlite")
    at = dialogue(Journal(store, store.begin()))
    at.begin("bench")
    lines(at, *typed)
    assert end([at.broken_off()]) == shown.KEPT
    number = at.session.journal.session
    again = dialogue(Journal(store, number, store.events(number)))
    found = again.resume()
    assert found[0] == GoesOn(session=number, complaint=typed[0])  # made by hand: its age is not known
    if len(typed) == 1:
        assert kinds(found[1:]) == [AskWho]
        found = lines(again, *WORKSHOP)
        assert kinds(found) == [Remembered, Understood, AskNumbers]
    elif typed == (BLIP, *WORKSHOP):
        assert kinds(found[1:]) == [Understood, AskNumbers]
    else:
        assert kinds(found[1:]) == [QuestionShown]


def test_broken_off_before_anything_was_told(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("bench")
    assert at.broken_off() == Ended(kind="", how=shown.NOTHING_TOLD)


def test_more_words_are_taken_as_a_session_goes_on(dialogue: Begin) -> None:
    at = dialogue()
    opened(at)
    again = dialogue(at.session.journal)
    assert kinds(again.resume("it smells of fuel", Bike(name="nine"))) == [GoesOn, Understood, AskNumbers]
    assert kinds(again.take("1")) == [QuestionShown]
    assert again.session.state.case.bike.name == "nine"
    assert kinds(dialogue(at.session.journal).resume("xyzzy")) == [GoesOn, Mistake, QuestionShown]


def test_what_was_missed_is_asked_one_after_the_other_as_it_goes_on(dialogue: Begin) -> None:
    at = dialogue()
    at.begin("bench", BLIP)
    again = dialogue(at.session.journal)
    assert kinds(again.resume("it smells of fuel")) == [GoesOn, AskWho]
    assert kinds(lines(again, *WORKSHOP)) == [Remembered, Understood, AskNumbers]
    assert kinds(again.take("1")) == [ToldSoFar, Understood, AskNumbers]
    assert kinds(again.take("1")) == [QuestionShown]
    assert told(again) == ["idle-hangs", "fuel-smell"]


def test_a_fault_put_right_ends_it_with_an_empty_line_or_the_word(dialogue: Begin) -> None:
    at = dialogue()
    found = opened(at)
    at.take("also pops back through a carburettor")
    found = at.take("1")
    for _ in range(60):
        asked = found[-1]
        if not isinstance(asked, QuestionShown) or asked.question.kind == REPAIR:
            break
        assert asked.question.kind == CHECK
        found = at.take("1")
    found = lines(at, "1", "1")
    asked = only(QuestionShown, found)
    assert isinstance(asked, QuestionShown)
    assert asked.question.kind == DONE
    again = dialogue(at.session.journal)
    assert again.resume()[1:] == at.asked()
    assert kinds(again.take("Nothing.")) == [RecordShown, Ended]
    record, over = at.take("")
    assert isinstance(record, RecordShown)
    assert len(record.found.found) == 1
    assert end([over]) == shown.FIXED


# Carried on elsewhere


def anew(at: Dialogue, store: Store, hearing: Hearing) -> Dialogue:
    """Return the dialogue as a page makes it for each request: from the store, and from its place as JSON."""
    number = at.session.journal.session
    place = msgspec.json.decode(msgspec.json.encode(at.place), type=Place)
    assert place == at.place
    return Dialogue(at.session.advisor, Journal(store, number, store.events(number)), place, hearing)


SCRIPTS = {
    "a session at the bike": (
        *("it idles too fast", "banana", "mech", "spanners", "1-9", "??", "1", "also it idles too slow", "xyzzy", "1"),
        *("not known", "where", "why", "who", "workshop", "undo all", "1", "idle-speed 900 rpm", "stop"),
    ),
    "a call": (TWO_DANGERS, "all", "1", "hand over", "undo", "smells of fuel", "1", "1", "what if 1", "undo all", None),
    "nothing is understood": ("xyzzy", "workshop", "none", "qwertz", "can't", "also it idles badly", "", "hand over"),
}


@pytest.mark.slow
@pytest.mark.wide
@pytest.mark.parametrize("name", SCRIPTS)
def test_a_page_that_makes_it_afresh_for_each_line_shows_the_same(
    dialogue: Begin, hearing: Hearing, name: str, tmp_path: Path
) -> None:
    kind = "phone" if name == "a call" else "bench"
    store = Store(tmp_path / "s.sqlite")
    stays, page = dialogue(), dialogue(Journal(store, store.begin()))
    assert [Begins(session=1, kind=kind), *stays.begin(kind)] == page.begin(kind)
    for line in SCRIPTS[name]:
        page = anew(page, store, hearing) if page.session.journal.events else page
        assert page.asked() == stays.asked()
        found = page.take(line)
        expected = stays.take(line)
        if found and isinstance(found[-1], Ended):  # the one was kept, the other in memory
            assert (end([found.pop()]), end([expected.pop()])) == (shown.KEPT, shown.NOT_KEPT)
        assert [timeless(one) for one in found] == [timeless(one) for one in expected]
        assert page.place == stays.place


def timeless(one: Shown) -> Shown:
    """Return a record without its times: the two sessions began at different ones."""
    if isinstance(one, Sheet):
        return Sheet(found=msgspec.structs.replace(one.found, call=0, began=None, minutes=None))
    return one


def test_it_can_be_carried_on_before_the_first_words(dialogue: Begin, advisor: Advisor, hearing: Hearing) -> None:
    at = dialogue()
    at.begin("phone", bike=Bike(name="nine"))
    place = msgspec.json.decode(msgspec.json.encode(at.place), type=Place)
    again = Dialogue(advisor, Journal(None), place, hearing)
    assert kinds(again.asked()) == [AskWords]
    assert kinds(again.take(BLIP)) == [Understood, AskNumbers]
    assert again.session.state.case.bike.name == "nine"


@pytest.mark.wide
@settings(max_examples=15, deadline=None)
@given(kind=st.sampled_from(["bench", "phone"]), typed=st.lists(st.sampled_from(LINES), min_size=4, max_size=9))
def test_whatever_is_typed_it_goes_on(advisor: Advisor, hearing: Hearing, kind: str, typed: list[str]) -> None:
    at = Dialogue(advisor, Journal(None), hearing=hearing)
    found = at.begin(kind)
    for line in typed:
        events, asks = list(at.session.journal.events), at.place.asks
        found = at.take(line)
        assert found or (isinstance(asks, ForAnswer) and not line.strip())
        assert at.session.journal.events[: len(events)] == events  # undo is an event too
        assert not at.over
        waits = {ForWords: AskWords, ForPerson: AskWho, ForTools: AskTools, ForNumbers: AskNumbers}
        if type(at.place.asks) in waits:
            assert type(found[-1]) is waits[type(at.place.asks)]
        if kinds(found)[:1] == [Mistake] and isinstance(asks, ForAnswer):
            assert at.session.journal.events == events
        assert msgspec.json.decode(msgspec.json.encode(found), type=list[Shown]) == found
        assert msgspec.json.decode(msgspec.json.encode(at.place), type=Place) == at.place


@pytest.mark.wide
@settings(max_examples=25, deadline=None)
@given(line=st.text(max_size=40))
@pytest.mark.parametrize("typed", [(BLIP,), (BLIP, "workshop"), (BLIP, *WORKSHOP), ("xyzzy", *WORKSHOP)], ids=str)
def test_no_line_breaks_the_opening(advisor: Advisor, hearing: Hearing, typed: tuple[str, ...], line: str) -> None:
    at = Dialogue(advisor, Journal(None), hearing=hearing)
    at.begin("bench")
    lines(at, *typed)
    assert at.take(line)


# Threads


@pytest.mark.wide
def test_two_sessions_on_two_threads_say_what_each_says_alone(dialogue: Begin, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")

    def play(name: str) -> list[list[Shown]]:
        at = dialogue(Journal(store, store.begin()))
        kind = "phone" if name == "a call" else "bench"
        return [at.begin(kind, "the left side is dead")[1:], *(at.take(line) for line in ("1", "1", "2", "where"))]

    store.remember(HABIT, {"person": "workshop", "tools": None, "engine": ""})
    alone = {name: play(name) for name in ("a call", "a session at the bike")}
    with ThreadPoolExecutor(2) as pool:
        together = dict(zip(alone, pool.map(play, alone), strict=True))
    assert together == alone


@pytest.mark.wide
def test_one_session_may_be_used_from_several_threads(dialogue: Begin, tmp_path: Path) -> None:
    """Each line is taken whole: what one thread answers, the next sees."""
    store = Store(tmp_path / "s.sqlite")
    at = dialogue(Journal(store, store.begin()))
    opened(at)
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(at.take, ["not known"] * 8))
    assert all(kinds(one)[-1] is QuestionShown for one in found)
    titles = [one.question.title for (one,) in found if isinstance(one, QuestionShown)]
    assert len(set(titles)) == len(titles) == 8  # nobody was asked the same twice
    assert len(at.session.steps_taken()) == 9
    assert at.session.journal.trouble == ""
    assert store.events(at.session.journal.session) == at.session.journal.events


# What it costs


def counted(monkeypatch: pytest.MonkeyPatch, advisor: Advisor) -> list[Case]:
    """Return a list that grows by each case that this advisor is asked to diagnose from now on."""
    cases: list[Case] = []
    diagnose = type(advisor).diagnose

    def counts(self: Advisor, case: Case, **how: object) -> Report:
        cases.append(case)
        return diagnose(self, case, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(type(advisor), "diagnose", counts)
    return cases


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_one_diagnosis_brings_the_first_question_and_each_later_one(
    dialogue: Begin, monkeypatch: pytest.MonkeyPatch, advisor: Advisor, kind: str
) -> None:
    cases, at = counted(monkeypatch, advisor), dialogue()
    opened(at, kind)
    assert len(cases) == 1
    for number, line in enumerate(("not known", "1", "undo", "can't"), start=2):
        at.take(line)
        assert len(cases) == number
    for line in ("where", "why", "help", "blah", "save x", "also xyzzy"):
        at.take(line)
    assert len(cases) == 5


def test_a_resumed_session_is_diagnosed_once(
    dialogue: Begin, monkeypatch: pytest.MonkeyPatch, advisor: Advisor
) -> None:
    at = dialogue()
    opened(at)
    at.take("not known")
    cases, again = counted(monkeypatch, advisor), dialogue(at.session.journal)
    again.resume()
    assert len(cases) == 1
    assert again.session.report == at.session.report


@pytest.mark.wide
def test_a_long_session_of_any_answers_keeps_its_order(dialogue: Begin) -> None:
    """Every answer leaves an event, every event a step, until it is taken back."""
    at, choose = dialogue(), random.Random(11)
    opened(at, "phone")
    for _ in range(20):
        steps, events = at.session.steps_taken(), len(at.session.journal.events)
        found = at.take(choose.choice(["1", "2", "not known", "can't", "undo"]))
        if at.place.asks != ForAnswer():
            at.take("1")
            continue
        if len(at.session.journal.events) == events:
            assert kinds(found) == [Mistake]
        elif isinstance(at.session.journal.events[-1], Undone):
            assert at.session.steps_taken() == steps[:-1]
        else:
            assert at.session.steps_taken()[:-1] == steps
            assert isinstance(at.session.journal.events[-1], Answered) is (found[0].__class__ is ReadBack)


def test_the_place_of_a_dialogue_holds_no_more_than_it_must(dialogue: Begin) -> None:
    """It travels with every request of a page."""
    at = dialogue()
    opened(at, "phone", "smells of fuel")
    for _ in range(5):
        at.take("not known")
    place = json.loads(msgspec.json.encode(at.place))
    assert place["asks"] == {"type": "ForAnswer"}
    assert len(msgspec.json.encode(at.place)) < 8000
