"""Text in: any bytes, in any locale, typed or piped, and none at all."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.cli.common import LONGEST

# en_US.UTF-8 may not be installed here; what it does to the input is set outright.
PLACES = (
    {"LC_ALL": "C.UTF-8"},
    {"LC_ALL": "en_US.UTF-8", "PYTHONIOENCODING": "utf-8:strict"},
    {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "latin-1"},
)


def typed(tmp_path: Path, data: bytes, *words: str | bytes, **place: str) -> "subprocess.CompletedProcess[bytes]":
    """Return a call with this input; not a byte of a traceback in it."""
    env = {**os.environ, "XDG_DATA_HOME": str(tmp_path / "data"), **place}
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *words], input=data, capture_output=True, env=env, check=False, timeout=60
    )
    assert b"Traceback" not in done.stderr, done.stderr
    return done


@pytest.mark.parametrize("place", PLACES)
def test_every_byte_can_be_typed_in_every_locale(tmp_path: Path, place: dict[str, str]) -> None:
    every = bytes(one for one in range(256) if one not in b"\r\n")
    data = b"the revs hang " + every + b"\n1\nnot " + every + b"\nalso caf\xe9 \x1b[2J\nsave\x00 x\nnot known\nstop\n"
    done = typed(tmp_path, data, "phone", **place)
    assert done.returncode == 0
    assert b"goes on from here" in done.stdout
    assert not {0x1B, 0x9B, 0x00, 0x07} & set(done.stdout)


@pytest.mark.parametrize("place", PLACES)
def test_an_odd_name_in_a_message_is_spelt_out(tmp_path: Path, place: dict[str, str]) -> None:
    done = typed(tmp_path, b"", "diagnose", b"no\xff\xe2\x80\xae\x07\x1bcfile.yaml", **place)
    assert done.returncode == 1
    assert b"\\u0007\\u001bcfile.yaml: cannot be read" in done.stderr
    assert b"\xe2\x80\xae" not in done.stderr


def test_without_any_input_a_session_ends_as_at_its_end(tmp_path: Path) -> None:
    env = {**os.environ, "XDG_DATA_HOME": str(tmp_path / "data")}
    for words in ("bench the revs hang", "phone the revs hang", "practice --seed 3", "demo"):
        done = subprocess.run(
            ["/bin/sh", "-c", f'exec "$0" -m advisor {words} <&-', sys.executable],
            capture_output=True,
            env=env,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        assert not done.stderr


def test_a_line_without_end_is_refused(tmp_path: Path) -> None:
    done = typed(tmp_path, b"the revs hang\n1\n" + b"9" * (LONGEST + 1), "phone")
    assert done.returncode == 1
    assert done.stderr == b"a line of input is over 100,000 characters long; one answer a line is needed\n"
    assert b"goes on: the revs hang" in typed(tmp_path, b"stop\n", "phone", "--resume").stdout


@pytest.mark.parametrize(
    "words", [("rules", "show", "idle-hangs"), ("demo",), ("--help",), ("rules", "search", "idle")]
)
def test_a_reader_that_has_read_enough_ends_it_in_silence(words: tuple[str, ...]) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run([sys.executable, "-m", "advisor", *words], stdout=write, stderr=subprocess.PIPE, check=False)
    os.close(write)
    assert done.returncode == 1
    assert not done.stderr


def test_a_full_disk_is_said() -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "advisor", "demo"], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 1
    assert done.stderr == b"the result cannot be written: No space left on device\n"
