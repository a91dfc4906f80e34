"""Practice by piped lines and in a real terminal: to a verdict, wrong input, narrow, the lesson, progress."""

import os
import sys
from pathlib import Path

import pexpect
import pytest
from click.testing import CliRunner, Result

from advisor.cli import cli

BIKE = ("--seed", "7", "--level", "easy")
MISTAKES = [
    ("99", "no such stage"),
    ("2\n99", "there is no 99 in the list"),
    ("xyzzyq", "finds no check"),
    ("name xyzzyq", "finds no cause"),
    ("measure", "say what"),
    ("fix", "say a cause"),
    ("more", "no more of this list"),
    ("left", "left of what?"),
    ("list sidecar", "no such stage"),
    ("name plug-dead; plug-fouled right", "may be several; write one of: plug-dead left, plug-dead right"),
    ("2\nfix 2\nmeasure 3", "the list shown last is of causes"),
    ("undo", "there is no undo here"),
    ("hint", "there is no hint here"),
    ("2\nname 2\nname plug dead\n1", "Write left, right or both"),
]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path / "data"


def practise(text: str, *words: str) -> Result:
    return CliRunner().invoke(cli, ["practice", *words], input=text)


def test_from_the_complaint_to_a_verdict_and_progress() -> None:
    text = "2\nmore\n9 left\nlook plug right\nknow\nclock\nhelp\nname plug-dead right\n"
    done = practise(text, *BIKE)
    assert done.exit_code == 0
    for part in (
        "seed 7",
        "constants were set by\n  hand",
        "THE RIDER SAYS",
        "STAGE 2",
        "KNOWN SO FAR",
        "YOU MAY TYPE",
    ):
        assert part in done.output
    for part in (
        "RIGHT, 7 min",
        "The right plug is dead",
        "WHAT YOU DID",
        "WHAT THE PLANNER DID",
        "WHERE THE ORDER WENT WRONG",
    ):
        assert part in done.output
    assert "\x1b[" not in done.output
    shown = practise("", "--progress").output
    assert "ignition" in shown
    assert "+" in shown


def test_a_wrong_name_is_said() -> None:
    done = practise("name tank-vent-blocked\n", *BIKE)
    assert done.exit_code == 0
    assert "WRONG, 0 min" in done.output
    assert "named" in done.output


def test_what_is_not_called_by_its_name_is_asked_back() -> None:
    asked = " ".join(practise("name nothing\nclock\nyes\n", *BIKE).output.split())
    assert "Say yes; anything else goes on" in asked
    assert "0 min on the clock" in asked
    assert "'yes' finds no check" in asked  # the question is let go of
    assert "WRONG" not in asked
    assert "WRONG, 0 min" in practise("name nothing\nyes\n", *BIKE).output


def test_a_repair_on_the_wrong_side_that_cures_is_said() -> None:
    done = practise("fix plug-dead left\n", *BIKE).output
    assert "CURED, but the wrong side was named" in done
    assert "the trouble is gone" in done


def test_a_repair_in_vain_is_named_with_what_it_cost() -> None:
    done = " ".join(practise("look plug left\nfix spindle worn left\ngive up\n", *BIKE).output.split())
    assert "WHERE THE ORDER WENT WRONG" in done
    assert "though it was sound: 'The left throttle spindle or its seals are worn', 185 min, and new parts" in done
    assert "nothing had spoken for it" in done


def test_what_was_done_is_said_and_done_again_only_when_asked() -> None:
    done = practise(
        "look plug right\nlook plug right\nclock\nagain\nclock\nagain\nlook plug right again\n", *BIKE
    ).output
    assert done.count("Done already: Look at the right plug") == 1
    assert done.count("Wet with fuel.") == 4
    assert "again: say what" in done
    assert "4 min on the clock, steps: 1" in done
    assert "5 min on the clock, steps: 2" in done
    assert "6 min on the clock. Next" in done


def test_readings_stand_beside_the_handbooks_figures() -> None:
    done = practise("handbook\nmeasure idle speed\n1\n", *BIKE).output
    assert "Ignition timing at full advance, before top dead centre: 37 to 39 deg" in done
    assert "rpm (handbook: 1000 to 1100 rpm)" in " ".join(done.split())


