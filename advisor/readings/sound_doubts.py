"""Why a recording cannot tell the revs: what else it may be, and what to do about it.

The limits were set by hand, on sounds made for it: `tests/readings/test_sound_doubts.py`.
"""

from typing import TYPE_CHECKING

import numpy as np

from advisor.readings.sound_bands import Heard, Recording
from advisor.readings.sound_pitch import GRID, Track, likeness

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Mask = NDArray[np.bool_]

SHORTEST = 4.0  # s
QUIET = 0.0005  # of full scale: the noise of a microphone alone
HUSHED = 0.05  # of the loudest tenth of the recording: the engine is off
REPEATS, CLEARLY = 0.42, 0.25  # correlation from which a moment beats, and that of its second best curve
MOSTLY = 0.6  # share of the moments that must beat
WIND = 0.6  # share of the power in the lowest tones from which wind or rumble drowns the rest
TONE = 0.5  # share of the power in one tone
LEAPS, LEAP = 0.06, 0.15  # share of the moments that leap, and by how many octaves: no crankshaft does
STILL = 0.0002  # share of the revs: no engine turns as evenly as that
MAINS = (1_500.0, 1_800.0, 3_000.0, 3_600.0, 6_000.0)  # beats of 50 and 60 Hz, as revs
ON_MAINS, HUMS = 0.002, 0.0006  # shares of the revs: how near to one of these, and how even, a hum is
SMALL = 4
SECOND = 0.30  # correlation of a second beat from which there is another engine near
PLAIN = sorted(  # ratios that two beats of one engine may have
    {one / two for one in range(1, 9) for two in range(1, 9) if min(one, two) == 1 or max(one, two) <= SMALL}
)
BLOCK, MOST_BLOCKS = 20, 20  # moments: the second beat is looked for in two seconds together; so many times
NEAR = 0.02  # how near to such a ratio

WHY = {
    "short": "It is too short: record 40 s of the idle.",
    "quiet": "It is too quiet, or nothing was running: go nearer, a metre behind the silencers, and record again.",
    "wind": "Wind or rumble drowns the exhaust: record it out of the wind, and lay the phone on something soft.",
    "tone": "It is one tone, as of gears, a fan or a horn, with no beat of an exhaust: go nearer to the silencers.",
    "hum": "It is as even as no engine is: the hum of the mains, or a tone. Record it outdoors, the engine running.",
    "leaps": "Its beat leaps as no engine can: music, talk, or something knocking. Record the engine alone.",
    "two": "Two engines beat in it: record it where no other engine runs.",
    "none": "It has no steady beat: noise, traffic, or an engine that hardly runs. Record it nearer and alone.",
}


def beating(found: Track, loud: "Column") -> "Mask":
    """Return the moments that beat, and are not as quiet as an engine that is off."""
    clear = (np.maximum(found.once, found.twice) >= REPEATS) & (found.clear >= CLEARLY)
    return clear & sounding(found, loud)


def sounding(found: Track, loud: "Column") -> "Mask":
    """Return the moments in which something is heard."""
    there = np.zeros(len(found.time), bool)
    level = loud[: len(there)]
    there[: len(level)] = level > max(HUSHED * float(np.percentile(loud, 90)), QUIET)
    return there


def doubt(recorded: Recording, heard: Heard, found: Track, lasts: float) -> str:
    """Return why it cannot tell the revs, as a key of WHY; '' if it can."""
    if lasts < SHORTEST:
        return "short"
    if not len(recorded.loud) or float(np.percentile(recorded.loud, 90)) < QUIET:
        return "quiet"
    there, beats = sounding(found, recorded.loud), beating(found, recorded.loud)
    if _another(heard, found, there):
        return "tone" if recorded.tone > TONE else "two"
    if there.sum() == 0 or beats.sum() < MOSTLY * there.sum():
        return "wind" if recorded.low > WIND else "tone" if recorded.tone > TONE else "none"
    return _too_odd(found.revs[beats], np.diff(np.flatnonzero(beats)) == 1)


def _too_odd(revs: "Column", next_to: "Mask") -> str:
    steps = np.diff(np.log2(revs))[next_to]
    if len(steps) and float((np.abs(steps) > LEAP).mean()) > LEAPS:
        return "leaps"
    even = 1.4826 * float(np.median(np.abs(np.diff(revs)))) / float(np.median(revs))
    mains = min(abs(float(np.median(revs)) / one - 1) for one in MAINS)
    return "hum" if even < STILL or (mains < ON_MAINS and even < HUMS) else ""


def _another(heard: Heard, found: Track, there: "Mask") -> bool:
    """Return whether a second beat is left when the first is taken out.

    What repeats itself after two turns is taken out by taking away what was heard two turns ago.
    """
    blocks = [start for start in range(0, len(there) - BLOCK + 1, BLOCK) if there[start : start + BLOCK].all()]
    if not blocks:
        return False
    blocks = [blocks[place] for place in np.unique(np.linspace(0, len(blocks) - 1, MOST_BLOCKS).astype(int))]
    time = np.arange(len(heard.curves[0])) / heard.rate
    back = 120.0 / np.interp(time, found.time, found.revs)
    rest = Heard(
        rate=heard.rate,
        curves=tuple((one - np.interp(time - back, time, one)).astype(np.float32) for one in heard.curves),
    )
    rows = np.add.outer(blocks, np.arange(BLOCK))
    (half, once), _ = likeness(rest, (0.5, 1.0), rows.ravel())
    score = (once - 0.5 * np.maximum(half, 0.0)).reshape(*rows.shape, -1).mean(axis=1)
    revs = np.median(found.revs[rows], axis=1)
    seen = [float(each[~_plain(float(at))].max()) for each, at in zip(score, revs, strict=True)]
    return float(np.median(seen)) > SECOND


def _plain(revs: float) -> "Mask":
    """Return the speeds of GRID at which one engine may seem to turn."""
    found: Mask = np.any([np.abs(GRID / (revs * ratio) - 1) < NEAR for ratio in PLAIN], axis=0)
    return found
