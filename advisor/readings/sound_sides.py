"""What the beat of a recording tells of the two sides: how unlike they are, and when one plug was shorted.

Of a sound that takes turns between a strong and a weak pulse, the tones at whole orders of the engine's turns carry
(strong + weak) squared and those at half orders (strong - weak) squared: Fourier's series of two like pulses half a
period apart. The autocorrelation after two turns holds both with one sign, after one turn with opposite signs
(Wiener and Khinchin). So their ratio follows from it, with no filter. Speeds in 1/min, times in s.
"""

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import ndimage

from advisor.readings.sound_pitch import HOP, Track

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Mask = NDArray[np.bool_]

BLOCK = 20  # moments: the strength is told anew every two seconds
FEWEST_BLOCKS = 3
ALIKE, UNLIKE = (
    0.22,
    0.30,
)  # half orders over whole orders, up to which two sides sound alike, from which not: judgement
SHORTEST, LONGEST = 1.0, 20.0  # s that a plug is shorted: less cannot be told from a misfire, more is no test
BESIDE = 1.5  # s of both sides firing, before and after
SETTLES, LOOKS = 1.0, 2.5  # s after it until the revs are back; s over which they are read


class HalfOrder(msgspec.Struct, frozen=True, kw_only=True):
    """The half orders' strength against that of the whole orders, 0 (alike) to 1 (one side silent), with its bounds.

    `share` is how strong the weaker side sounds against the stronger. `verdict` is alike, unlike, or '' (cannot tell).
    """

    strength: float
    low: float
    high: float
    share: float
    verdict: str


class Shorting(msgspec.Struct, frozen=True, kw_only=True):
    """One plug shorted, by ear: from when to when, the revs before, during and after, and the drop with its bound."""

    start: float
    end: float
    before: float
    during: float
    after: float
    drop: float
    within: float


def half_order(found: Track, chosen: "Mask") -> HalfOrder | None:
    """Return how unlike the sides sound in the moments chosen; None if these are too few."""
    once, twice = found.once[chosen], found.twice[chosen]
    count = len(once) // BLOCK
    if count < FEWEST_BLOCKS:
        return None
    one, two = (part[: count * BLOCK].reshape(count, BLOCK).mean(axis=1) for part in (once, twice))
    ratio = np.clip((two - one) / np.maximum(two + np.maximum(one, 0.0), 1e-6), -1.0, 1.0)
    middle, error = float(ratio.mean()), 2 * float(ratio.std(ddof=1)) / count**0.5
    low, value, high = (math.sqrt(min(max(middle + by, 0.0), 1.0)) for by in (-error, 0.0, error))
    verdict = "alike" if high <= ALIKE else "unlike" if low >= UNLIKE else ""
    return HalfOrder(strength=value, low=low, high=high, share=(1 - value) / (1 + value), verdict=verdict)


def shortings(found: Track, beats: "Mask") -> tuple[Shorting, ...]:
    """Return each moment at which one side fell silent and came back, as it does with its plug shorted."""
    alone = found.alone & beats
    alone = ndimage.binary_opening(ndimage.binary_closing(alone, iterations=3), iterations=2)
    parts, _ = ndimage.label(alone)
    both = beats & ~alone
    made = [_shorting(found, both, place.start, place.stop) for (place,) in ndimage.find_objects(parts)]
    return tuple(one for one in made if one is not None)


def _shorting(found: Track, both: "Mask", start: int, stop: int) -> Shorting | None:
    lasts = (stop - start) * HOP
    settles, looks = round(SETTLES / HOP), round(LOOKS / HOP)
    before = _near(found.revs, both, max(start - looks, 0), start - 3)
    after = _near(found.revs, both, stop + settles, stop + settles + looks)
    if not SHORTEST <= lasts <= LONGEST or min(len(before), len(after)) * HOP < BESIDE / 2:
        return None
    during = found.revs[start + (stop - start) // 2 : max(stop - 3, start + (stop - start) // 2 + 1)]
    levels = [float(np.median(one)) for one in (before, during, after)]
    errors = [1.2533 * float(np.std(one)) / len(one) ** 0.5 for one in (before, during, after)]
    drop = (levels[0] + levels[2]) / 2 - levels[1]
    moved = abs(levels[0] - levels[2]) / 2
    return Shorting(
        start=float(found.time[start]),
        end=float(found.time[stop - 1]),
        before=levels[0],
        during=levels[1],
        after=levels[2],
        drop=drop,
        within=2 * math.hypot(errors[0] / 2, errors[1], errors[2] / 2) + moved + 0.003 * levels[0],
    )


def _near(revs: "Column", both: "Mask", start: int, stop: int) -> "Column":
    near: Column = revs[max(start, 0) : max(stop, 0)][both[max(start, 0) : max(stop, 0)]]
    return near


def without(time: "Column", cut: tuple[Shorting, ...]) -> "Mask":
    """Return the moments at which no plug is shorted, and none was a little before."""
    kept = np.ones(len(time), bool)
    for one in cut:
        kept &= (time < one.start - 2 * HOP) | (time > one.end + 2.0)
    return kept