def test_a_number_behind_a_word_is_the_lists_line() -> None:
    done = practise("2\nmeasure 9\nfix 1\nfix 7 left\n?\n", *BIKE).output
    assert "9 left" not in done
    assert "left, right or both?" in done
    assert "Put right: " in done
    assert "YOU MAY TYPE" in done


def test_a_fault_put_right_ends_it() -> None:
    done = practise("fix plug-fouled right\nfix plug-dead\nright\n", *BIKE)
    assert "It is not gone" in done.output
    assert "the trouble is gone" in done.output
    assert "RIGHT" in done.output


def test_mistakes_are_one_message_each_and_nothing_is_lost() -> None:
    done = practise("look plug right\n" + "".join(f"{line}\nlist\n" for line, _ in MISTAKES) + "clock\n", *BIKE)
    assert done.exit_code == 0
    shown = " ".join(done.output.split())
    assert all(says in shown for _, says in MISTAKES)
    assert "4 min on the clock, steps: 1" in shown
    assert "The input ended: 4 min" in shown


def test_a_wrong_area_ends_with_one_message() -> None:
    done = practise("", "--area", "sidecar")
    assert done.exit_code == 1
    assert "choose one of cables, carburettor" in " ".join(done.output.split())
    assert all(len(line) <= 80 for line in done.output.splitlines())
    assert "Traceback" not in done.output


def test_a_stage_is_understood_by_the_beginning_of_its_name() -> None:
    shown = practise("list valve\nlist carb\nLIST Joints\nlist c\n", *BIKE).output
    assert "STAGE 1" in shown
    assert "STAGE 5" in shown
    assert "STAGE 4" in shown
    assert "list c: no such stage" in shown
    assert "one fault in ignition" in practise("", "--seed", "7", "--area", "Ignition").output
    assert "--area fuel" in practise("", "--seed", "7", "--area", "float levels").output


def test_a_folder_that_cannot_be_written_does_not_stop_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/proc/nowhere")
    done = practise("look plug left\nlook plug right\ngive up\n", *BIKE)
    assert done.exit_code == 0
    assert " ".join(done.output.split()).count("these steps cannot be kept") == 1
    assert "GIVEN UP" in done.output
    assert "cannot be kept" in done.output


def test_a_bike_left_half_way_goes_on_where_it_was(home: Path) -> None:
    left = practise("look plug left\nfix spindle worn both\nstop\n", *BIKE).output
    assert "Left: 369 min, steps: 2; the fault was not named." in left
    assert "Go on from here: advisor practice --resume" in left
    assert "The same bike from the start: advisor practice --seed 7 --level easy" in left
    assert "This bike was left half-way" in practise("", *BIKE).output
    back = practise("look plug left\nclock\n", "--resume").output
    assert "KNOWN SO FAR, 369 min" in back
    assert "Look at the left plug: Tan." in back
    assert "covers burn skin" in back  # who goes on another day reads it again
    assert "373 min on the clock, steps: 3" in back
    done = practise("name plug-dead right\n", "--resume", *BIKE).output
    assert "RIGHT, 373 min" in done
    assert not list((home / "tuneup-advisor").glob("practice-half-way*"))
    none = practise("", "--resume")
    assert (none.exit_code, "no bike was left half-way" in none.output) == (1, True)


def test_what_cannot_be_brought_back_is_said(home: Path) -> None:
    practise("look plug left\nstop\n", *BIKE)
    (path,) = (home / "tuneup-advisor").glob("practice-half-way*")
    text = path.read_text(encoding="utf-8")
    for changed, says in (
        (text.replace("Tan.", "Black."), "the rules have changed since"),
        (text.replace("look-at-the-plug", "no-such-check"), "the rules have changed since"),
        (text[:-9], "this file is damaged"),
    ):
        path.write_text(changed, encoding="utf-8")
        done = practise("", "--resume")
        assert (done.exit_code, says in done.output, "Traceback" in done.output) == (1, True, False)


