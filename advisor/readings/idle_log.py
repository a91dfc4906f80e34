"""An idle log reduced: level, trend, hunting, hanging after a blip and steps, cold and warm apart.

A log is worked out piece by piece, from pause to pause. What no piece is long enough to tell is not known: None.
Arrays are one-dimensional and of one length; times in s, speeds in 1/min, temperatures in degrees C.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import ndimage, signal, stats

from advisor.errors import CaseError, Problem
from advisor.intake.logfile import STOPPED, Log
from advisor.readings.blips import falls, off_idle, running_level
from advisor.readings.pieces import Rows, pieces, rows_in, spacing, split
from advisor.readings.warmth import LEAST_RISE, warm_and_cold
from advisor.rulebase.model import Logged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

FASTEST = 20.0  # Hz: nothing at idle happens in less than a tenth of a second
PAUSE = 3.0  # s without a row that make a pause, if longer than ten rows as a rule
LEAST_PIECE = 4.0  # s: a shorter piece says nothing; two bins
LONGEST = 43_200.0  # s: nobody watches an idle for half a day; such times are wrong
HOLE = 15.0  # s between two stretches of idle from which they are no longer one: longer than a blip
MOSTLY = 0.9  # the share of a log left after a starting attempt or two
MOST_BINS = 300
BIN, BINS_A_STEP, STAYS = 2.0, 5, 15  # s; bins on either side of a step, and bins that it must last
LEAST_STEP, STEP_OVER_NOISE = 60.0, 5.0
SHORTEST = 30.0  # s of idle needed to see a trend
FEWEST_BINS = 5  # a slope from fewer has no interval worth the name
LEAST_SWING = 30.0  # rpm: a regular wander of less is no hunt
HUNT_FROM, HUNT_TO = 0.05, 2.0  # Hz
WINDOW = 60.0  # s of idle by which frequencies are told apart
MOST_STEPS = 5  # a part that lets go does so a few times at most: judgement
REGULAR = 0.3  # share of the wander in one narrow band from which it is a hunt with a period


class Slope(msgspec.Struct, frozen=True):
    """A robust slope (Theil-Sen) with its 95 % interval."""

    value: float
    low: float
    high: float


class Span(msgspec.Struct, frozen=True, kw_only=True):
    """One part of the log: start and end, median idle, drift in rpm per minute and in rpm per K (None: not known)."""

    start: float
    end: float
    level: float
    level_within: float
    drift: Slope | None
    by_temperature: Slope | None


class IdleLog(msgspec.Struct, frozen=True, kw_only=True):
    """The result of an idle log.

    `stands`: the engine hardly runs in it. `swing` is the warm idle's wander from its 5th to its 95th percentile,
    `period` that of a regular hunt, `steps` are its sudden changes that last; None: no piece is long enough to tell.
    `gaps` are the pauses; `longest` is the longest stretch of warm idle, in s; `moved` says by how much the warm idle
    was another one after a pause (time in s, rpm); `cut` counts the blips that a pause cuts off.
    """

    rows: int
    rate: float
    stands: bool
    warm: Span | None
    cold: Span | None
    swing: float | None
    period: float | None
    hangs: tuple[float, ...]
    steps: tuple[tuple[float, float], ...] | None
    gaps: tuple[tuple[float, float], ...]
    longest: float
    moved: tuple[tuple[float, float], ...]
    cut: int


def reduce_idle(log: Log, starts: str = "", warm_at: float | None = None) -> IdleLog:
    """Return the result of an idle log. Raises CaseError when it is too short for one, or pauses too often.

    The engine is warm from `warm_at` degrees, or once most of the rise in temperature is over; without
    temperatures, from the start of a log that starts warm, else from five minutes.
    """
    parts, gaps = _without_pauses(log)
    step = spacing(one.time for one in parts)
    revs = np.concatenate([one.revs for one in parts])
    found = _blips(parts, revs, step)
    warm, cold = _warm_and_cold(parts, [idle for idle, _, _ in found], starts, warm_at)
    steps = _all_steps(warm)
    swing, period = _all_hunting(warm, steps or (), step)
    span = _span(warm, steps or (), period)
    moved = _moved(warm, span.drift if span else None, swing)
    if span and moved and span.drift and span.drift.low <= 0 <= span.drift.high:
        span = msgspec.structs.replace(span, drift=None)
    return IdleLog(
        rows=len(log.columns["time"]),
        rate=1 / step,
        stands=bool(np.mean(revs < STOPPED) > MOSTLY),
        warm=span,
        cold=_span(cold, (), None),
        swing=swing,
        period=period,
        hangs=tuple(one for _, falling, _ in found for one in falling),
        steps=None if moved and not steps else steps,
        gaps=gaps,
        longest=max((two.lasts for one in warm for two in split(one, HOLE)), default=0.0),
        moved=moved,
        cut=sum(cut for _, _, cut in found),
    )


def oddities(found: IdleLog, hang_most: float) -> tuple[Logged, ...]:
    """Return the faults of the warm idle; revs hang if most falls take over `hang_most` s."""
    drift = found.warm.drift if found.warm else None
    steps = found.steps or ()
    odd: dict[Logged, bool] = {
        "climbs": drift is not None and drift.low > 0,
        "drops": drift is not None and drift.high < 0,
        "hunts": found.period is not None,
        "in steps": len(steps) > MOST_STEPS and found.period is None,
        "jumped": 0 < len(steps) <= MOST_STEPS,
        "hangs": bool(found.hangs) and sorted(found.hangs)[len(found.hangs) // 2] > hang_most,
    }
    return tuple(name for name, there in odd.items() if there)


def _without_pauses(log: Log) -> tuple[list[Rows], tuple[tuple[float, float], ...]]:
    """Return the pieces that are long enough to say anything, and the pauses between all of them."""
    rows = Rows(log.columns["time"], log.columns["revs"], log.columns.get("temperature"))
    needs = f"an idle log needs {SHORTEST:.0f} s or more"
    if len(rows.time) < 2 or rows.lasts < SHORTEST:  # noqa: PLR2004 - a span has two ends
        lasts = f"{rows.lasts:.0f} s" if len(rows.time) > 1 else f"{len(rows.time)} row"
        raise _refused(log, f"is too short ({lasts}); {needs}")
    found = pieces(log, PAUSE)
    parts = [one for one in map(rows.taken, found) if one.lasts >= LEAST_PIECE]
    whole = sum(one.lasts for one in parts)
    if whole < SHORTEST:
        text = f"is too short without its pauses (its pieces of {LEAST_PIECE:.0f} s or more last {whole:.0f} s in all)"
        raise _refused(log, f"{text}; {needs}")
    if whole > LONGEST:
        raise _refused(log, f"lasts {whole / 3600:.1f} hours, and 12 at most are of use; are its times in seconds?")
    gaps = [(float(rows.time[one.stop - 1]), float(rows.time[two.start])) for one, two in pairwise(found)]
    step = spacing(one.time for one in parts)
    return [_thinned(one, step) for one in parts], tuple(gaps)


def _thinned(rows: Rows, step: float) -> Rows:
    """Return means over a twentieth of a second if the log is sampled faster than that."""
    block = min(rows_in(1 / FASTEST, step), len(rows.time) // 2)
    if block < 2:  # noqa: PLR2004 - one row a block thins nothing
        return rows
    size = len(rows.time) // block * block

    def mean(column: "Column") -> "Column":
        means: Column = column[:size].reshape(-1, block).mean(axis=1)
        return means

    heat = rows.temperature
    return Rows(mean(rows.time), mean(rows.revs), None if heat is None else mean(heat))


def _blips(parts: Sequence[Rows], revs: "Column", step: float) -> "list[tuple[NDArray[np.bool_], list[float], int]]":
    """Return for each piece which of its rows are idle, how long each blip took to fall, and the blips cut off."""
    low, middle = float(np.percentile(revs, 20)), float(np.median(revs))
    found = []
    for number, one in enumerate(parts):
        off = off_idle(one.revs, step, low, middle) | (one.revs < STOPPED)
        falling, at_start, at_end = falls(one.time, one.revs, off, step)
        cut = (at_start if number else 0) + (at_end if number < len(parts) - 1 else 0)
        found.append((~ndimage.binary_dilation(off, iterations=rows_in(2.0, step)), falling, cut))
    return found


def _warm_and_cold(
    parts: Sequence[Rows], idle: "Sequence[NDArray[np.bool_]]", starts: str, warm_at: float | None
) -> tuple[list[Rows], list[Rows]]:
    """Return the warm idle and the cold idle of each piece, where there is enough of it."""
    masks = warm_and_cold(parts, starts, warm_at)
    warm = [one.taken(still & is_warm) for one, still, (is_warm, _) in zip(parts, idle, masks, strict=True)]
    cold = [one.taken(still & is_cold) for one, still, (_, is_cold) in zip(parts, idle, masks, strict=True)]
    return [one for one in warm if one.lasts >= LEAST_PIECE], [one for one in cold if one.lasts >= LEAST_PIECE]


def _bins(time: "Column", *columns: "Column", width: float) -> "tuple[Column, ...]":
    """Return the times of bins and each column's median in them."""
    number = ((time - time[0]) / width).astype(np.int64)
    filled = np.unique(number)
    return tuple(np.asarray(ndimage.median(one, number, filled)) for one in (time, *columns))


