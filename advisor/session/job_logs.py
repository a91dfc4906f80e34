"""The logs of a case as they are drawn: an idle with its trend, a shake by orders and by revs. It needs numpy."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from advisor.case import Bike, LogFile
from advisor.intake.logfile import Log
from advisor.readings.idle_log import IdleLog
from advisor.readings.logs import idle_of, idle_picture, shake_of
from advisor.readings.orders import Shake, next_step
from advisor.readings.pieces import pieces
from advisor.readings.sound_log import SoundLog
from advisor.readings.sound_readings import picture, sound_of
from advisor.rulebase.model import Rulebase

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

Line = tuple[tuple[tuple[float, float], ...], ...]
MOST_POINTS = 800  # of a line on paper: more are no finer than its ink
PIECE = 1.0  # s of a shake that make one point against the revs: a dozen turns at least
FEWEST_REVS, SPREAD = 4, 0.1  # points, and their spread in revs, from which a shake is shown against them


class IdleDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """An idle log: its file's name, result and repairs, what it says in words, and its line (s, 1/min).

    `line` has a part for each piece between pauses. `wanted` is the idle that the bike should have (1/min).
    """

    name: str
    found: IdleLog
    repairs: tuple[str, ...]
    says: tuple[str, ...]
    line: Line
    wanted: tuple[float, float]


class ShakeDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A shake log: its file's name, result and repairs, and what to do next.

    `by_revs` are the revs (1/min) and the shake (root mean square, m/s2) of each second, lowest revs first; empty where
    the revs hardly change.
    """

    name: str
    found: Shake
    repairs: tuple[str, ...]
    do: str
    by_revs: tuple[tuple[float, float], ...]


class SoundDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A recording of the exhaust: as `IdleDrawn`."""

    name: str
    found: SoundLog
    says: tuple[str, ...]
    line: Line
    wanted: tuple[float, float]


def idle_drawn(one: LogFile, bike: Bike, base: Rulebase) -> IdleDrawn:
    """Return an idle log as it is drawn. Raises CaseError when it cannot be used."""
    log, found = idle_of(one)
    return IdleDrawn(
        name=Path(one.path).name,
        found=found,
        repairs=log.repairs,
        says=tuple(idle_picture(found, base)),
        line=_line(log.columns["time"], log.columns["revs"], found.gaps),
        wanted=_wanted(bike, base),
    )


def sound_drawn(one: LogFile, bike: Bike, base: Rulebase) -> SoundDrawn:
    """Return a recording of the exhaust as it is drawn. Raises CaseError when it cannot be used."""
    found = sound_of(one)
    return SoundDrawn(
        name=Path(one.path).name,
        found=found,
        says=tuple(picture(found, one, base)),
        line=_line(np.array(found.times), np.array(found.revs), ()),
        wanted=_wanted(bike, base),
    )


def _wanted(bike: Bike, base: Rulebase) -> tuple[float, float]:
    figure = base.figures["idle-speed"]
    return bike.figures.get("idle-speed", (figure.low, figure.high))


def _line(time: "Column", revs: "Column", gaps: Sequence[tuple[float, float]]) -> Line:
    """Return the line of a log in its pieces: of each stretch the least and the most, so that no blip is lost."""
    ends = [float(time[0]), *(at for gap in gaps for at in gap), float(time[-1])]
    parts = []
    for start, end in zip(ends[::2], ends[1::2], strict=True):
        here = np.flatnonzero((time >= start) & (time <= end))
        many = max(1, -(-2 * len(time) // MOST_POINTS))
        kept: list[int] = []
        for block in np.split(here, range(many, len(here), many)):
            kept += sorted({int(block[np.argmin(revs[block])]), int(block[np.argmax(revs[block])])})
        parts.append(tuple((float(time[place]), float(revs[place])) for place in kept))
    return tuple(parts)


def shake_drawn(one: LogFile, bike: Bike, base: Rulebase) -> ShakeDrawn:
    """Return a shake log as it is drawn. Raises CaseError when it cannot be used."""
    log, found = shake_of(one, bike, base)
    return ShakeDrawn(
        name=Path(one.path).name,
        found=found,
        repairs=log.repairs,
        do=next_step(found, base),
        by_revs=_by_revs(log),
    )


def _by_revs(log: Log) -> tuple[tuple[float, float], ...]:
    revs = log.columns.get("revs")
    if revs is None:
        return ()
    time, shake = log.columns["time"], log.columns["acceleration"]
    points = []
    for piece in pieces(log):
        seconds = np.floor((time[piece] - time[piece][0]) / PIECE)
        for second in np.unique(seconds)[:-1]:  # the last one is not whole
            here = seconds == second
            points.append((float(revs[piece][here].mean()), float(np.std(shake[piece][here]))))
    points.sort()
    apart = len(points) >= FEWEST_REVS and points[-1][0] - points[0][0] > SPREAD * points[-1][0]
    return tuple(points[:: max(1, len(points) // MOST_POINTS)]) if apart else ()
