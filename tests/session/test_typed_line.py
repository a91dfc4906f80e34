"""What was typed: an answer, a reading or a wish, and one clear sentence where it is none of them."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.rulebase import Rulebase
from advisor.session.acceptance import NOT_YET
from advisor.session.answer_in_words import InWords
from advisor.session.events import Answered, Event, PutRight, RuledOut, Skipped, Undone
from advisor.session.next_question import CHECK, DONE, FIXED, HAND_OVER, HOLDS, IN_VAIN, REPAIR, SOUND, Option, Question
from advisor.session.state import fold
from advisor.session.typed_line import LONGEST, Wish, understand
from advisor.session.typed_line import typed as as_kept
from tests.cases import report
from tests.session.sessions import session


@pytest.mark.parametrize(
    "line",
    [
        *("99", "0", "1 2", "blah", "idle-speed 1300 kg", "undo 50", "what if", "already done: 77"),
        *("yes", "can't hear the left one at all", "cannot say which side it was"),
    ],
)
def test_what_means_nothing_is_said_and_nothing_is_lost(advisor: Advisor, line: str) -> None:
    at = session(advisor, "idle-hangs")
    before = list(at.journal.events), at.question
    with pytest.raises(AdvisorError):
        at.answer(line)
    assert (at.journal.events, at.question) == before


def test_figures_of_something_else_are_offered_and_not_taken(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    before = list(at.journal.events)
    assert at.answer("left 3 bar") == Wish("also", "left 3 bar")
    assert at.journal.events == before
    at.answer("compression left 9.1 right 6.2 bar")  # named, it is taken
    assert len(at.state.case.measured) == 2


@pytest.mark.parametrize("line", ["it is worse in the rain", "the revs rise when I wet the left joint"])
def test_words_that_say_something_else_are_offered_as_what_is_told_besides(advisor: Advisor, line: str) -> None:
    at = session(advisor, "idle-hangs")
    before = list(at.journal.events)
    assert at.answer(line) == Wish("also", line)
    assert at.journal.events == before


@pytest.mark.wide
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


def test_a_figure_without_a_side_is_of_the_side_that_is_asked(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    asked = replace(at.question, name="take-out-the-mixture-screw", side="right", takes=("mixture-turns",))
    event = understand("1.5 turns", asked, at.state, advisor.base)
    assert isinstance(event, InWords)
    assert [(one.reading, one.side) for one in event.readings] == [("mixture-turns", "right")]
    with pytest.raises(AdvisorError, match="is measured on a side"):
        understand("1.5 turns", replace(asked, side=None), at.state, advisor.base)


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


ANSWERS = tuple(
    Option(says=says, reports=(report("idle-hangs", seen=seen),))
    for says, seen in (("It hangs.", True), ("It does not.", False), ("Hard to say.", True))
)
ASKED = Question(
    kind=CHECK,
    name="blip-and-let-go",
    side=None,
    title="Blip it",
    because="",
    minutes=1,
    engine="warm",
    steps=(),
    tools=(),
    cautions=(),
    options=ANSWERS,
    takes=("idle-speed",),
)


def typed(line: str, base: Rulebase, answers: int = 2, **changes: Any) -> Event | Wish | InWords:
    """Return what a line means where this is asked, after so many answers."""
    state = fold([Skipped("watch-the-idle", None, "can't")] * answers, base)
    return understand(line, replace(ASKED, **changes), state, base)


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        *(("2", Answered("blip-and-let-go", None, "It does not.", ANSWERS[1].reports)), ("undo", Undone(1))),
        *(("already done: 2", Answered("blip-and-let-go", None, "It does not.", ANSWERS[1].reports)),),
        *(("undo 2", Undone(2)), ("back", Undone(1)), ("UNDO ALL", Undone(2)), ("  stop ", Wish("stop"))),
        *(("show me  where we stand", Wish("where")), ("?", Wish("help")), ("who", Wish("who"))),
        *(("why not Plug dead", Wish("why not", "Plug dead")), ("save My File.yaml", Wish("save", "My File.yaml"))),
        *(
            ("can't", Skipped("blip-and-let-go", None, "can't")),
            ("No tools", Skipped("blip-and-let-go", None, "can't")),
        ),
        *(("he doesn\N{RIGHT SINGLE QUOTATION MARK}t know", Skipped("blip-and-let-go", None, "not known")),),
    ],
)
def test_a_line_is_the_answer_or_the_wish_that_it_says(base: Rulebase, line: str, meant: Event | Wish) -> None:
    assert typed(line, base) == meant


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("0", "there is no answer 0; choose 1 to 3, or a reading with its unit, like 'idle-speed 0 ...'"),
        ("4", "there is no answer 4; choose 1 to 3"),
        ("1 2", "choose one answer"),
        ("1 7", "there is no answer 7"),
        ("undo 3", "there are 2 answers to take back; write 'undo' or 'undo 2'"),
        ("undo 0", "there are 2 answers to take back"),
        ("already done:", "already done: with which answer"),
        ("save", "'save' lacks something; write it like 'save FILE'"),
        ("yes", "'yes' could be any of these; write the number of the answer, 1 to 3"),
        ("hand ovr", "'hand ovr' is not an answer here .did you mean 'hand over'"),
        ("banana", "write a number from 1 to 3, a reading with its unit"),
    ],
)
def test_a_line_that_means_nothing_is_told_what_would_be_right(base: Rulebase, line: str, says: str) -> None:
    with pytest.raises(AdvisorError, match=says):
        typed(line, base)


OTHERWISE = "a reading with its unit, 'not known' or 'can't'; 'also WORDS' tells something else, 'help' shows all"
IS_NOT = "is not an answer here"
ONE_OF_THREE = f"write a number from 1 to 3, {OTHERWISE}"


@pytest.mark.parametrize(
    ("line", "options", "whole"),
    [
        ("banana", 3, f"'banana' {IS_NOT}; {ONE_OF_THREE}"),
        ("banana", 0, f"'banana' {IS_NOT}; write a number, {OTHERWISE}"),
        ("hand ovr!", 3, f"'hand ovr!' {IS_NOT} (did you mean 'hand over'?); {ONE_OF_THREE}"),
        (
            "idle-sped 900 rpm",
            3,
            f"'idle-sped 900 rpm' {IS_NOT} (did you mean 'idle-speed'?); {ONE_OF_THREE}",
        ),
        ("also?", 3, "'also?' lacks something; write it like 'also WORDS'"),
        ("undo that", 3, "'undo that' lacks something; write it like 'undo, undo 3 or undo all'"),
        ("No.", 3, "'No.' could be any of these; write the number of the answer, 1 to 3"),
    ],
)
def test_what_is_no_answer_is_told_in_one_sentence(base: Rulebase, line: str, options: int, whole: str) -> None:
    with pytest.raises(AdvisorError) as caught:
        typed(line, base, options=ANSWERS[:options])
    assert str(caught.value) == whole


def test_each_reading_of_a_line_is_read_by_its_name_whatever_parts_them(base: Rulebase) -> None:
    event = typed("idle-speed: 900 rpm; idle-swing, 40 rpm", base)
    assert isinstance(event, InWords)
    assert [(one.reading, one.values) for one in event.readings] == [("idle-speed", (900.0,)), ("idle-swing", (40.0,))]


def test_with_nothing_to_take_back_undo_is_one_message(base: Rulebase) -> None:
    for line in ("undo", "back", "undo all", "undo 1"):
        with pytest.raises(AdvisorError, match="there is nothing to take back"):
            typed(line, base, answers=0)


def test_a_repair_is_put_right_or_was_sound_and_is_not_skipped(base: Rulebase) -> None:
    repair: dict[str, Any] = {
        "kind": REPAIR,
        "name": "plug-dead",
        "side": "left",
        "options": (Option(says=FIXED), Option(says=SOUND), Option(says=IN_VAIN)),
    }
    assert typed("1", base, **repair) == PutRight("plug-dead", "left")
    assert typed("2", base, **repair) == RuledOut("plug-dead", "left")
    assert typed("3", base, **repair) == RuledOut("plug-dead", "left", in_vain=True)
    for line in ("can't", "not known"):
        with pytest.raises(AdvisorError, match="say 1 once it is put right"):
            typed(line, base, **repair)


def test_a_repair_holds_or_one_or_more_signs_are_still_there(base: Rulebase) -> None:
    found = typed("2 3", base, kind=HOLDS)
    assert isinstance(found, Answered)
    assert (found.says, found.reports) == ("It does not. Hard to say.", ANSWERS[1].reports + ANSWERS[2].reports)
    with pytest.raises(AdvisorError, match="either all of it holds, or some of it does not"):
        typed("1 2", base, kind=HOLDS)
    for words in ("skip", "can't tell yet", "not known"):
        found = typed(words, base, kind=HOLDS)
        assert isinstance(found, Answered)
        assert (found.says, found.reports) == (NOT_YET, ())


@pytest.mark.parametrize(
    ("kind", "line", "says"),
    [
        (DONE, "1", "it is done; press Enter to end"),
        (DONE, "not known", "there is nothing to answer here"),
        (HAND_OVER, "1", "there is no answer 1; write 'stop' or 'undo'"),
        (HAND_OVER, "can't", "there is nothing to answer here"),
    ],
)
def test_where_nothing_is_asked_there_is_no_answer(base: Rulebase, kind: str, line: str, says: str) -> None:
    with pytest.raises(AdvisorError, match=says):
        typed(line, base, kind=kind, options=(), takes=())


def test_a_figure_alone_is_of_the_reading_that_is_asked_for(base: Rulebase) -> None:
    found = typed("1300 rpm", base)
    assert isinstance(found, InWords)
    assert [(one.reading, one.side, one.values) for one in found.readings] == [("idle-speed", None, (1300.0,))]
    with pytest.raises(AdvisorError, match="is not an answer here"):
        typed("1300 rpm", base, takes=())


@pytest.mark.parametrize("line", ["9" * 5000, "1 " + "9" * 30, f"undo {'9' * 5000}", f"idle-speed {'9' * 5000} rpm"])
def test_a_figure_with_more_digits_than_any_has_is_one_message(base: Rulebase, line: str) -> None:
    with pytest.raises(AdvisorError, match=r"^no figure has as many digits as '9{30}\.\.\.'$"):
        typed(line, base)


def test_what_asks_for_words_may_have_any_digits(base: Rulebase) -> None:
    for wish in ("why not", "also", "save", "what if"):
        assert typed(f"{wish} {'9' * 5000}", base) == Wish(wish, "9" * 5000)


def test_a_line_is_taken_up_to_its_length_and_halves_of_characters_are_marked() -> None:
    assert as_kept("x" * LONGEST) == "x" * LONGEST
    with pytest.raises(AdvisorError, match="5,001 characters long, and 5,000 are taken"):
        as_kept("x" * (LONGEST + 1))
    assert as_kept("a\ud800b \ud83d\ude00 \N{DEGREE SIGN}") == "a\N{REPLACEMENT CHARACTER}b \U0001f600 \N{DEGREE SIGN}"
