"""The files of practice, beside the sessions: JSON, one record per line.

Practised bikes are lines of one file. A bike that was left half-way has a separate file of one line.
Threads and processes may write at the same time, and a crash or a power cut in mid-write loses nothing older: a line
is added by a single write to the end of its file, and a torn line there stays behind as a separate line; a
whole file is first written under another name, and then replaces the old one in one step.
"""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

import msgspec

from advisor import files
from advisor.errors import AdvisorError
from advisor.session.store import default_path

MOST = 100 * files.MEGABYTE  # some 200,000 bikes
R = TypeVar("R")


class StorageError(AdvisorError):
    """A file of practice cannot be read or written."""


def folder() -> Path:
    """Return where practice is kept: beside the sessions."""
    return default_path().parent


def add_line(path: Path, record: msgspec.Struct) -> None:
    """Add a record to a file. Raises StorageError when it cannot be written."""
    line = msgspec.json.encode(record) + b"\n"
    with _or_said(path, "this bike cannot be kept ({}); practice goes on without"):
        path.parent.mkdir(parents=True, exist_ok=True)
        if _torn(path):
            line = b"\n" + line
        with path.open("ab", buffering=0) as file:
            if file.write(line) != len(line):
                raise OSError(None, "the disk is full")
            os.fsync(file.fileno())


def _torn(path: Path) -> bool:
    """Whether the last line of a file was not written to its end."""
    if not path.exists() or not path.stat().st_size:
        return False
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) != b"\n"


def read_lines(path: Path, kind: type[R]) -> tuple[list[R], list[str]]:
    """Return the records of a file, oldest first, and a message for each line that was skipped. Raises StorageError."""
    lines = _read(path).splitlines() if path.exists() else []
    found, skipped = [], []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            found.append(msgspec.json.decode(line, type=kind))
        except (msgspec.MsgspecError, UnicodeDecodeError):
            skipped.append(f"{path}:{number}: this line is damaged and was skipped; the others count")
    return found, skipped


def write_whole(path: Path, record: msgspec.Struct) -> None:
    """Write a file of this one record; until that is done the old one stays as it is. Raises StorageError."""
    with _or_said(path, "these steps cannot be kept ({}); practice goes on without"):
        path.parent.mkdir(parents=True, exist_ok=True)
        files.write_whole(path, msgspec.json.encode(record) + b"\n")


def _read(path: Path) -> bytes:
    try:
        return files.read_plain(path, MOST, "a file of practice")
    except AdvisorError as error:
        (problem,) = error.problems
        msg = f"{path}: {problem.text}; make it readable, or move it away"
        raise StorageError(msg) from error


def read_whole(path: Path, kind: type[R]) -> R:
    """Return the record of a file that has one. Raises StorageError."""
    try:
        return msgspec.json.decode(_read(path), type=kind)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        msg = f"{path}: this file is damaged, so that bike cannot go on; remove it and begin again"
        raise StorageError(msg) from error


def remove(path: Path) -> None:
    """Remove a file, if it is there. Raises StorageError."""
    with _or_said(path, "cannot be removed ({}); remove it yourself"):
        path.unlink(missing_ok=True)


def newest(pattern: str, where: Path) -> list[Path]:
    """Return the files of practice of this pattern in a folder, the one that was written last first."""
    written: dict[Path, int] = {}
    for path in where.glob(pattern):
        with contextlib.suppress(OSError):  # removed in the meantime
            written[path] = path.stat().st_mtime_ns
    return sorted(written, key=written.__getitem__, reverse=True)


@contextlib.contextmanager
def _or_said(path: Path, what: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = (error.strerror or "no access").lower()
        msg = f"{path}: {what.format(reason)}"
        raise StorageError(msg) from error
