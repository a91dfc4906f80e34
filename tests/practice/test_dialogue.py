"""A practice round as a dialogue: what each line brings, what is asked back, mistakes, the end. No terminal."""

import subprocess
import sys
import threading
from pathlib import Path
from typing import TypeVar

import msgspec
import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.practice.dialogue import ENDS, LISTS, Talk, begin, resume
from advisor.practice.keeper import Keeper
from advisor.practice.levels import BikeId
from advisor.practice.replies import (
    INPUT_ENDED,
    LEFT,
    AskSide,
    AskSure,
    CheckDone,
    Clock,
    DoneBefore,
    FileTrouble,
    Handbook,
    Help,
    Known,
    Left,
    LeftBefore,
    Mistake,
    OfferList,
    Opening,
    Over,
    RepairDone,
    Reply,
    ShownBefore,
    Stages,
    StepDone,
)
from advisor.practice.review import Review
from advisor.practice.round import GIVEN_UP, RIGHT, WRONG
from advisor.practice.shown_list import PAGE
from advisor.scoring.hidden_bikes import Fault
from tests.practice.rounds import PLUG, SLIDE, bike_with

R = TypeVar("R", bound=Reply)
MISTAKES = [
    ("99", "list 99: no such stage"),
    ("0", "list 0: no such stage"),
    ("2\n99", "there is no 99 in the list; choose 1 to"),
    ("xyzzyq", "'xyzzyq' finds no check"),
    ("name xyzzyq", "finds no cause"),
    ("fix xyzzyq left", "finds no cause"),
    ("measure", "measure: say what, like 'measure slack'"),
    ("look", "look: say what, like 'look rocker cover left'"),
    ("fix", "fix: say a cause"),
    ("name", "'name 1' to 'name 7' list those of a stage"),
    ("more", "no more of this list"),
    ("list 1\nmore\nmore", "no more of this list"),
    ("left", "left of what?"),
    ("-1", "'-1' is neither a number of the list nor words"),
    ("list sidecar", "no such stage"),
    ("name ;", "on either side of the ';'"),
    ("name plug-dead; plug-fouled right", "may be several; write one of: plug-dead left, plug-dead right"),
    ("name plug; slide-sticking left", "'plug' may be several"),
    ("fix 2\nmeasure 3", "the list shown last is of causes"),
    ("undo", "there is no undo here"),
    ("hint", "there is no hint here"),
    ("again", "again: say what"),
    ("look rocker cover\n3", "on which side? Write left, right or both"),
    ("look rocker cover\nno", "on which side? Write left, right or both"),
]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "tuneup-advisor"


@pytest.fixture(scope="module")
def begun(advisor: Advisor) -> Talk:
    """Return a talk in which nothing is done: all that is only asked may share it."""
    return talk_on(advisor)


def talk_on(advisor: Advisor, *faults: Fault) -> Talk:
    return Talk(bike_with(advisor, *(faults or (PLUG,))))


def said(talk: Talk, lines: str) -> list[Reply]:
    """Return what the last of these lines brings."""
    replies: list[Reply] = []
    for line in lines.split("\n"):
        replies = talk.take(line)
    return replies


def only(kind: type[R], replies: list[Reply]) -> R:
    (one,) = replies
    assert isinstance(one, kind)
    return one


def titles(replies: list[Reply]) -> list[str]:
    """Return the titles of the steps that were done."""
    return [one.step.title for one in replies if isinstance(one, StepDone)]


