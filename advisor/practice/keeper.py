"""What is kept of a round on disk: its steps while it is half-way, and how it went once it is over.

The steps do not store the bike. Repeated on the same bike, they restore the state in which it was left.
"""

import contextlib
from pathlib import Path
from typing import Annotated

import msgspec

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.practice.levels import LEVELS, BikeId
from advisor.practice.progress import Kept, progress_path
from advisor.practice.replies import FileTrouble, LeftBefore, Mistake, Reply, ShownBefore
from advisor.practice.round import CHECK, FIX, RIGHT, Round, Step
from advisor.practice.stages import place_meant
from advisor.practice.storage import (
    StorageError,
    add_line,
    folder,
    newest,
    read_lines,
    read_whole,
    remove,
    write_whole,
)
from advisor.practice.verdict import Verdict
from advisor.sides import Side

HALF_WAY = "practice-half-way-"


class StepKept(msgspec.Struct, frozen=True, kw_only=True):
    """A step of a bike that was left half-way, with its minutes and words at the time, for comparison."""

    kind: Annotated[str, msgspec.Meta(pattern=f"^({CHECK}|{FIX})$")]
    id: str
    side: Side
    both: bool
    minutes: float
    says: str


class HalfWay(msgspec.Struct, frozen=True, kw_only=True):
    """A bike that was left half-way: its seed, level and place, and its steps."""

    seed: Annotated[int, msgspec.Meta(ge=0)]
    level: Annotated[str, msgspec.Meta(pattern=f"^({'|'.join(LEVELS)})$")]
    area: str
    steps: tuple[StepKept, ...] = ()

    @property
    def bike(self) -> BikeId:
        """Which bike it is."""
        return BikeId(seed=self.seed, level=self.level, area=self.area)


class CannotGoOnError(AdvisorError):
    """A bike that was left half-way does not go as it went then: the rules have changed since."""


def half_way_path(bike: BikeId, where: Path | None = None) -> Path:
    """Return where the steps of a bike are kept until it is over; in somebody's own folder, or beside the sessions."""
    return (where or folder()) / f"{HALF_WAY}{'-'.join(filter(None, (bike.level, str(bike.seed), bike.area)))}.json"


def last_half_way(where: Path | None = None) -> Path | None:
    """Return where the steps of the bike are that was left last; None for none."""
    return next(iter(newest(f"{HALF_WAY}*.json", where or folder())), None)


def all_half_way(where: Path | None = None) -> list[HalfWay]:
    """Return the bikes that were left half-way, the last one first; those that cannot be read are left out."""
    found = []
    for path in newest(f"{HALF_WAY}*.json", where or folder()):
        with contextlib.suppress(StorageError):
            found.append(read_whole(path, HalfWay))
    return found


class Keeper:
    """Keeps one round. `kept` says whether all its steps are kept; a failure is reported once."""

    def __init__(self, round_: Round, where: Path | None = None) -> None:
        """Take a round, new or resumed, and somebody's own folder, unless it is kept beside the sessions."""
        self.round = round_
        self.path, self.progress = half_way_path(round_.bike, where), progress_path(where)
        self.kept = bool(round_.steps)
        self.failed = False

    def left_before(self) -> list[Reply]:
        """Return a note that this bike was left half-way, if it was and was not resumed."""
        return [LeftBefore(bike=self.round.bike)] if not self.round.steps and self.path.exists() else []

    def keep_steps(self) -> list[Reply]:
        """Keep all steps so far; return what went wrong."""
        if self.failed:
            return []
        bike = self.round.bike
        steps = tuple(map(_kept, self.round.steps))
        try:
            write_whole(self.path, HalfWay(seed=bike.seed, level=bike.level, area=bike.area, steps=steps))
            self.kept = True
        except StorageError as error:
            self.failed, self.kept = True, False
            return [Mistake(text=str(error))]
        return []

    def end(self, verdict: Verdict) -> list[Reply]:
        """Keep how a round went, and drop its steps; return any messages."""
        one = as_kept(verdict, self.round)
        said: list[Reply] = []
        try:
            if any(before.bike == one.bike for before in read_lines(self.progress, Kept)[0]):
                said.append(ShownBefore())
            add_line(self.progress, one)
        except StorageError as error:
            said.append(FileTrouble(text=str(error)))
        try:
            remove(self.path)
        except StorageError as error:
            said.append(Mistake(text=str(error)))
        return said


def as_kept(verdict: Verdict, round_: Round) -> Kept:
    """Return the line that is kept of a round that is over."""
    return Kept(
        seed=round_.bike.seed,
        level=round_.bike.level,
        area=round_.base.causes[verdict.planted[0].cause].place,
        found=verdict.found,
        minutes=verdict.minutes,
        planner=verdict.plan_minutes,
        asked=round_.bike.area,
        guessed=verdict.guessed and verdict.outcome == RIGHT,
    )


def _kept(step: Step) -> StepKept:
    return StepKept(kind=step.kind, id=step.id, side=step.side, both=step.both, minutes=step.minutes, says=step.says)


def brought_back(advisor: Advisor, bike: BikeId | None, where: Path | None = None) -> Round:
    """Return the round on this bike (None: the last one) as it was left half-way. Raises AdvisorError."""
    path = last_half_way(where)
    if bike:
        path = half_way_path(msgspec.structs.replace(bike, area=place_meant(bike.area, advisor.base)), where)
    if path is None or not path.exists():
        msg = f"no {'such ' if bike else ''}bike was left half-way"
        raise AdvisorError(msg, "begin one: advisor practice --level easy")
    left = read_whole(path, HalfWay)
    round_ = Round.drawn(advisor, left.seed, left.level, left.area)
    if not all(_goes_as_before(round_, one) for one in left.steps):
        msg = "the rules have changed since, so this bike cannot go on"
        raise CannotGoOnError(msg, f"from the start: {round_.bike.command}")
    round_.caution_again()
    return round_


def _goes_as_before(round_: Round, one: StepKept) -> bool:
    """Repeat a step; return whether that was possible, with the same result as before."""
    known = round_.base.checks if one.kind == CHECK else round_.base.causes
    if one.id not in known or known[one.id].sided != (one.side is not None) or one.both > known[one.id].sided:
        return False
    try:
        step = round_.do(one.id, one.side) if one.kind == CHECK else round_.fix(one.id, one.side, both=one.both)
    except AdvisorError:
        return False
    return _kept(step) == one