def _span(parts: Sequence[Rows], steps: tuple[tuple[float, float], ...], period: float | None) -> Span | None:
    """Return the level of all pieces together, and their slopes, each worked out inside its piece."""
    if sum(one.lasts for one in parts) < SHORTEST / 2:
        return None
    flats, drifts, by_heat = [], [], []
    for one in parts:
        columns = (one.revs,) if one.temperature is None else (one.revs, one.temperature)
        at, middle, *heat = _bins(one.time, *columns, width=max(BIN, 2 * (period or 0.0), one.lasts / MOST_BINS))
        flat = middle - _stepped(at, steps)
        flats.append(flat)
        if one.lasts >= SHORTEST:
            drifts.append((flat, at / 60))
        if heat and np.ptp(heat[0]) >= LEAST_RISE:
            by_heat.append((flat, heat[0]))
    flat = np.concatenate(flats)
    return Span(
        start=float(parts[0].time[0]),
        end=float(parts[-1].time[-1]),
        level=float(np.median(np.concatenate([one.revs for one in parts]))),
        # the standard error of a median, normal scatter
        level_within=2 * 1.2533 * float(np.std(flat)) / max(len(flat), 1) ** 0.5,
        drift=_slope_of_all(drifts),
        by_temperature=_slope_of_all(by_heat),
    )


