"""Killed and interrupted at any moment: every answer that was taken is still there, and the session goes on."""

import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pexpect
import pytest

from advisor.session.store import Store
from tests.attack.attack import LONGEST, Outcome, Tally, call, environment, judge, longest

pytestmark = pytest.mark.slow
READY = r"\n\? $"  # it waits for a line
ANSWERS = (
    *("1", "not known", "2", "can't", "1", "where", "undo", "also it shakes", "save kept.yaml"),
    *("record", "record kept.txt", "900 to 1300 rpm, wanders"),
)


def _kept(path: Path, session: int) -> int:
    store = Store(path)
    try:
        return len(store.events(session))
    finally:
        store.close()


@pytest.mark.parametrize("part", range(10))
def test_killed_at_any_moment_it_has_lost_nothing(part: int, tmp_path: Path, ended: Callable[[Tally], None]) -> None:
    rng = random.Random(f"kills {part}")
    tally = Tally("kills")
    path = tmp_path / "store"
    for number in range(16):
        tally.counts["tried"] += 1
        kind = rng.choice(("bench", "phone"))
        child = pexpect.spawn(
            sys.executable,
            ["-m", "advisor", kind, "the revs hang after a blip", "--store", str(path)],
            env=environment(tmp_path, TERM="dumb"),
            cwd=str(tmp_path),
            encoding="utf-8",
            timeout=3 * LONGEST,
            dimensions=(60, 80),
        )
        child.delaybeforesend = 0
        answered, kept, sent = rng.randint(0, 6), 0, 0
        if rng.random() < 0.1:
            time.sleep(rng.random() * 0.6)  # while it starts
        else:
            child.expect(READY)
            for _ in range(answered):
                kept = _kept(path, _last(path))  # all that was answered when it asks again
                child.sendline(
                    rng.choice(ANSWERS) if sent > 1 else ("workshop" if kind == "bench" and not number else "1")
                )
                sent += 1
                child.expect([READY, pexpect.EOF])
            child.sendline(rng.choice(ANSWERS))
            time.sleep(rng.random() ** 2 * 0.4)
        child.kill(signal.SIGKILL)
        child.close()
        if path.exists() and (session := _last(path)):
            after = _kept(path, session)
            if after < kept:
                tally.fault("lost", (part, number, kept, after))
            found = call(tally, [kind, "--session", str(session), "--store", "store"], b"where\nstop\n", home=tmp_path)
            tally.counts["tried"] -= 1
            if kept and b"goes on" not in b" ".join(found.out.split()):
                tally.fault("lost", (part, number, session), found)
        if (tmp_path / "kept.yaml").exists() and not (tmp_path / "kept.yaml").read_bytes().endswith(b"\n"):
            tally.fault("lost", (part, number, "a torn file"))
    ended(tally)


def _last(path: Path) -> int:
    store = Store(path)
    try:
        with store._open() as database:
            return int(database.execute("SELECT coalesce(max(id), 0) FROM session").fetchone()[0])
    finally:
        store.close()


@pytest.mark.parametrize("part", range(4))
def test_interrupted_at_any_moment_it_ends_in_a_line(part: int, tmp_path: Path, ended: Callable[[Tally], None]) -> None:
    """The first tenth of a second is Python's own start, in which no program can answer."""
    rng = random.Random(f"interrupts {part}")
    tally = Tally("interrupts")
    for number in range(40):
        tally.counts["tried"] += 1
        words = rng.choice(
            (
                ["bench", "the revs hang"],
                ["phone", "it dies"],
                ["demo"],
                ["rules", "check"],
                ["practice", "--seed", "3"],
                ["score", "--cases", "60", "--planned", "1"],
                ["measure", "readings"],
            )
        )
        with subprocess.Popen(
            [sys.executable, "-m", "advisor", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment(tmp_path),
        ) as run:
            time.sleep(0.1 + rng.random() ** 2 * 2)
            run.send_signal(signal.SIGINT)
            try:
                out, err = run.communicate(timeout=longest())
            except subprocess.TimeoutExpired:
                run.kill()
                tally.fault("hangs", (part, number, words))
                continue
        judge(tally, (part, number, words), Outcome(run.returncode, out, err), (0, 1, 130))
        if len(err.strip().splitlines()) > 1:
            tally.fault("wrong code", (part, number, words), err)
    ended(tally)
