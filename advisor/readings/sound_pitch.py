"""The revs that a recording beats at, ten times a second.

A flat twin that fires evenly gives a pulse at each turn of the crank, and the two sides take turns. So its sound
repeats itself after one turn (60 / revs seconds) as far as the sides are alike, and after two turns in any case. How
far it does is the autocorrelation of a window, divided by that of the window's own shape (P. Boersma, Proc. Inst.
Phonetic Sciences 17, 1993, 97), here the mean of the two best of three curves (`sound_bands`). A sound that repeats
itself after one turn does so after two and three as well: the faster of two like speeds is taken, and the best way
through all moments is found at once, on which the revs do not jump (Viterbi; Boersma, 2.3, and A. de Cheveigne and
H. Kawahara, J. Acoust. Soc. Am. 111, 2002, 1917, on errors by an octave; all from memory). Speeds in 1/min, times in s.
"""

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import fft
from scipy.signal import windows

from advisor.readings.sound_bands import Heard

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Values = NDArray[np.float32]
    Rows = NDArray[np.intp]
    Table = NDArray[np.floating]  # a row for each moment, a column for each speed of GRID

SLOWEST, FASTEST = 400.0, 7_000.0  # rpm: below it no engine turns by itself, above it this kind is in pieces
APART = 0.005  # the speeds that are tried lie so far apart, as a share
GRID = np.exp(np.arange(np.log(SLOWEST), np.log(FASTEST) + APART / 2, APART))
HOP = 0.1  # s between two moments
# From, to (rpm), length of the window (s): eight turns or more of the slowest. Points of the autocorrelation for each
# sample of a curve: a turn is to lie over 150 of them, so that a line between two is near enough to the curve.
WINDOWS = ((SLOWEST, 800.0, 1.2, 2), (800.0, 1600.0, 0.6, 4), (1600.0, 2 * FASTEST, 0.3, 8))
AT_ONCE = 400  # moments worked out together
# Set by hand on sounds of known revs (tests/readings/test_sound_pitch.py), in units of correlation:
HALVED = 0.5  # what repeats itself in half the time counts against a speed by this share: it turns twice as fast
OCTAVE = 0.05  # by which half the speed must repeat better to be believed
ALONE = 0.05  # by which a beat of one side alone is less likely than one of both
LIMPS = 1.0  # from one of the two to the other
SLOW, QUICK, HOW_QUICK = 1.0, 10.0, 0.4  # an octave of revs: up to HOW_QUICK octaves between two moments, and beyond
TURNS = (0.5, 1.0, 2.0)  # of the crank, after which it may repeat itself


class Track(msgspec.Struct, frozen=True, kw_only=True):
    """The revs at each moment of a recording.

    `once` says how well the sound repeats itself after one turn of the crank, `twice` after two; `clear` is the least
    of two curves for the better of both. `alone`: it is heard as one side firing alone.
    """

    time: "Column"
    revs: "Column"
    once: "Column"
    twice: "Column"
    clear: "Column"
    alone: "NDArray[np.bool_]"


def track(heard: Heard) -> Track:
    """Return the revs of what is heard, at each moment, whether or not there is an engine in it."""
    (half, once, twice), second = likeness(heard, TURNS, np.arange(len(moments(heard))))
    octaves = np.log2(GRID / 1000.0).astype(np.float32)
    scores = np.empty((len(once), 2, len(GRID)), np.float32)
    scores[:, 0] = once - HALVED * np.maximum(half, 0.0) + OCTAVE * octaves
    scores[:, 1] = twice - HALVED * np.maximum(once, 0.0) + OCTAVE * (octaves - 1) - ALONE
    way, limps = _best_way(scores)
    rows = np.arange(len(way))
    return Track(
        time=moments(heard),
        revs=_between(np.where(limps[:, None], twice, once), way),
        once=once[rows, way],
        twice=twice[rows, way],
        clear=np.where(limps, second[2][rows, way], second[1][rows, way]),
        alone=limps,
    )


