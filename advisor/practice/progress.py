"""Practice results over many bikes, by area: only the first attempt at each."""

from collections.abc import Sequence
from pathlib import Path
from statistics import fmean

import msgspec

from advisor.practice.levels import BikeId
from advisor.practice.replies import FileTrouble, Reply
from advisor.practice.storage import folder, read_lines
from advisor.rulebase.model import Rulebase

LAST = 5  # bikes whose marks are shown
FOUND, MISSED, GUESSED = "+", "-", "?"


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """One bike that was practised on: where its (first) fault lay, how it ended, minutes to it, and the planner's.

    `asked` is the place that was asked for ('' for any): with seed and level it identifies the bike. `guessed`: it
    was right with nothing looked at.
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
    def bike(self) -> BikeId:
        """Which bike it was."""
        return BikeId(seed=self.seed, level=self.level, area=self.asked)


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """One area over all bikes; `last` are the marks of the last five, newest last.

    Minutes are means over the bikes whose fault was found, the planner's over the same bikes; None if there were none.
    """

    area: str
    bikes: int
    found: int
    minutes: float | None
    planner: float | None
    last: tuple[str, ...]


class Standings(Reply, frozen=True, kw_only=True):
    """Practice so far, by area; no rows if no bike has been finished yet."""

    rows: tuple[Standing, ...]


def progress_path(where: Path | None = None) -> Path:
    """Return where practised bikes are kept; in a folder of somebody's own, or beside the sessions."""
    return (where or folder()) / "practice.jsonl"


def so_far(base: Rulebase, where: Path | None = None) -> list[Reply]:
    """Return the results so far, after a note on each line that cannot be read. Raises StorageError."""
    bikes, skipped = read_lines(progress_path(where), Kept)
    order = [place for area in base.areas for place in area.places]
    return [*(FileTrouble(text=one) for one in skipped), Standings(rows=tuple(standings(bikes, order)))]


def firsts(bikes: Sequence[Kept]) -> list[Kept]:
    """Return the first attempt at each bike: its answer was shown then, so later attempts prove nothing."""
    found: dict[BikeId, Kept] = {}
    for one in bikes:
        found.setdefault(one.bike, one)
    return list(found.values())


def standings(kept: Sequence[Kept], order: Sequence[str]) -> list[Standing]:
    """Return each area that was met, in this order; others after it by name."""
    bikes = firsts(kept)
    areas = sorted({one.area for one in bikes}, key=lambda area: (_place_in(order, area), area))
    return [_standing(area, [one for one in bikes if one.area == area]) for area in areas]


def _place_in(order: Sequence[str], area: str) -> int:
    return order.index(area) if area in order else len(order)


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
