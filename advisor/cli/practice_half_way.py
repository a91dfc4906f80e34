"""A bike left half-way in practice: its steps are kept as they are done, and brought back."""

from rich.console import Console

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.practice.levels import place_of
from advisor.practice.progress import (
    HalfWay,
    Moved,
    ProgressError,
    forget_half_way,
    half_way_path,
    keep_half_way,
    last_half_way,
    read_half_way,
)
from advisor.practice.round import DO, Round, Step
from advisor.show import practice as draw


class Keeper:
    """Keeps the steps of one round. `kept` says whether all of them are; what cannot be kept is said once."""

    def __init__(self, now: Round, screen: Console) -> None:
        """Take a round, as it begins or as it was brought back."""
        self.now, self.screen = now, screen
        self.bike = now.seed, now.level, now.area
        self.kept = bool(now.steps)
        self.fails = False

    def say_if_left(self) -> None:
        """Say that this bike was left half-way before, if it was."""
        if half_way_path(*self.bike).exists():
            self.screen.print(draw.left_before(self.now))

    def keep(self) -> None:
        """Keep all steps so far."""
        if self.fails:
            return
        seed, level, area = self.bike
        try:
            keep_half_way(HalfWay(seed=seed, level=level, area=area, steps=tuple(map(_moved, self.now.steps))))
            self.kept = True
        except ProgressError as error:
            self.fails, self.kept = True, False
            self.screen.print(draw.mistake(str(error)))

    def forget(self) -> None:
        """Let go of the steps of a round that was ended."""
        try:
            forget_half_way(*self.bike)
        except ProgressError as error:
            self.screen.print(draw.mistake(str(error)))


def _moved(step: Step) -> Moved:
    return Moved(kind=step.kind, id=step.id, side=step.side, both=step.both, minutes=step.minutes, says=step.says)


def brought_back(advisor: Advisor, bike: tuple[int, str, str] | None) -> Round:
    """Return the bike that was left half-way (None: the last one), as it was left. Raises AdvisorError."""
    path = half_way_path(bike[0], bike[1], place_of(bike[2], advisor.base)) if bike else last_half_way()
    if path is None or not path.exists():
        msg = f"no {'such ' if bike else ''}bike was left half-way; begin one: advisor practice --level easy"
        raise AdvisorError(msg)
    left = read_half_way(path)
    now = Round(advisor, left.seed, left.level, left.area)
    for one in left.steps:
        if not _same(now, one):
            msg = f"the rules have changed since, so this bike cannot go on; from the start: {draw.again(now)}"
            raise AdvisorError(msg)
    now.warn_anew()
    return now


def _same(now: Round, one: Moved) -> bool:
    """Do a step again; return whether it could be done, and went as it did before."""
    known = now.base.checks if one.kind == DO else now.base.causes
    if one.id not in known or known[one.id].sided != (one.side is not None):
        return False
    try:
        step = now.do(one.id, one.side) if one.kind == DO else now.fix(one.id, one.side, both=one.both)
    except AdvisorError:
        return False
    return _moved(step) == one