def moments(heard: Heard) -> "Column":
    """Return the times at which the revs are worked out."""
    found: Column = np.arange(HOP, len(heard.curves[0]) / heard.rate - HOP / 2, HOP)
    return found


def likeness(heard: Heard, turns: tuple[float, ...], rows: "Rows") -> "tuple[Table, Table]":
    """Return how well these moments repeat themselves after so many turns at each speed of GRID.

    It is told twice, of the two best curves and of the second best: tables of turns, moments and speeds.
    """
    best = np.zeros((len(turns), len(rows), len(GRID)), np.float32)
    second = np.zeros_like(best)
    for slow, fast, lasts, finer in WINDOWS:
        chosen = np.flatnonzero((slow <= GRID) & (fast > GRID))
        lags = np.multiply.outer(turns, 60.0 / GRID[chosen])
        for start in range(0, len(rows), AT_ONCE):
            some = rows[start : start + AT_ONCE]
            each = np.stack([_repeats(one, heard.rate, some, (lasts, finer), lags) for one in heard.curves])
            each.sort(axis=0)
            place = np.ix_(np.arange(len(turns)), np.arange(start, start + len(some)), chosen)
            best[place], second[place] = each[-2:].mean(axis=0), each[-2]
    return best, second


def _repeats(curve: "Values", rate: float, rows: "Rows", window: tuple[float, int], lags: "Column") -> "Table":
    """Return the autocorrelation of a curve at these lags (s), in a window around each of these moments."""
    lasts, finer = window
    size = int(lasts * rate)
    shape = windows.hann(size).astype(np.float32)
    starts = np.round((rows + 1) * HOP * rate).astype(np.intp) - size // 2
    wide = np.pad(curve, size)  # a window over the end holds zeros, and its mean is that of the rest
    at = starts[:, None] + np.arange(size) + size
    parts, inside = wide[at], (at >= size) & (at < size + len(curve))
    weight = shape * inside
    mean = (parts * weight).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-12)
    parts = (parts - mean[:, None]) * inside
    long = fft.next_fast_len(size + int(lags.max() * rate) + 2, real=True)
    own = _autocorrelation(shape[None, :], long, finer)[0]
    found = _autocorrelation(parts * shape, long, finer)
    level = np.where(found[:, :1] > FLAT, found[:, :1], np.inf)
    place = lags * rate * finer
    low = place.astype(np.intp)
    part = place - low
    between = found[:, low] * (1 - part) + found[:, low + 1] * part
    table: Table = between / level[..., None] / np.maximum(own / own[0], 1e-3)[low]
    return table.transpose(1, 0, 2)


FLAT = 1e-12  # power of a window in which nothing at all is heard


def _autocorrelation(parts: "Table", long: int, finer: int) -> "Table":
    """Return the autocorrelation of each row, so many points a sample."""
    power = np.abs(fft.rfft(parts, long, axis=1)) ** 2
    found: Table = fft.irfft(power, finer * long, axis=1)
    return found


def _best_way(scores: "Table") -> "tuple[Rows, NDArray[np.bool_]]":
    """Return the best way through all moments, as places in GRID, and where it is one of one side alone."""
    told = np.empty_like(scores)
    before = np.zeros(scores.shape[1:])
    for row, score in enumerate(scores):
        before = score + _reached(before)
        before -= before.max()
        told[row] = before
    count = len(scores)
    way, mode = np.zeros(count, np.intp), np.zeros(count, np.intp)
    if not count:
        return way, mode.astype(bool)
    mode[-1], way[-1] = np.unravel_index(int(np.argmax(told[-1])), told[-1].shape)
    for row in range(count - 1, 0, -1):
        steps = np.abs(np.arange(len(GRID)) - way[row])
        came = told[row - 1] - _cost(steps)
        came[1 - mode[row]] -= LIMPS
        mode[row - 1], way[row - 1] = np.unravel_index(int(np.argmax(came)), came.shape)
    return way, mode.astype(bool)


A_STEP = APART / np.log(2)  # octaves
NEAR = int(HOW_QUICK / A_STEP)
NEARBY = -SLOW * A_STEP * np.abs(np.arange(-NEAR, NEAR + 1))
RISE = QUICK * A_STEP * np.arange(len(GRID))


