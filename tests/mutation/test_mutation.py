"""The package changed one thing at a time: at least four changes in five must make a test fail, the rest be harmless.

`harmless.txt` beside this file says why each change that no test notices does no harm.
"""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

pytestmark = pytest.mark.mutation
ROOT = Path(__file__).parents[2]
MOST_ALIVE = 0.2
ALIVE = {"survived", "no tests"}  # whatever fails, hangs or crashes is noticed


class Change(msgspec.Struct, frozen=True):
    """One change: the file, the lines as they were, and as they became."""

    file: str
    was: str
    becomes: str


def harmless(text: str) -> tuple[set[Change], list[re.Pattern[str]]]:
    """Return the changes, and the patterns of changes, that the list says are harmless.

    `why:` begins a reason, `at:` names a file, `-` and `+` are the lines of a change, `~` a pattern of what it becomes.
    """
    changes, patterns = set(), []
    file = ""
    was: list[str] = []
    becomes: list[str] = []
    for line in [*text.splitlines(), ""]:
        kind, _, rest = line.strip().partition(" ")
        if becomes and kind != "+":
            changes.add(Change(file, "\n".join(was), "\n".join(becomes)))
            was, becomes = [], []
        if kind == "at:":
            file = rest
        elif kind == "-":
            was.append(rest.strip())
        elif kind == "+":
            becomes.append(rest.strip())
        elif kind == "~":
            patterns.append(re.compile(rest))
    return changes, patterns


def _mutmut(*words: str, shown: bool = False) -> str:
    command = [str(Path(sys.executable).with_name("mutmut")), *words]
    done = subprocess.run(command, cwd=ROOT, check=False, text=True, stdout=None if shown else subprocess.PIPE)
    assert done.returncode == 0, f"{' '.join(words)} ended with {done.returncode}"
    return done.stdout or ""


def _change(name: str) -> Change:
    lines = _mutmut("show", name).splitlines()
    file = next(line.removeprefix("--- ") for line in lines if line.startswith("--- "))
    body = [line for line in lines if not line.startswith(("---", "+++", "@@", "#"))]
    was, becomes = ("\n".join(line[1:].strip() for line in body if line.startswith(sign)) for sign in "-+")
    return Change(file, was, becomes)


def test_what_no_test_notices_is_little_and_harmless() -> None:
    pytest.importorskip("mutmut", reason="it comes with the extra 'mutation'")
    shutil.rmtree(ROOT / "mutants", ignore_errors=True)
    _mutmut("run", shown=True)
    states = dict(
        line.strip().rsplit(": ", 1) for line in _mutmut("results", "--all", "true").splitlines() if ": " in line
    )
    assert len(states) > 5_000, "the run has lost most of the package"
    alive = {name: _change(name) for name, state in states.items() if state in ALIVE}
    known, patterns = harmless((Path(__file__).parent / "harmless.txt").read_text(encoding="utf-8"))
    unknown = [
        f"{name}\n- {one.was}\n+ {one.becomes}"
        for name, one in alive.items()
        if one not in known and not any(pattern.search(one.becomes) for pattern in patterns)
    ]
    stale = [f"{one.file}\n- {one.was}\n+ {one.becomes}" for one in known - set(alive.values())]
    assert len(alive) <= MOST_ALIVE * len(states), f"{len(alive)} of {len(states)} changes are not noticed"
    assert unknown == [], "\n".join(["kill these, or say in harmless.txt why they are harmless:", *unknown])
    assert stale == [], "\n".join(["harmless.txt names what a test notices now, or what is gone:", *stale])
