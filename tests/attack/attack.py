"""One attack at a time on the command line: a process of its own, watched from outside, and what went wrong counted."""

import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

LONGEST = 10.0  # s; more is a hang, on a machine that has a core to spare for it
MOST_MEMORY = 1_500.0  # MB
LOST_FOOTING = (b"Traceback", b"Exception ignored", b"Fatal Python", b"core dumped", b"Segmentation")
RAW = {*range(0x20)} - {0x09, 0x0A} | {
    0x7F
}  # bytes that no text has; the output here is a pipe, so nothing is coloured
USUAL = (0, 1, 2)  # it is done; a mistake in the input; one in the command line

Word = str | bytes
COUNTS = ("tried", "tracebacks", "hangs", "wrong code", "escapes", "lost", "touched")


class Tally:
    """What was tried and what went wrong, with the call to see each of the first few again."""

    def __init__(self, what: str) -> None:
        """Count for one kind of attack."""
        self.what = what
        self.counts = dict.fromkeys(COUNTS, 0)
        self.slowest = 0.0
        self.faults: list[str] = []

    def fault(self, kind: str, call: object, shown: object = "") -> None:
        """Count a fault of this kind."""
        self.counts[kind] += 1
        self.faults.append(f"{kind}: {call!r}\n{shown}")

    def record(self) -> dict[str, object]:
        """Return the counts as plain figures, with the largest memory of any process until now, in MB."""
        most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1000
        return {"what": self.what, **self.counts, "slowest": round(self.slowest, 1), "most MB": round(most)}


class Outcome(NamedTuple):
    """How a process ended: its exit code (None if it had to be killed) and what it wrote."""

    code: int | None
    out: bytes
    err: bytes


def environment(home: Path, **more: str) -> dict[str, str]:
    """Return the environment of a user whose sessions lie in this folder."""
    return {**os.environ, "XDG_DATA_HOME": str(home), "HOME": str(home), "COLUMNS": "80", **more}


def call(
    tally: Tally,
    words: Sequence[Word],
    data: bytes = b"",
    *,
    home: Path,
    codes: Sequence[int] = USUAL,
    **more: str,
) -> Outcome:
    """Run one command with this input and count what is wrong with how it went."""
    tally.counts["tried"] += 1
    started = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-m", "advisor", *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(home, **more),
        cwd=home,
        start_new_session=True,
    ) as run:
        try:
            out, err = run.communicate(data, timeout=longest())
        except subprocess.TimeoutExpired:
            os.killpg(run.pid, signal.SIGKILL)
            out, err = run.communicate()
            tally.fault("hangs", (words, data[:200]), out[-300:])
            return Outcome(None, out, err)
        code = run.returncode
    tally.slowest = max(tally.slowest, time.perf_counter() - started)
    judge(tally, (words, data[:2000]), Outcome(code, out, err), codes)
    return Outcome(code, out, err)


def longest() -> float:
    """Return how long a process may take here and now, in s: with other work on the machine it gets its share only."""
    return LONGEST * max(1.0, os.getloadavg()[0] / (os.cpu_count() or 1))


def judge(tally: Tally, what: object, found: Outcome, codes: Sequence[int] = USUAL) -> None:
    """Count what is wrong with how a process ended."""
    if any(word in found.err or word in found.out for word in LOST_FOOTING):
        tally.fault("tracebacks", what, found.err.decode(errors="replace")[-1500:])
    elif found.code not in codes:
        tally.fault("wrong code", what, (found.code, found.err[-300:]))
    if RAW & {*found.out, *found.err}:
        tally.fault("escapes", what, (found.out[-300:], found.err[-300:]))