def _cost(steps: "Rows") -> "Column":
    found: Column = np.where(
        steps <= NEAR, SLOW * A_STEP * steps, SLOW * A_STEP * NEAR + QUICK * A_STEP * (steps - NEAR)
    )
    return found


def _reached(before: "Table") -> "Table":
    """Return the best score with which each speed can be reached from the moment before, in either way to fire."""
    wide = np.pad(before, ((0, 0), (NEAR, NEAR)), constant_values=-np.inf)
    near = (np.lib.stride_tricks.sliding_window_view(wide, 2 * NEAR + 1, axis=1) + NEARBY).max(axis=2)
    up = np.maximum.accumulate(near + RISE, axis=1) - RISE
    down = (np.maximum.accumulate((near - RISE)[:, ::-1], axis=1))[:, ::-1] + RISE
    same = np.maximum(up, down)
    found: Table = np.maximum(same, same[::-1] - LIMPS)
    return found


def _between(scores: "Table", way: "Rows") -> "Column":
    """Return the speed at the top of a parabola through the best of GRID and its neighbours."""
    rows = np.arange(len(way))
    middle = np.clip(way, 1, len(GRID) - 2)
    left, top, right = (scores[rows, middle + by] for by in (-1, 0, 1))
    bend = left - 2 * top + right
    with np.errstate(divide="ignore", invalid="ignore"):
        by = np.where(bend < 0, 0.5 * (left - right) / bend, 0.0)
    found: Column = GRID[middle] * np.exp(APART * np.clip(np.nan_to_num(by), -1.0, 1.0))
    return found


class Between(msgspec.Struct, frozen=True):
    """How well the loudness repeats itself half-way to the next beat, and by how much better than beside it."""

    like: float
    stands_out: float


PARTS = np.arange(0.30, 0.7001, 0.01)  # of the time from one beat to the next
HALF_WAY = np.flatnonzero(np.abs(PARTS - 0.5) < 0.065)  # noqa: PLR2004 - a phone off the middle hears one side late


def between(heard: Heard, revs: "Column", chosen: "NDArray[np.bool_]") -> Between:
    """Return what is heard half-way between beats at these revs: the weaker of two sides, if they beat at twice that.

    It is told of the loudness of both bands, the lesser of the two. The valve gear ticks there as well, but in the
    upper band alone, and the pressure rings.
    """
    rows = np.flatnonzero(chosen)
    rows = rows[np.unique(np.linspace(0, len(rows) - 1, SOME).astype(np.intp))]
    found = np.zeros((2, len(PARTS)))
    for row in rows:
        slow = min(max(float(revs[row]), SLOWEST), FASTEST)
        *_, lasts, finer = next(one for one in WINDOWS if one[0] <= slow < one[1])
        lags = (PARTS * 60.0 / float(revs[row]))[None, :]
        window = (lasts, finer)
        found += [
            _repeats(one, heard.rate, np.array([row]), window, lags)[0, 0] / len(rows) for one in heard.curves[1:]
        ]
    told = []
    for one in found:
        top = int(HALF_WAY[np.argmax(one[HALF_WAY])])
        told.append(Between(float(one[top]), float(one[top] - max(one[:top].min(), one[top:].min()))))
    return min(told, key=lambda one: one.stands_out)


SOME = 40  # moments by which ways to listen are compared


def at_some(heard: Heard) -> float:
    """Return how clearly some moments of a way to listen repeat themselves, spread over the recording."""
    count = len(moments(heard))
    if not count:
        return 0.0
    rows = np.unique(np.linspace(0, count - 1, SOME).astype(np.intp))
    found = []
    for slow, fast, lasts, finer in WINDOWS:
        lags = 60.0 / GRID[(slow <= GRID) & (fast > GRID)][None, :]
        each = np.sort([_repeats(one, heard.rate, rows, (lasts, finer), lags)[0] for one in heard.curves], axis=0)
        found.append(each[-2:].mean(axis=0).max(axis=1))
    return float(np.median(np.max(found, axis=0)))
