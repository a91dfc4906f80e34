"""The commands that the documents show, with what they print. `python -m tests.shown` writes it anew into them.

A block of ```console holds commands (`$ advisor ...`), what is typed to them (`? ...`) and what they print. What is
left out before the next typed line, or at the end, is `...`; a typed line with nothing below it leaves out all.
"""

import os
import re
import shlex
import tempfile
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from pathlib import Path
from unittest import mock

import msgspec
from click.testing import CliRunner

from advisor.case import Means
from advisor.cli import cli
from advisor.cli.common import PROMPT
from advisor.session.store import Store, default_path
from advisor.session.who_is_there import HABIT

TOP = Path(__file__).resolve().parent.parent
DOCUMENTS = ("README.md", "DEVELOPERS.md", "rules/README.md", "cases_demo/README.md")
BLOCK = re.compile(r"(?<=```console\n)(.*?)(?=```)", flags=re.DOTALL)
COMMAND = re.compile(r"\$ advisor (?P<command>.*)\n(?P<output>(?:(?!\$ ).*\n)*)")
TYPED, CUT = PROMPT, "...\n"
MARK = "\x1f"  # at the end of a typed line, where it counts as a blank: by it the line is known when it is echoed


class Shown(msgspec.Struct, frozen=True):
    """One command of a document, the lines typed to it, and what it prints, up to where it is `cut`."""

    document: str
    command: str
    typed: tuple[str, ...]
    output: str


def shown(document: str) -> Iterator[Shown]:
    """Yield the commands that a document shows."""
    for block in BLOCK.findall((TOP / document).read_text(encoding="utf-8")):
        for match in COMMAND.finditer(block):
            yield _shown(document, match)


def _shown(document: str, match: re.Match[str]) -> Shown:
    lines = match["output"].splitlines(keepends=True)
    typed = tuple(line.removeprefix(TYPED).rstrip("\n") for line in lines if line.startswith(TYPED))
    return Shown(document, match["command"], typed, match["output"])


def printed(one: Shown) -> str:
    """Return what a command prints now, run in a folder of its own, with each typed line where it was asked for."""
    with tempfile.TemporaryDirectory() as folder, mock.patch.dict(os.environ, {"XDG_DATA_HOME": folder}):
        here = Path.cwd()
        os.chdir(TOP)
        try:
            if one.typed:  # who is at the bike, with which tools, is asked once and remembered
                Store(default_path()).remember(HABIT, Means(person="mechanic", tools=None, engine=""))
            typed = "".join(f"{line}{MARK}\n" for line in one.typed)
            output = CliRunner(echo_stdin=True).invoke(cli, shlex.split(one.command), input=typed).output
        finally:
            os.chdir(here)
    lines = [_line(line) for line in output.replace(f"{TOP}/", "").rstrip().splitlines()]
    now, was = _by_typed(lines), _by_typed(one.output.splitlines(keepends=True))
    nothing: list[str] = []
    return "".join(line for part, shown in zip_longest(now, was, fillvalue=nothing) for line in _cut(part, shown))


def _line(line: str) -> str:
    return f"{TYPED}{line.removesuffix(MARK)}\n" if line.endswith(MARK) else f"{line.rstrip()}\n"


def _by_typed(lines: Sequence[str]) -> list[list[str]]:
    """Return lines in parts, each of which begins with a typed line, but for the first."""
    parts: list[list[str]] = [[]]
    for line in lines:
        if line.startswith(TYPED):
            parts.append([])
        parts[-1].append(line)
    return parts


def _cut(now: list[str], shown: list[str]) -> list[str]:
    """Return as many lines of a part as the document shows, and the mark of a cut end."""
    if shown[-1:] == [CUT]:
        return [*now[: len(shown) - 1], CUT]
    return now[:1] if len(shown) == 1 and shown[0].startswith(TYPED) else now


def main() -> None:
    """Write into every document what its commands print now."""
    for document in DOCUMENTS:
        path = TOP / document
        text = path.read_text(encoding="utf-8")
        written = BLOCK.sub(lambda block: COMMAND.sub(lambda match: _now(document, match), block[0]), text)  # noqa: B023
        path.write_text(written, encoding="utf-8")


def _now(document: str, match: re.Match[str]) -> str:
    one = _shown(document, match)
    return f"$ advisor {one.command}\n{printed(one)}"


if __name__ == "__main__":
    main()