def _slope_of_all(pairs: "Sequence[tuple[Column, Column]]") -> Slope | None:
    """Return the mean slope of all pieces. A slope's variance falls with the rows and with the square of their span.

    The half-widths of the intervals add as squares, so what rises in each piece rises in all.
    """
    found = [(len(revs) * float(np.ptp(against)) ** 2, _slope(revs, against)) for revs, against in pairs]
    known = [(weight, slope) for weight, slope in found if slope is not None and weight > 0]
    if len(known) < 2:  # noqa: PLR2004 - one needs no mean
        return known[0][1] if known else None
    whole = sum(weight for weight, _ in known)
    value = sum(weight / whole * slope.value for weight, slope in known)
    below = sum((weight / whole * (slope.value - slope.low)) ** 2 for weight, slope in known) ** 0.5
    above = sum((weight / whole * (slope.high - slope.value)) ** 2 for weight, slope in known) ** 0.5
    return Slope(value, value - below, value + above)


def _slope(revs: "Column", against: "Column") -> Slope | None:
    if len(revs) < FEWEST_BINS:
        return None
    with np.errstate(invalid="ignore"):  # many ties in both leave no interval
        found = stats.theilslopes(revs, against, alpha=0.95)
    if not np.isfinite(found.low_slope):
        return None
    return Slope(float(found.slope), float(found.low_slope), float(found.high_slope))


def _stepped(time: "Column", steps: tuple[tuple[float, float], ...]) -> "Column":
    """Return how far the steps up to each time have moved the idle."""
    moved: Column = np.zeros(len(time))
    for at, size in steps:
        moved += size * (time >= at)
    return moved


def _all_steps(parts: Sequence[Rows]) -> tuple[tuple[float, float], ...] | None:
    """Return the steps in all pieces that are long enough to show any; None if none is."""
    long = [one for one in parts if one.lasts >= SHORTEST]
    return tuple(step for one in long for step in _steps(one.time, one.revs)) if long else None


