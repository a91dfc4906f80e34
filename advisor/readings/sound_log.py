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
from advisor.readings.sound_pitch import FASTEST, HOP, Between, Track, at_some, between, track
from advisor.readings.sound_sides import HalfOrder, Shorting, half_order, shortings, without

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Mask = NDArray[np.bool_]

LONGEST = 1_200.0  # s that are listened to: air-cooled engines do not idle that long on a stand
CLIPPED = 0.02  # share of clipped samples from which the strength of the beats is not known: judgement
ALONE_UNDER, ALONE_OR_BOTH = 550.0, 650.0  # rpm: no such engine idles on both sides under the first; judgement
MOST_ALONE = 0.7  # share of the moments on one side alone, from which nothing in it says where both sides fire
# How much what is half-way between beats stands out (correlation), from which it may be the weaker of two sides, and
# from which a side is heard at all; on sounds of known revs even sides have 0.01, a wall near by up to 0.3.
WEAKER, HEARD_TOO = 0.35, 0.20
TWO_SIDES = 0.08  # strength of half orders that is there for sure: no engine repeats itself after four turns only
FITS = 0.2  # share of the revs that were told, within which a beat belongs to them
BRIDGED = 6  # moments without a clear beat between two with one, as in the rise of a blip, whose revs are kept
METHOD = 0.003  # of the revs: how far the method itself is trusted, on sounds of known revs

CANNOT = "This recording cannot tell the revs. "
EITHER = (
    "It beats {slow:.0f} times a minute: that is {slow:.0f} rpm with both sides firing, or {fast:.0f} rpm with one "
    "side dead. Say about how fast it ran: --near '{fast:.0f} rpm'."
)
WEAK = (
    "It beats {slow:.0f} times a minute, with weaker beats between: {slow:.0f} rpm and an echo, or {fast:.0f} rpm with "
    "one side much weaker, or nearer to the phone. Record it midway between the silencers, or say about how fast it "
    "ran: --near '{fast:.0f} rpm'."
)
NOT_NEAR = "It beats as at {revs:.0f} rpm, and it was said to run near {near:.0f} rpm: one of the two is wrong."


class SoundLog(msgspec.Struct, frozen=True, kw_only=True):
    """What a recording tells. With a `doubt` it cannot tell the revs, and the rest is empty.

    `level` is the median of the revs, trusted to `within`; `alone`: only one side fires in nearly all of it. `either`
    is the other speed that it would be if one side were dead, where nothing in it speaks against that. `idle` is
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
    either: float | None = None
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
    alone = bool(found.alone[beats].mean() > MOST_ALONE)
    rest = between(heard, found.revs / 2 if alone else found.revs, beats & (found.alone == alone))
    times, either = _octave(float(np.median(found.revs[beats])), rest, near, alone=alone)
    if either:
        return msgspec.structs.replace(told, doubt=CANNOT + either)
    found = _turned(found, times, rest, alone=alone)
    whole = _told(told, sound.file, found, beats, starts)
    return whole if near is not None else msgspec.structs.replace(whole, either=_either(whole))


def _best(recorded: Recording) -> Heard:
    """Return the way to listen with the clearest beat: all channels together, unless one alone is clearer."""
    clear = [at_some(one) for one in recorded.ways]
    return recorded.ways[int(np.argmax([one - 0.02 * (number > 0) for number, one in enumerate(clear)]))]


def _octave(level: float, rest: Between, near: float | None, *, alone: bool) -> tuple[float, str]:
    """Return by how much the revs must be multiplied, or why that cannot be told.

    One side alone at some speed sounds like both at half of it, and so does a side that is heard much more than the
    other. Inside a recording the revs do not jump; what sounds so from end to end needs what is known from elsewhere:
    where such an engine idles.
    """
    slow = level / 2 if alone else level
    if near is not None:
        best = min((slow, 2 * slow), key=lambda one: abs(one / near - 1))
        return (best / level, "" if abs(best / near - 1) <= FITS else NOT_NEAR.format(revs=level, near=near))
    if slow < ALONE_UNDER:
        return 2 * slow / level, ""
    if slow < ALONE_OR_BOTH or (rest.stands_out >= WEAKER and 2 * slow <= FASTEST):
        return 1.0, (WEAK if rest.stands_out >= WEAKER else EITHER).format(slow=slow, fast=2 * slow)
    return slow / level, ""


def _either(found: SoundLog) -> float | None:
    """Return twice the level, unless a side was heard to fall silent, or both to differ: then it is two that fire."""
    both = found.half_order is not None and found.half_order.low > TWO_SIDES
    if found.level is None or found.alone or found.shorted or both or 2 * found.level > FASTEST:
        return None
    return 2 * found.level


def _turned(found: Track, times: float, rest: Between, *, alone: bool) -> Track:
    """Return the track with its revs multiplied, and with both sides in it where the weaker one is heard too."""
    slow = times < 1 or (times == 1 and not alone)
    if slow and not alone:
        return found
    whole, count = found.twice if alone else found.once, len(found.revs)
    if slow:
        once, limps = whole, False
    else:
        once, limps = np.full(count, max(rest.like, 0.0)), rest.stands_out < HEARD_TOO
    return msgspec.structs.replace(found, revs=found.revs * times, once=once, twice=whole, alone=np.full(count, limps))


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
