"""`advisor measure sound` on a terminal: 80 columns, a line of the revs, what it means; a mistake is one message."""

import json
import shlex
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from advisor.cli import cli
from advisor.readings.sound_log import SoundLog
from advisor.show.sound import STEPS, WIDE, line
from tests.sounds import NO_ENGINE, blipped, made, shorting, steady, written


def run(path: Path, words: str = "") -> Result:
    return CliRunner().invoke(cli, ["measure", "sound", str(path), *shlex.split(words)])


def test_a_test_of_both_plugs_fits_the_screen_and_says_what_next(tmp_path: Path) -> None:
    path = written(tmp_path / "a.wav", made(shorting((220.0, 310.0, 210.0, 300.0))))
    result = run(path, "--starts warm --near '1000 rpm' --shorted 'left right left right'")
    assert result.exit_code == 0
    assert all(len(one) <= 80 for one in result.output.splitlines())
    plain = " ".join(result.output.split())
    assert "Compare the sides: advisor measure drop-idle left 2" in plain
    assert "shorted 4" in plain
    assert "Exhaust gas in a shed or garage kills" in plain
    assert "insulated tool" in plain
    assert any(
        set(one.split()[1]) <= set(STEPS) for one in result.output.splitlines() if one.endswith(" rpm") and "▁" in one
    )


def test_a_blip_shows_in_the_line_and_in_the_picture(tmp_path: Path) -> None:
    result = run(written(tmp_path / "a.wav", made(blipped(70, 2.5))), "--starts warm")
    assert "after a blip" in result.output
    assert "The revs hang after a blip" in " ".join(result.output.split())


@pytest.mark.parametrize("name", ["wind", "music", "silence", "two"])
def test_what_cannot_be_told_is_a_result(tmp_path: Path, name: str) -> None:
    make, _ = NO_ENGINE[name]
    result = run(written(tmp_path / "a.wav", make(np.random.default_rng(1))))
    assert result.exit_code == 0
    assert "→ This recording cannot tell the revs." in result.output
    assert "±" not in result.output
    assert "Exhaust gas" in result.output


def test_json(tmp_path: Path) -> None:
    path = written(tmp_path / "a.wav", made(steady(1000, 6)))
    found = json.loads(run(path, "--format json").output)
    assert found["level"] == pytest.approx(1000, abs=8)
    assert len(found["times"]) == len(found["revs"]) > 50


@pytest.mark.parametrize(
    ("data", "words", "says"),
    [
        (b"", "", "is empty; a WAV recording is needed"),
        (b"\0\0\0\x20ftypM4A ", "", "this is an M4A or MP4 recording; save it as WAV"),
        (b"RIFF1234WAVE", "", "is damaged"),
        (b"", "--near '1000 Hz'", "rpm"),
        (b"", "--near fast", "--near"),
        (b"", "--shorted 'left middle'", "'middle' is not a side"),
    ],
)
def test_a_mistake_is_one_message(tmp_path: Path, data: bytes, words: str, says: str) -> None:
    (tmp_path / "a.wav").write_bytes(data)
    result = run(tmp_path / "a.wav", words)
    assert result.exit_code == 1
    assert says in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert "Traceback" not in result.output


def test_a_missing_file_is_one_message(tmp_path: Path) -> None:
    result = run(tmp_path / "none.wav")
    assert result.exit_code == 1
    assert "cannot be read: no such file" in result.stderr


def test_the_line_goes_from_the_lowest_to_the_highest() -> None:
    times = tuple(np.arange(0.05, 10, 0.1).tolist())
    revs = tuple(1000.0 + 100 * (one > 5) for one in times)
    found = SoundLog(lasts=20.0, rate=8000, channels=1, repairs=(), clipped=False, doubt="", times=times, revs=revs)
    low, drawn, high, unit = line(found).split(" ", 1)[0], line(found)[5:-9], *line(found).split()[-2:]
    assert (low, high, unit) == ("1000", "1100", "rpm")
    assert drawn.rstrip() == "▁" * 12 + "█" * 12
    assert len(drawn) == WIDE
