"""How practice went over many bikes: one line a bike in a file of the user's own; what is damaged is left out.

A bike that was left half-way has a file of its own beside it, with its steps, until it is ended.
"""

import os
from collections.abc import Sequence
from pathlib import Path
from statistics import fmean

import msgspec

from advisor.errors import AdvisorError
from advisor.session.store import default_path
from advisor.sides import Side

LAST = 5
HALF_WAY = "practice-half-way-"
FOUND, MISSED, GUESSED = "+", "-", "?"


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """One bike that was practised on: where its (first) fault lay, how it ended, minutes to it, and the planner's.

    `asked` is the place that was asked for ('' for any): with seed and level it says which bike it was. `guessed` is
    one that was right with nothing looked at.
    """

    seed: int
    level: str
    area: str
    found: bool
    minutes: float
    planner: float
    asked: str = ""
    guessed: bool = False

    @property
    def bike(self) -> tuple[int, str, str]:
        """Which bike it was."""
        return self.seed, self.level, self.asked


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """One area over all bikes; `last` are the marks of the last five, newest last.

    Minutes are means over the bikes whose fault was found, the planner's over the same bikes; None where none was.
    """

    area: str
    bikes: int
    found: int
    minutes: float | None
    planner: float | None
    last: tuple[str, ...]


class Moved(msgspec.Struct, frozen=True, kw_only=True):
    """A step of a bike that was left half-way, with its minutes and words as they were, to be compared."""

    kind: str
    id: str
    side: Side
    both: bool
    minutes: float
    says: str


class HalfWay(msgspec.Struct, frozen=True, kw_only=True):
    """A bike that was left half-way; the same steps on the same bike bring it back."""

    seed: int
    level: str
    area: str
    steps: tuple[Moved, ...] = ()


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


def half_way_path(seed: int, level: str, area: str) -> Path:
    """Return where the steps of a bike are kept until it is ended."""
    return progress_path().with_name(f"{HALF_WAY}{'-'.join(filter(None, (level, str(seed), area)))}.json")


def keep_half_way(one: HalfWay) -> None:
    """Keep the steps of a bike so far, all of them or as they were before. Raises ProgressError."""
    path = half_way_path(one.seed, one.level, one.area)
    fresh = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with fresh.open("wb") as file:
            file.write(msgspec.json.encode(one))
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        msg = (
            f"{path}: these steps cannot be kept ({(error.strerror or 'no access').lower()}); practice goes on without"
        )
        raise ProgressError(msg) from error


def forget_half_way(seed: int, level: str, area: str) -> None:
    """Let go of the steps of a bike that was ended. Raises ProgressError."""
    path = half_way_path(seed, level, area)
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        msg = f"{path}: cannot be removed ({(error.strerror or 'no access').lower()}); remove it yourself"
        raise ProgressError(msg) from error


def last_half_way() -> Path | None:
    """Return where the steps of the bike lie that was left last; None for none."""
    kept = list(progress_path().parent.glob(f"{HALF_WAY}*.json"))
    return max(kept, key=lambda path: path.stat().st_mtime_ns, default=None)


def read_half_way(path: Path) -> HalfWay:
    """Return the steps of a bike that was left half-way. Raises ProgressError."""
    try:
        return msgspec.json.decode(path.read_bytes(), type=HalfWay)
    except OSError as error:
        msg = f"{path}: cannot be read ({(error.strerror or 'no access').lower()}); make it readable, or move it away"
        raise ProgressError(msg) from error
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        msg = f"{path}: this file is damaged, so that bike cannot go on; remove it and begin again"
        raise ProgressError(msg) from error


def firsts(bikes: Sequence[Kept]) -> list[Kept]:
    """Return each bike as it went the first time: its answer was shown then, so that later times prove nothing."""
    found: dict[tuple[int, str, str], Kept] = {}
    for one in bikes:
        found.setdefault(one.bike, one)
    return list(found.values())


def standings(kept: Sequence[Kept], order: Sequence[str]) -> list[Standing]:
    """Return each area that was met, in this order; others after it by name."""
    bikes = firsts(kept)
    areas = sorted({one.area for one in bikes}, key=lambda area: (order.index(area) if area in order else 99, area))
    return [_standing(area, [one for one in bikes if one.area == area]) for area in areas]


def _standing(area: str, bikes: Sequence[Kept]) -> Standing:
    found = [one for one in bikes if _mark(one) == FOUND]
    return Standing(
        area=area,
        bikes=len(bikes),
        found=len(found),
        minutes=fmean(one.minutes for one in found) if found else None,
        planner=fmean(one.planner for one in found) if found else None,
        last=tuple(_mark(one) for one in bikes[-LAST:]),
    )


def _mark(one: Kept) -> str:
    return GUESSED if one.guessed else FOUND if one.found else MISSED