def test_it_opens_with_the_rider_and_the_stages(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    opening = only(Opening, talk.opening())
    assert opening.rider
    assert (opening.bike, opening.may_have_two) == (BikeId(seed=7, level="easy"), False)
    stages = only(Stages, talk.stages())
    assert [one.title for one in stages.stages] == [area.title for area in advisor.base.areas]
    assert all(one.checks > 5 for one in stages.stages)


@pytest.mark.parametrize(("lines", "says"), MISTAKES)
def test_a_mistake_is_one_message_and_changes_nothing(begun: Talk, lines: str, says: str) -> None:
    begun.take("list")
    assert says in only(Mistake, said(begun, lines)).whole
    assert (begun.round.minutes, begun.round.steps, begun.ended) == (0.0, [], False)


def test_an_empty_line_brings_nothing(begun: Talk) -> None:
    assert begun.take("  ") == []


def test_a_number_opens_a_stage_and_then_takes_a_line_of_its_list(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    shown = only(OfferList, said(talk, "2"))
    assert (shown.stage, shown.verb, [one.number for one in shown.offers]) == (2, "check", list(range(1, PAGE + 1)))
    further = only(OfferList, talk.take("more"))
    assert further.offers[0].number == PAGE + 1
    assert shown.more == further.more + len(further.offers)
    sided = next(one for one in further.offers if one.sided)
    (done,) = titles(talk.take(f"{sided.number} left"))
    assert done == sided.title.replace("left or right", "left")


@pytest.mark.parametrize("line", ["{}l", "{} l", "look {} left", "do {} left", "measure {} left", "{} LEFT"])
def test_a_side_behind_a_number_is_that_side(advisor: Advisor, line: str) -> None:
    talk = talk_on(advisor)
    sided = next(one for one in only(OfferList, said(talk, "5")).offers if one.sided)
    assert titles(talk.take(line.format(sided.number))) == [sided.title.replace("left or right", "left")]


@pytest.mark.parametrize("line", ["9" * 5_000, "look " + "9" * 5_000, "fix " + "9" * 400, "stage " + "9" * 5_000])
def test_a_number_of_any_length_is_a_mistake(begun: Talk, line: str) -> None:
    steps = list(begun.round.steps)
    assert [type(one) for one in begun.take(line)] == [Mistake]
    assert begun.round.steps == steps


@pytest.mark.parametrize("word", LISTS)
def test_back_at_the_stages_numbers_mean_them_again(begun: Talk, word: str) -> None:
    assert only(Stages, said(begun, f"list 2\n{word}"))
    assert only(OfferList, begun.take("3")).stage == 3
    assert only(OfferList, begun.take(f"{word} carb")).stage == 5


def test_words_do_a_check_or_list_those_that_are_meant(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    (done,) = talk.take("look rocker cover right")
    assert isinstance(done, StepDone)
    assert isinstance(done.step, CheckDone)
    assert (done.step.title, done.step.says, done.clock) == (
        "Look under the right rocker cover",
        "Everything is in its place and oily.",
        12.0,
    )
    assert done.step.how
    assert done.step.care.fresh
    shown = only(OfferList, talk.take("rocker right"))
    assert (shown.stage, shown.verb) == (0, "check")
    assert not any("left or right" in one.title for one in shown.offers)


def test_a_title_with_a_side_in_it_is_that_side(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    said(talk, "Look for broken strands on the left cable")
    assert [(one.id, one.side) for one in talk.round.steps] == [("look-for-broken-strands", "left")]


def test_a_side_that_was_not_said_is_asked_for(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    assert only(AskSide, said(talk, "look rocker cover")).title == "Look under the left or right rocker cover"
    assert isinstance(talk.take("clock")[0], Clock)  # shows, and leaves the question open
    assert titles(talk.take("both")) == ["Look under the left rocker cover", "Look under the right rocker cover"]
    said(talk, "look rocker cover\nlist 2")  # anything else lets go of it
    assert "of what?" in only(Mistake, talk.take("left")).text


def test_what_was_done_is_said_and_done_again_only_for_a_clear_word(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    said(talk, "look rocker cover right")
    before = only(DoneBefore, talk.take("look rocker cover right")).step
    assert isinstance(before, CheckDone)
    assert (before.says, before.minutes) == ("Everything is in its place and oily.", 12.0)
    assert talk.round.minutes == 12.0
    assert titles(talk.take("again")) == ["Look under the right rocker cover"]
    assert isinstance(talk.take("again")[0], Mistake)  # once
    assert titles(talk.take("look rocker cover right again")) == ["Look under the right rocker cover"]
    assert titles(said(talk, "look rocker cover\nright again")) == ["Look under the right rocker cover"]
    both = talk.take("look rocker cover both")
    assert [type(one) for one in both] == [StepDone, DoneBefore]
    assert titles(both) == ["Look under the left rocker cover"]


def test_a_repair_that_was_done_is_said(advisor: Advisor) -> None:
    talk = talk_on(advisor, SLIDE)
    (done,) = talk.take("fix spindle worn both")
    assert isinstance(done, StepDone)
    assert isinstance(done.step, RepairDone)
    assert done.step.title == "The left and right throttle spindle or its seals are worn"
    assert (done.step.outcome, bool(done.step.still)) == ("not gone", True)
    assert isinstance(only(DoneBefore, talk.take("fix spindle worn right")).step, RepairDone)
    assert len(talk.round.steps) == 1


def test_what_is_done_on_one_side_stands_where_the_other_cannot_be(
    advisor: Advisor, monkeypatch: pytest.MonkeyPatch
) -> None:
    talk = talk_on(advisor)
    real = talk.round.do

    def only_left(check: str, side: str) -> object:
        if side == "right":
            msg = "not on this side"
            raise AdvisorError(msg)
        return real(check, "left")

    monkeypatch.setattr(talk.round, "do", only_left)
    done, mistake = talk.take("look rocker cover both")
    assert isinstance(done, StepDone)
    assert mistake == Mistake(text="not on this side")


def test_what_can_be_shown_changes_nothing(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    said(talk, "look rocker cover right\nfix spindle worn left")
    known = only(Known, talk.take("know"))
    assert [one.title for one in known.steps] == [
        "Look under the right rocker cover",
        "The left throttle spindle or its seals are worn",
    ]
    assert len(known.told) == len(talk.round.complaint)
    assert only(Clock, talk.take("clock")) == Clock(clock=talk.round.minutes, steps=2)
    assert only(Help, talk.take("?")) == only(Help, talk.take("help"))
    asked = dict(only(Handbook, talk.take("handbook")).figures)
    assert any(one.unit == "deg" and (one.low, one.high) == (37.0, 39.0) for one in asked.values())
    assert len(talk.round.steps) == 2


def test_readings_come_with_what_the_handbook_asks(advisor: Advisor) -> None:
    (done,) = talk_on(advisor).take("watch the warm idle for a minute")
    assert isinstance(done, StepDone)
    assert isinstance(done.step, CheckDone)
    (idle,) = (one for one in done.step.readings if one.name == "idle-speed")
    assert idle.asked
    assert (idle.asked.low, idle.asked.high, idle.asked.unit, idle.unit) == (1000.0, 1100.0, "rpm", "rpm")
    assert [one.side for one in idle.sides] == [None]
    assert idle.sides[0].values


def test_causes_of_a_stage_are_listed_to_fix_or_to_name(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    shown = only(OfferList, said(talk, "3\nfix 2"))  # the list shown is of checks: 2 is the stage
    assert (shown.verb, shown.stage) == ("fix", 2)
    number = next(one.number for one in shown.offers if not one.sided)
    assert isinstance(talk.take(f"fix {number}")[0], StepDone)
    shown = only(OfferList, talk.take("name ignition"))
    assert shown.verb == "name"
    sided = next(one.number for one in shown.offers if one.sided)
    assert isinstance(talk.take(f"name {sided}")[0], AskSide)
    assert only(Over, talk.take("left")).outcome == WRONG


@pytest.mark.parametrize(
    "line", ["name plug-dead right", "name plug dead r", "name the plug is dead right", "Name RIGHT plug dead"]
)
def test_a_cause_called_by_its_name_ends_it(advisor: Advisor, line: str) -> None:
    talk = talk_on(advisor)
    assert only(Over, said(talk, line)).outcome == RIGHT
    assert talk.ended
    assert talk.take("clock") == []


def test_a_cause_without_its_side_is_asked_for_it(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    assert isinstance(said(talk, "name plug dead")[0], AskSide)
    assert only(Over, talk.take("right")).outcome == RIGHT


def test_a_cause_that_is_not_called_by_its_name_is_asked_back(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    assert len(only(AskSure, said(talk, "name nothing")).titles) == 1
    assert isinstance(talk.take("clock")[0], Clock)
    assert isinstance(talk.take("yes")[0], Mistake)  # the question was let go of
    assert not talk.ended
    assert only(Over, said(talk, "name nothing\ny")).outcome == WRONG


def test_two_causes_are_named_at_once(advisor: Advisor) -> None:
    talk = talk_on(advisor, PLUG, SLIDE)
    assert only(Over, said(talk, "name plug-dead right; slide-sticking left")).outcome == RIGHT
    talk = talk_on(advisor, PLUG, SLIDE)
    assert len(only(AskSure, said(talk, "name plug dead right; charging low")).titles) == 2


def test_the_last_fault_put_right_ends_it(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    said(talk, "look rocker cover right\nfix plug-fouled right")
    done, over = talk.take("fix plug-dead right")
    assert isinstance(done, StepDone)
    assert isinstance(done.step, RepairDone)
    assert done.step.outcome == "gone"
    assert over == Over(outcome=RIGHT)


def test_giving_up_ends_it_and_the_review_says_what_it_was(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    with pytest.raises(ValueError, match="not over"):
        talk.review()
    assert only(Over, said(talk, "give up")).outcome == GIVEN_UP
    review = only(Review, talk.review())
    assert (review.ending, [one.cause for one in review.planted]) == (GIVEN_UP, ["plug-dead"])
    assert talk.review() == [review]


@pytest.mark.parametrize("word", [*ENDS, "STOP"])
def test_it_is_left_by_a_word(advisor: Advisor, word: str) -> None:
    talk = talk_on(advisor)
    left = only(Left, said(talk, f"look rocker cover right\n{word}"))
    assert (left.how, left.clock, left.steps, left.kept, talk.ended) == (LEFT, 12.0, 1, False, True)


def test_a_round_left_half_way_goes_on_and_its_end_is_kept(advisor: Advisor, home: Path) -> None:
    talk = begin(advisor, 7, "easy")
    assert only(Left, said(talk, "list 2\nstop")).kept is False
    assert not home.exists()
    said(talk := begin(advisor, 7, "easy"), "look rocker cover left")
    assert only(Left, talk.leave(INPUT_ENDED)).kept
    assert isinstance(begin(advisor, 7, "easy").opening()[1], LeftBefore)
    talk = resume(advisor)
    opening, known = talk.opening()
    assert isinstance(opening, Opening)
    assert isinstance(known, Known)
    assert [one.title for one in known.steps] == ["Look under the left rocker cover"]
    assert isinstance(said(talk, "give up")[0], Over)
    assert len(talk.review()) == len(talk.review()) == 1  # kept once
    assert len((home / "practice.jsonl").read_bytes().splitlines()) == 1
    assert not list(home.glob("practice-half-way*"))
    again = begin(advisor, 7, "easy")
    said(again, "give up")
    assert again.review()[1:] == [ShownBefore()]


def test_a_folder_that_cannot_be_written_is_said_once(advisor: Advisor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/proc/nowhere")
    round_ = bike_with(advisor, PLUG)
    talk = Talk(round_, Keeper(round_))
    done, trouble = talk.take("look rocker cover left")
    assert isinstance(done, StepDone)
    assert isinstance(trouble, Mistake)
    assert "these steps cannot be kept" in trouble.text
    assert isinstance(only(StepDone, talk.take("look rocker cover right")), StepDone)
    talk.take("give up")
    assert isinstance(talk.review()[1], FileTrouble)


LINES = (
    "2",
    "look rocker cover both",
    "measure idle speed",
    "1",
    "know",
    "fix plug-fouled left",
    "list 3",
    "1 both",
    "name x",
)


def played(talk: Talk) -> list[list[Reply]]:
    return [talk.opening(), talk.stages(), *map(talk.take, LINES), talk.take("give up")]


def test_all_that_is_said_can_be_sent_to_a_page(advisor: Advisor) -> None:
    talk = talk_on(advisor)
    for reply in (one for replies in [*played(talk), talk.review()] for one in replies):
        sent = msgspec.json.decode(msgspec.json.encode(reply))
        assert sent["type"] == type(reply).__name__


def test_nothing_is_printed_and_no_terminal_is_needed(advisor: Advisor, capsys: pytest.CaptureFixture[str]) -> None:
    played(talk_on(advisor))
    assert capsys.readouterr() == ("", "")
    code = "import advisor.practice.dialogue, advisor.practice.lesson_dialogue, sys; sys.exit('rich' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_rounds_in_several_threads_go_as_they_go_alone(advisor: Advisor) -> None:
    bikes: list[Fault] = [PLUG, SLIDE]
    alone = [played(talk_on(advisor, one)) for one in bikes]
    found: dict[int, list[list[Reply]]] = {}

    def play(number: int) -> None:
        found[number] = played(talk_on(advisor, bikes[number]))

    threads = [threading.Thread(target=play, args=(number,)) for number in range(len(bikes))]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert [found.get(number) for number in range(len(bikes))] == alone


def test_one_talk_in_two_threads_takes_one_line_at_a_time(advisor: Advisor) -> None:
    talk = talk_on(advisor, SLIDE)
    times = 8
    threads = [
        threading.Thread(target=lambda: [talk.take("look rocker cover left again") for _ in range(times)])
        for _ in range(2)
    ]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(talk.round.steps) == 2 * times
    assert sum(one.minutes for one in talk.round.steps) == talk.round.minutes