def _steps(time: "Column", revs: "Column") -> tuple[tuple[float, float], ...]:
    """Return (time, size) of each sudden change of the idle that lasts."""
    at, middle = _bins(time, revs, width=max(BIN, float(time[-1] - time[0]) / 5_000))
    side = BINS_A_STEP
    if len(middle) < 2 * side + 1:
        return ()
    windows = np.median(np.lib.stride_tricks.sliding_window_view(middle, side), axis=1)
    jump = windows[side:] - windows[:-side]  # the bins from k + side on compared with those before
    noise = 1.4826 * float(np.median(np.abs(np.diff(middle)))) * 1.2533 / side**0.5
    drift = float(np.median(jump))  # a steady slope gives the same jump everywhere
    found: list[tuple[float, float]] = []
    rest = np.abs(jump - drift)
    while rest.size and rest.max() > max(LEAST_STEP, STEP_OVER_NOISE * noise):
        best = int(np.argmax(rest))
        size = float(jump[best] - drift)
        # Medians see a step in several places alike: it is where one bin differs most from the next.
        place = best + 1 + int(np.argmax(np.diff(middle[best : best + 2 * side]) * size))
        far = float(np.median(middle[place : place + STAYS]) - np.median(middle[max(place - STAYS, 0) : place]))
        if far * size > 0 and abs(far) > 0.6 * abs(size):
            found.append((float(at[place - 1] + at[place]) / 2, size))
        rest[max(best - 2 * side, 0) : best + 2 * side + 1] = 0.0
    return tuple(sorted(found))


def _moved(parts: Sequence[Rows], drift: Slope | None, swing: float | None) -> tuple[tuple[float, float], ...]:
    """Return where the idle was another one after a pause, and by how much, unless the drift accounts for it."""
    least, side = max(LEAST_STEP, (swing or 0.0) / 2), BIN * BINS_A_STEP
    found = []
    for one, two in pairwise(parts):
        before = float(np.median(one.revs[one.time >= one.time[-1] - side]))
        after = float(np.median(two.revs[two.time <= two.time[0] + side]))
        drifted = drift.value * float(two.time[0] - one.time[-1]) / 60 if drift else 0.0
        if not min(0.0, drifted) - least <= after - before <= max(0.0, drifted) + least:
            found.append((float(two.time[0]), after - before))
    return tuple(found)


def _all_hunting(
    parts: Sequence[Rows], steps: tuple[tuple[float, float], ...], step: float
) -> tuple[float | None, float | None]:
    """Return the mean wander in rpm of the pieces that are long enough, and the period in s of a hunt in them."""
    long = [one for part in parts for one in split(part, HOLE) if one.lasts >= SHORTEST]
    if not long:
        return None, None
    step = max(step, 0.1)
    found = [_wander(one, steps, step) for one in long]
    weights = [one.lasts for one in long]
    swing = float(np.average([wander for wander, _, _ in found], weights=weights))
    frequency, power = found[0][1], np.average([power for _, _, power in found], axis=0, weights=weights)
    return swing, _period(frequency, power) if swing >= LEAST_SWING else None


def _wander(rows: Rows, steps: tuple[tuple[float, float], ...], step: float) -> "tuple[float, Column, Column]":
    """Return the wander of the idle in rpm, and its spectrum: frequencies in Hz, the same ones for every piece."""
    even = np.arange(rows.time[0], rows.time[-1], step)
    rest = np.interp(even, rows.time, rows.revs) - _stepped(even, steps)
    rest -= running_level(rest, step)
    low, high = np.percentile(ndimage.uniform_filter1d(rest, rows_in(0.5, step)), [5, 95])
    window = rows_in(WINDOW, step)
    frequency, power = signal.welch(rest, fs=1 / step, nperseg=min(len(rest), window), nfft=window, detrend="linear")
    return float(high - low), frequency, power


def _period(frequency: "Column", power: "Column") -> float | None:
    """Return the period in s if one narrow band holds much of the wander."""
    band = (frequency >= HUNT_FROM) & (frequency <= HUNT_TO)
    if band.sum() < 3 or power[band].sum() <= 0:  # noqa: PLR2004 - a peak has two sides
        return None
    best = int(np.flatnonzero(band)[np.argmax(power[band])])
    near = power[max(best - 2, 0) : best + 3].sum()
    return float(1 / frequency[best]) if near / power[band].sum() >= REGULAR else None


def _refused(log: Log, text: str) -> CaseError:
    return CaseError([Problem(log.file, 0, text)])