def test_a_bike_that_was_not_begun_is_not_kept(home: Path) -> None:
    assert "--resume" not in practise("list 2\nstop\n", *BIKE).output
    assert not list(home.rglob("practice-half-way*"))


def test_a_damaged_line_of_progress_is_said(home: Path) -> None:
    practise("give up\n", *BIKE)
    with (home / "tuneup-advisor" / "practice.jsonl").open("a", encoding="utf-8") as file:
        file.write("nonsense\n")
    done = practise("", "--progress")
    assert done.exit_code == 0
    assert "damaged and was skipped" in " ".join(done.output.split())
    assert "last five" in done.output


def test_the_same_bike_again_is_no_new_find() -> None:
    practise("give up\n", *BIKE)
    again = practise("look plug right\nname plug-dead right\n", *BIKE).output
    assert "RIGHT, 4 min" in again
    assert "answer was shown before" in again
    assert "ignition         1     0        -        -  -" in practise("", "--progress").output


def test_no_progress_yet_says_how_to_begin() -> None:
    assert "Begin with: advisor practice" in practise("", "--progress").output


def test_the_lesson_goes_on_by_enter_and_stops_by_q() -> None:
    done = practise("\n" * 20, "--lesson")
    assert done.exit_code == 0
    assert "STAGE 7: balance" in done.output
    assert "Now try it" in done.output
    stopped = practise("\n\nq\n", "--lesson").output
    assert "Stopped at stage 2 of 7" in stopped
    assert "STAGE 3" not in stopped
    assert "Stopped at stage 1 of 7" in practise("", "--lesson").output
    for word in ("stop", "EXIT", "quit"):
        assert "Stopped at stage 1 of 7" in practise(f"{word}\n", "--lesson").output


def test_the_lesson_begins_where_it_is_told_and_goes_where_it_is_asked() -> None:
    done = practise("\n7\nnonsense\n\n", "--lesson", "--stage", "cables").output
    assert "STAGE 6" in done
    assert "STAGE 7" in done
    assert "STAGE 1:" not in done
    assert "no stage is called 'nonsense'" in done
    assert "Now try it" in done
    assert practise("", "--lesson", "--stage", "sidecar").exit_code == 1
    assert "for the lesson" in practise("", "--stage", "3").output


def test_every_stage_of_the_lesson_warns_of_what_its_checks_can_do() -> None:
    done = practise("\n" * 20, "--lesson").output
    stages = done.split("STAGE ")[1:]
    assert sum("Run the engine outdoors only" in one for one in stages) == 1
    running = [one for one in stages if "carbon monoxide" in " ".join(one.split()) or "outdoors only" in one]
    assert len(running) == 5  # the fuel and the cables are looked at with the engine off
    alone = practise("q\n", "--lesson", "--stage", "balance").output
    assert "Run the engine outdoors only" in alone


@pytest.mark.parametrize("columns", ["60"])
def test_a_narrow_window_is_kept_to(columns: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    shown = practise(
        "5\nmore\nhandbook\nlook plug right\nlook plug right\nfix spindle worn both\nname nothing\nknow\nhelp\nstop\n",
        *BIKE,
    ).output
    shown += practise("name plug-dead right\n", "--resume").output + practise("", "--area", "sidecar").output
    shown += practise("\n" * 20, "--lesson").output + practise("", "--progress").output
    assert all(len(line) <= int(columns) for line in shown.splitlines())


def test_in_a_terminal_it_is_asked_and_an_interrupt_is_one_line() -> None:
    child = pexpect.spawn(
        sys.executable,
        ["-m", "advisor", "practice", *BIKE],
        env={**os.environ, "TERM": "xterm"},
        encoding="utf-8",
        timeout=40,
        dimensions=(40, 80),
    )
    child.expect("A number opens a stage")
    child.expect("> ")
    child.sendline("look plug")
    child.expect("left, right or both")
    child.sendline("right")
    child.expect("4 min on the clock")
    child.expect("> ")
    for _ in range(4):  # one that comes while the rule engine is at work is lost, so a person presses again
        child.sendintr()
        if child.expect(["Stopped: 4 min, steps: 1(?s:.*)practice --resume", pexpect.TIMEOUT], timeout=10) == 0:
            break
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1
