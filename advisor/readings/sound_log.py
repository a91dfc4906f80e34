"""A recording of the exhaust as a log: revs over time, worked out like any idle log, and what else it tells.

Speeds in 1/min, times in s.
"""

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import ndimage

from advisor.errors import CaseError
from advisor.intake.logfile import Log
from advisor.intake.sound_file import Sound
from advisor.readings.idle_log import SHORTEST, IdleLog, reduce_idle
from advisor.readings.sound_bands import Heard, Recording, listen
from advisor.readings.sound_doubts import WHY, beating, doubt
from advisor.readings.sound_pitch import HOP, Track, at_some, track
from advisor.readings.sound_sides import HalfOrder, Shorting, half_order, shortings, without

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Mask = NDArray[np.bool_]

LONGEST = 1_200.0  # s that are listened to: air-cooled engines do not idle that long on a stand
CLIPPED = 0.02  # share of clipped samples from which the strength of the beats is not known: judgement
ALONE_UNDER, ALONE_OR_BOTH = 550.0, 650.0  # rpm: no such engine idles on both sides under the first; judgement
MOST_ALONE = 0.7  # share of the moments on one side alone, from which nothing in it says where both sides fire
FITS = 0.2  # share of the revs that were told, within which a beat belongs to them
BRIDGED = 6  # moments without a clear beat between two with one, as in the rise of a blip, whose revs are kept
METHOD = 0.003  # of the revs: how far the method itself is trusted, on sounds of known revs

CANNOT = "This recording cannot tell the revs. "
EITHER = (
    "It beats {slow:.0f} times a minute: that is {slow:.0f} rpm with both sides firing, or {fast:.0f} rpm with one "
    "side dead. Say about how fast it ran: --near '{fast:.0f} rpm'."
)
NOT_NEAR = "It beats as at {revs:.0f} rpm, and it was said to run near {near:.0f} rpm: one of the two is wrong."


class SoundLog(msgspec.Struct, frozen=True, kw_only=True):
    """What a recording tells. With a `doubt` it cannot tell the revs, and the rest is empty.

    `level` is the median of the revs, trusted to `within`; `alone`: only one side fires in nearly all of it. `idle` is
    None for what is shorter than an idle log must be. `half_order` compares the sides, `shorted` holds each moment with
    one plug shorted, `kept` is how long the rest lasts, `revs` are the revs at each of its `times`, and `beats` is the
    share of it in which the beat is clear.
    """

    lasts: float
    rate: int
    channels: int
    repairs: tuple[str, ...]
    clipped: bool
    doubt: str
    level: float | None = None
    within: float | None = None
    alone: bool = False
    beats: float = 0.0
    idle: IdleLog | None = None
    half_order: HalfOrder | None = None
    shorted: tuple[Shorting, ...] = ()
    kept: float = 0.0
    times: tuple[float, ...] = ()
    revs: tuple[float, ...] = ()


def reduce_sound(sound: Sound, starts: str = "", near: float | None = None) -> SoundLog:
    """Return what an open recording tells; `starts` is cold or warm as for a log, `near` about how fast it ran (1/min).

    Raises CaseError when its samples cannot be read.
    """
    recorded = listen(sound)
    heard = _best(recorded)
    found = track(heard)
    told = SoundLog(
        lasts=sound.lasts,
        rate=sound.rate,
        channels=sound.channels,
        repairs=sound.repairs,
        clipped=recorded.clipped > CLIPPED,
        doubt="",
    )
    why = doubt(recorded, heard, found, sound.lasts)
    if why:
        return msgspec.structs.replace(told, doubt=CANNOT + WHY[why])
    beats = beating(found, recorded.loud)
    times, either = _octave(found, beats, near)
    if either:
        return msgspec.structs.replace(told, doubt=CANNOT + either)
    if times != 1:
        found = _turned(found, times)
    return _told(told, sound.file, found, beats, starts)


def _best(recorded: Recording) -> Heard:
    """Return the way to listen with the clearest beat: all channels together, unless one alone is clearer."""
    clear = [at_some(one) for one in recorded.ways]
    return recorded.ways[int(np.argmax([one - 0.02 * (number > 0) for number, one in enumerate(clear)]))]


def _octave(found: Track, beats: "Mask", near: float | None) -> tuple[float, str]:
    """Return by how much the revs must be multiplied, or why that cannot be told.

    One side alone at some speed sounds like both at half of it. Inside a recording the revs do not jump; what is
    one-sided from end to end needs what is known from elsewhere: where such an engine idles.
    """
    level, alone = float(np.median(found.revs[beats])), bool(found.alone[beats].mean() > MOST_ALONE)
    slow = level / 2 if alone else level
    if near is not None:
        ways = [one for one in (level, slow, 2 * slow) if abs(one / near - 1) <= FITS]
        best = min(ways, key=lambda one: abs(one / near - 1), default=None)
        return (1.0, NOT_NEAR.format(revs=level, near=near)) if best is None else (best / level, "")
    if slow < ALONE_UNDER:
        return 2 * slow / level, ""
    return (1.0, EITHER.format(slow=slow, fast=2 * slow)) if slow < ALONE_OR_BOTH else (slow / level, "")


def _turned(found: Track, times: float) -> Track:
    """Return the track with its revs doubled (one side alone), or halved (both sides)."""
    nothing = np.zeros_like(found.once)
    if times > 1:
        return msgspec.structs.replace(
            found, revs=found.revs * times, once=nothing, twice=found.once, alone=np.ones(len(found.revs), bool)
        )
    return msgspec.structs.replace(
        found, revs=found.revs * times, once=found.twice, twice=found.twice, alone=np.zeros(len(found.revs), bool)
    )


def _told(told: SoundLog, file: str, found: Track, beats: "Mask", starts: str) -> SoundLog:
    alone = bool(found.alone[beats].mean() > MOST_ALONE)
    cut = () if alone else shortings(found, beats)
    kept = ndimage.binary_closing(beats, iterations=BRIDGED) | beats
    still = kept & without(found.time, cut)
    rows = Log(file=file, columns={"time": found.time[still], "revs": found.revs[still]}, repairs=())
    level, within = _level(found.revs[beats & still] if (beats & still).any() else found.revs[beats])
    return msgspec.structs.replace(
        told,
        level=level,
        within=within,
        alone=alone,
        beats=float(beats.mean()),
        idle=_idle(rows, starts),
        half_order=None if told.clipped or alone else half_order(found, beats & still & ~found.alone),
        shorted=cut,
        kept=float(still.sum()) * HOP,
        times=tuple(np.round(found.time[kept], 3).tolist()),
        revs=tuple(np.round(found.revs[kept], 1).tolist()),
    )


def _level(revs: "Column") -> tuple[float, float]:
    """Return the median, and how far it is trusted (95 %): by its standard error over two-second parts, and METHOD."""
    size = max(len(revs) // max(round(2 / HOP), 1), 1)
    parts = [float(np.median(one)) for one in np.array_split(revs, size)]
    error = 2 * 1.2533 * float(np.std(parts)) / len(parts) ** 0.5
    level = float(np.median(revs))
    return level, float(np.hypot(error, METHOD * level))


def _idle(rows: Log, starts: str) -> IdleLog | None:
    time = rows.columns["time"]
    if len(time) < 2 or time[-1] - time[0] < SHORTEST:  # noqa: PLR2004 - a span has two ends
        return None
    try:
        return reduce_idle(rows, starts)
    except CaseError:  # too short without what was left out
        return None
