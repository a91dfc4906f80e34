"""`advisor balance --follow`: a table that grows, a pipe, and what is none."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pexpect
import pytest

from tests.cli.test_bench import start

HEADER = "time s,revs rpm,left mmHg,right mmHg\n"
SET_UP = "1\n3\n2\n1\n"  # it is ready, gauges, no cross-check, mixtures stay


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """Return an environment with stores of its own."""
    return {**os.environ, "XDG_DATA_HOME": str(tmp_path / "data"), "TERM": "xterm", "COLUMNS": "80"}


def rows(seconds: float, left: float = 240.0, right: float = 205.0, start: float = 0.0) -> Iterator[str]:
    rng = np.random.default_rng(7)
    for at in range(int(seconds * 5)):
        revs, one, other = np.array([1_000, left, right]) + rng.normal(size=3) * [8, 2, 2]
        yield f"{start + at / 5:.1f},{revs:.0f},{one:.1f},{other:.1f}\n"


def run(home: dict[str, str], *words: str, typed: str = SET_UP) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "advisor", "balance", *words],
        input=typed,
        env=home,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_a_table_that_is_there_gives_its_last_reading_and_plain_lines(tmp_path: Path, home: dict[str, str]) -> None:
    log = tmp_path / "log.csv"
    log.write_text(HEADER + "".join(rows(20)) + "20.0,10")
    done = run(home, "--follow", str(log))
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("→ ") == 1
    assert ", then read (2 min)" in done.stdout
    assert done.stdout.count(" rpm  ") >= 2
    assert "\x1b" not in done.stdout


def test_a_table_that_grows_is_cut_and_replaced_is_followed(tmp_path: Path, home: dict[str, str]) -> None:
    log = tmp_path / "log.csv"
    log.write_text(HEADER)
    child, over = start(home, "balance", "--follow", str(log)), threading.Event()

    def write() -> None:
        at = 0.0
        while not over.is_set():
            with log.open("a") as more:
                more.writelines(rows(1, start=at))
            at += 1
            time.sleep(0.05)

    child.expect("It is ready")
    writer = threading.Thread(target=write)
    writer.start()
    try:
        for line in SET_UP.split():
            child.sendline(line)
        child.expect("→ ")
        child.expect("then read")
        log.write_text(HEADER)
        child.expect("cut short")
        child.sendline("")
        child.expect("Turned")
        child.expect("→ ")
        child.kill(signal.SIGINT)
        child.expect("Kept as balance 1")
        child.expect(pexpect.EOF)
    finally:
        over.set()
        writer.join()
    child.close()
    assert child.exitstatus == 130


def test_a_pipe_is_followed_to_its_end_and_goes_on_by_typing_at_another_time(home: dict[str, str]) -> None:
    assert run(home, typed=SET_UP).returncode == 0
    done = run(home, "--resume", "--follow", "-", typed=HEADER + "".join(rows(20)))
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("→ ") == 1
    again = run(home, "--resume", typed="222 214 1010\n")
    assert " > +8" in again.stdout


def test_what_was_read_is_there_after_a_kill(home: dict[str, str]) -> None:
    run(home)
    child = start(home, "balance", "--resume")
    child.expect("read both columns")
    child.sendline("240 205 980")
    child.expect("then read")
    child.kill(signal.SIGKILL)
    child.wait()
    assert "1  open, just now, 5 answers: by gauges, 1 reading" in run(home, "--list", typed="").stdout
    again = run(home, "--session", "1", typed="record\nstop\n")
    assert "columns at idle: left 35 mmHg higher, 980 rpm" in again.stdout


@pytest.mark.parametrize(
    ("text", "says"),
    [(None, "cannot be read"), ("time s,revs rpm\n0,1000\n", "no column 'left mmHg'"), ("\0\1\n", "no column")],
)
def test_what_is_no_such_table_is_one_message(
    tmp_path: Path, home: dict[str, str], text: str | None, says: str
) -> None:
    log = tmp_path / "log.csv"
    if text is not None:
        log.write_text(text)
    done = run(home, "--follow", str(log))
    assert done.returncode == 1
    assert says in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "Balance 1" not in done.stdout
