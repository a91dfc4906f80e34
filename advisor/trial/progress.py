"""How practice went over many bikes: one line a bike in a file of the user's own; what is damaged is left out."""

import os
from collections.abc import Sequence
from pathlib import Path

import msgspec

from advisor.errors import AdvisorError
from advisor.session.store import default_path

LAST = 5


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """One bike that was practised on: where its (first) fault lay, how it ended, minutes to it, and the planner's."""

    seed: int
    level: str
    area: str
    found: bool
    minutes: float
    planner: float


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """One area over all bikes; `last` are the last five, found or not, newest last. Minutes are means."""

    area: str
    bikes: int
    found: int
    minutes: float
    planner: float
    last: tuple[bool, ...]


class ProgressError(AdvisorError):
    """The file of practised bikes cannot be read or written."""


def progress_path() -> Path:
    """Return where practised bikes are kept: beside the sessions."""
    return default_path().with_name("practice.jsonl")


def keep(one: Kept, path: Path) -> None:
    """Add a bike to the file. Raises ProgressError where it cannot be written."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        torn = path.exists() and not _ends_its_line(path)
        with path.open("ab") as file:
            file.write((b"\n" if torn else b"") + msgspec.json.encode(one) + b"\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        msg = f"{path}: this bike cannot be kept ({(error.strerror or 'no access').lower()}); practice goes on without"
        raise ProgressError(msg) from error


def _ends_its_line(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(0, os.SEEK_END)
        if not file.tell():
            return True
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"


def read(path: Path) -> tuple[list[Kept], list[str]]:
    """Return the bikes, oldest first, and a message for each line that was skipped. Raises ProgressError."""
    try:
        if not path.exists():
            return [], []
        lines = path.read_bytes().splitlines()
    except OSError as error:
        msg = f"{path}: cannot be read ({(error.strerror or 'no access').lower()}); make it readable, or move it away"
        raise ProgressError(msg) from error
    found, skipped = [], []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            found.append(msgspec.json.decode(line, type=Kept))
        except (msgspec.MsgspecError, UnicodeDecodeError):
            skipped.append(f"{path}:{number}: this line is damaged and was skipped; the others count")
    return found, skipped


def standings(bikes: Sequence[Kept], order: Sequence[str]) -> list[Standing]:
    """Return each area that was met, in this order; others after it by name."""
    areas = sorted({one.area for one in bikes}, key=lambda area: (order.index(area) if area in order else 99, area))
    return [_standing(area, [one for one in bikes if one.area == area]) for area in areas]


def _standing(area: str, bikes: Sequence[Kept]) -> Standing:
    return Standing(
        area=area,
        bikes=len(bikes),
        found=sum(one.found for one in bikes),
        minutes=sum(one.minutes for one in bikes) / len(bikes),
        planner=sum(one.planner for one in bikes) / len(bikes),
        last=tuple(one.found for one in bikes[-LAST:]),
    )
