"""`advisor practice` by piped lines and in a real terminal: options, a round to its end, the lesson, progress."""

import os
import re
import sys
from pathlib import Path

import pexpect
import pytest
from click.testing import CliRunner, Result

from advisor.cli import cli

BIKE = ("--seed", "7", "--level", "easy")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path / "data" / "tuneup-advisor"


def practise(text: str, *words: str) -> Result:
    return CliRunner().invoke(cli, ["practice", *words], input=text)


def test_from_the_complaint_to_a_verdict_and_progress() -> None:
    done = practise(
        "2\nmore\n9 left\nlook rocker cover right\nxyzzyq\nknow\nclock\nhelp\nname plug-dead right\n", *BIKE
    )
    assert done.exit_code == 0
    in_order = (
        "PRACTICE, seed 7, easy",
        "constants were set by\n  hand",
        "THE RIDER SAYS",
        "WHERE TO LOOK",
        "STAGE 2",
        "Look under the right rocker cover (12 min)",
        "'xyzzyq' finds no check",
        "KNOWN SO FAR",
        "on the clock, steps: 2",
        "YOU MAY TYPE",
        "RIGHT, 17 min",
        "The right plug is dead",
        "WHAT YOU DID",
        "WHERE THE ORDER WENT WRONG",
        "WHAT THE PLANNER DID",
    )
    places = [done.output.find(part) for part in in_order]
    assert -1 not in places
    assert places == sorted(places)
    assert "\x1b[" not in done.output
    shown = practise("", "--progress").output
    assert re.search(r"  ignition         1     1       17      +\d+  \+", shown)


def test_a_bike_left_half_way_goes_on_where_it_was(home: Path) -> None:
    left = practise("look rocker cover left\nfix spindle worn both\nstop\n", *BIKE).output
    assert "Left: 377 min, steps: 2; the fault was not named." in left
    assert "Go on from here: advisor practice --resume" in left
    assert "This bike was left half-way" in practise("", *BIKE).output
    back = practise("look rocker cover left\nclock\n", "--resume").output
    assert "KNOWN SO FAR, 377 min" in back
    assert "389 min on the clock, steps: 3" in back
    assert "The input ended: 389 min" in back
    assert "RIGHT, 389 min" in practise("name plug-dead right\n", "--resume", *BIKE).output
    assert not list(home.glob("practice-half-way*"))
    none = practise("", "--resume")
    assert (none.exit_code, "no bike was left half-way" in none.output) == (1, True)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--area", "sidecar"), "choose one of cables, carburettor"),
        (("--lesson", "--stage", "sidecar"), "no stage is called 'sidecar'"),
        (("--stage", "3"), "--stage: it is for the lesson"),
        (("--progress", "--seed", "3"), "--seed: --progress shows what is kept of all bikes"),
        (("--lesson", "--level", "easy", "--resume"), "--level, --resume: --lesson brings bikes of its own"),
        (("--resume", "--level", "hard"), "--level: --resume without --seed goes on with the bike left last"),
        (("--resume", "--seed", "4"), "no such bike was left half-way"),
    ],
)
def test_what_cannot_be_asked_for_ends_with_one_message(words: tuple[str, ...], says: str) -> None:
    done = practise("", *words)
    assert done.exit_code == 1
    assert says in " ".join(done.output.split())
    assert all(len(line) <= 80 for line in done.output.splitlines())
    assert "Traceback" not in done.output


def test_a_damaged_file_ends_with_one_message(home: Path) -> None:
    home.mkdir(parents=True)
    (home / "practice-half-way-easy-7.json").write_text("{", encoding="utf-8")
    done = practise("", "--resume")
    assert done.exit_code == 1
    assert "this file is damaged" in " ".join(done.output.split())


def test_a_place_is_understood_by_its_beginning() -> None:
    assert "one fault in ignition" in practise("", "--seed", "7", "--area", "Ignition").output
    assert "--area fuel" in practise("", "--seed", "7", "--area", "float levels").output


def test_a_folder_that_cannot_be_written_does_not_stop_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/proc/nowhere")
    done = practise("look rocker cover left\nlook rocker cover right\ngive up\n", *BIKE)
    assert done.exit_code == 0
    assert " ".join(done.output.split()).count("these steps cannot be kept") == 1
    assert "GIVEN UP" in done.output
    assert "this bike cannot be kept" in done.output


def test_progress_with_a_damaged_line_and_with_none() -> None:
    assert "Begin with: advisor practice" in practise("", "--progress").output
    practise("give up\n", *BIKE)
    assert "answer was shown before" in practise("name plug-dead right\n", *BIKE).output
    with (Path(os.environ["XDG_DATA_HOME"]) / "tuneup-advisor" / "practice.jsonl").open("a", encoding="utf-8") as file:
        file.write("nonsense\n")
    done = practise("", "--progress")
    assert done.exit_code == 0
    assert "damaged and was skipped" in " ".join(done.output.split())
    assert "  ignition         1     0        -        -  -" in done.output  # the first time counts


def test_the_lesson_to_its_end_or_as_far_as_it_is_read() -> None:
    done = practise("\n" * 20, "--lesson")
    assert done.exit_code == 0
    assert "STAGE 7: balance" in done.output
    assert "Now try it" in done.output
    assert "Stopped at stage 1 of 7" in practise("", "--lesson").output
    asked = practise("\n7\nnonsense\nq\n", "--lesson", "--stage", "cables").output
    assert "STAGE 1:" not in asked
    assert "no stage is called 'nonsense'" in asked
    assert "Stopped at stage 7 of 7" in asked


def test_every_stage_of_the_lesson_warns_of_what_its_checks_can_do() -> None:
    stages = practise("\n" * 20, "--lesson").output.split("STAGE ")[1:]
    assert sum("Run the engine outdoors only" in one for one in stages) == 1
    running = [one for one in stages if "carbon monoxide" in " ".join(one.split()) or "outdoors only" in one]
    assert len(running) == 5  # the fuel and the cables are looked at with the engine off


def test_a_narrow_window_is_kept_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    shown = practise(
        "5\nmore\nhandbook\nlook rocker cover right\nlook rocker cover right\nfix spindle worn both\nstop\n", *BIKE
    ).output
    shown += practise("name plug-dead right\n", "--resume").output + practise("", "--area", "sidecar").output
    shown += practise("\n" * 20, "--lesson").output + practise("", "--progress").output
    assert all(len(line) <= 60 for line in shown.splitlines())


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
    child.expect(r"\? $")
    child.sendline("look rocker cover")
    child.expect("left, right or both")
    child.sendline("right")
    child.expect("12 min on the clock")
    child.expect(r"\? $")
    child.sendintr()
    child.expect("Stopped: 12 min, steps: 1(?s:.*)practice --resume")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 130
