"""An idle log reduced: level, trend, hunting, hanging after a blip and steps, cold and warm apart.

Arrays are one-dimensional and of one length; times in s, speeds in 1/min, temperatures in degrees C.
"""

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import ndimage, signal, stats

from advisor.errors import CaseError, Problem
from advisor.intake.logfile import Log
from advisor.rulebase.model import Logged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

FASTEST = 20.0  # Hz: nothing at idle happens in less than a tenth of a second
LEVEL_OVER = 31.0  # s, longer than a blip, shorter than any drift
BLIP = 300.0  # rpm over the idle around it
FROM, DOWN_TO = 0.9, 0.1  # the fall after a blip is timed from nine tenths of its rise to one tenth
STOPPED, MOSTLY = 200.0, 0.9  # rpm below which no engine runs; the share of a log left after a starting attempt or two
MOST_BINS = 300
BIN, BINS_A_STEP, STAYS = 2.0, 5, 15  # s; bins on either side of a step, and bins that it must last
LEAST_STEP, STEP_OVER_NOISE = 60.0, 5.0
SHORTEST = 30.0  # s of idle needed to see a trend
WARM_AFTER, WARM_SHARE = 300.0, 0.85  # s; share of the whole rise in temperature
LEAST_RISE = 10.0  # degrees C, to follow the idle by temperature
HUNT_FROM, HUNT_TO = 0.05, 2.0  # Hz
MOST_STEPS = 5  # a part that lets go does so a few times at most: judgement
REGULAR = 0.3  # share of the wander in one narrow band from which it is a hunt with a period


class Slope(msgspec.Struct, frozen=True):
    """A robust slope (Theil-Sen) with its 95 % interval."""

    value: float
    low: float
    high: float


class Span(msgspec.Struct, frozen=True, kw_only=True):
    """One part of the log: start and end, median idle, drift in rpm per minute and in rpm per K."""

    start: float
    end: float
    level: float
    level_within: float
    drift: Slope | None
    by_temperature: Slope | None


class IdleLog(msgspec.Struct, frozen=True, kw_only=True):
    """The result of an idle log.

    `stands`: the engine hardly runs in it. `swing` is the warm idle's wander from its 5th to its 95th percentile,
    `period` that of a regular hunt.
    """

    rows: int
    rate: float
    stands: bool
    warm: Span | None
    cold: Span | None
    swing: float
    period: float | None
    hangs: tuple[float, ...]
    steps: tuple[tuple[float, float], ...]
    gaps: tuple[tuple[float, float], ...]


def reduce_idle(log: Log, starts: str = "", warm_at: float | None = None) -> IdleLog:
    """Return the result of an idle log. Raises CaseError when it is too short for one.

    The engine is warm from `warm_at` degrees, or once most of the rise in temperature is over; without
    temperatures, from the start of a log that starts warm, else from five minutes.
    """
    time, revs = log.columns["time"], log.columns["revs"]
    if len(time) < 2 or time[-1] - time[0] < SHORTEST:  # noqa: PLR2004 - a span has two ends
        lasts = f"{time[-1] - time[0]:.0f} s" if len(time) > 1 else f"{len(time)} row"
        raise CaseError([Problem(log.file, 0, f"is too short ({lasts}); an idle log needs {SHORTEST:.0f} s or more")])
    temperature = log.columns.get("temperature")
    time, revs, temperature = _thinned(time, revs, temperature)
    step = float(np.median(np.diff(time)))
    level = _level(revs, step)
    off = (revs > level + BLIP) | (revs > 2.2 * np.percentile(revs, 20)) | (revs < STOPPED)
    gaps = np.flatnonzero(np.diff(time) > max(10 * step, 3.0))
    hangs = _hangs(time, revs, off, step)
    idle = ~ndimage.binary_dilation(off, iterations=max(int(2.0 / step), 1))
    warm_from = _warm_from(time, temperature, starts, warm_at)
    warm, cold = idle & (time >= warm_from), idle & (time < warm_from)
    steps = _steps(time[warm], revs[warm])
    swing, period = _hunting(time[warm], revs[warm], steps, step)
    return IdleLog(
        rows=len(log.columns["time"]),
        rate=1 / step,
        stands=bool(np.mean(revs < STOPPED) > MOSTLY),
        warm=_span(time[warm], revs[warm], None if temperature is None else temperature[warm], steps, period),
        cold=_span(time[cold], revs[cold], None if temperature is None else temperature[cold], (), None),
        swing=swing,
        period=period,
        hangs=hangs,
        steps=steps,
        gaps=tuple((float(time[one]), float(time[one + 1])) for one in gaps),
    )


def oddities(found: IdleLog, hang_most: float) -> tuple[Logged, ...]:
    """Return the faults of the warm idle; revs hang if most falls take over `hang_most` s."""
    drift = found.warm.drift if found.warm else None
    odd: dict[Logged, bool] = {
        "climbs": drift is not None and drift.low > 0,
        "drops": drift is not None and drift.high < 0,
        "hunts": found.period is not None,
        "in steps": len(found.steps) > MOST_STEPS and found.period is None,
        "jumped": 0 < len(found.steps) <= MOST_STEPS,
        "hangs": bool(found.hangs) and sorted(found.hangs)[len(found.hangs) // 2] > hang_most,
    }
    return tuple(name for name, there in odd.items() if there)


def _thinned(time: "Column", revs: "Column", temperature: "Column | None") -> "tuple[Column, Column, Column | None]":
    """Return means over a twentieth of a second if the log is sampled faster than that."""
    block = int((1 / FASTEST) / max(float(np.median(np.diff(time))), 1e-9))
    if block < 2:  # noqa: PLR2004 - one row a block thins nothing
        return time, revs, temperature
    size = len(time) // block * block

    def mean(column: "Column") -> "Column":
        means: Column = column[:size].reshape(-1, block).mean(axis=1)
        return means

    return mean(time), mean(revs), None if temperature is None else mean(temperature)


def _level(revs: "Column", step: float) -> "Column":
    """Return the idle around each row: the median over half a minute, worked out once a second."""
    thin = max(int(1.0 / step), 1)
    sparse = revs[::thin]
    width = max(int(LEVEL_OVER / (step * thin)), 3) | 1
    middle = ndimage.median_filter(sparse, size=width, mode="nearest")
    level: Column = np.interp(np.arange(len(revs)), np.arange(len(sparse)) * thin, middle)
    return level


def _hangs(time: "Column", revs: "Column", off: "NDArray[np.bool_]", step: float) -> tuple[float, ...]:
    """Return how long the revs took to fall after each blip, in s."""
    parts, count = ndimage.label(ndimage.binary_closing(off, iterations=max(int(0.5 / step), 1)))
    found = []
    for number, place in enumerate(ndimage.find_objects(parts), start=1):
        start, stop = place[0].start, place[0].stop
        before = revs[max(start - int(10 / step), 0) : max(start - int(1 / step), 0)]
        if len(before) < 3 or number > count:  # noqa: PLR2004 - an idle before it is needed
            continue
        idle, peak = float(np.median(before)), float(revs[start:stop].max())
        rise = peak - idle
        end = min(stop + int(15 / step), len(revs))
        high = np.flatnonzero(revs[start:end] >= idle + FROM * rise)
        after = start + int(high[-1])
        low = np.flatnonzero(revs[after:end] <= idle + DOWN_TO * rise)
        if rise >= BLIP and len(low) and time[start] - time[start - 1] < 1:
            found.append(float(time[after + low[0]] - time[after]))
    return tuple(found)


def _warm_from(time: "Column", temperature: "Column | None", starts: str, warm_at: float | None) -> float:
    if temperature is not None:
        if warm_at is None:
            low, high = np.percentile(temperature, [1, 99])
            if high - low < LEAST_RISE:
                return float(time[0]) if starts != "cold" else float("inf")
            warm_at = low + WARM_SHARE * (high - low)
        warm = np.flatnonzero(temperature >= warm_at)
        return float(time[warm[0]]) if len(warm) else float("inf")
    return float(time[0]) if starts == "warm" else float(time[0]) + WARM_AFTER


def _bins(time: "Column", *columns: "Column", width: float) -> "tuple[Column, ...]":
    """Return the times of bins and each column's median in them."""
    number = ((time - time[0]) / width).astype(np.int64)
    filled = np.unique(number)
    return tuple(np.asarray(ndimage.median(one, number, filled)) for one in (time, *columns))


def _span(
    time: "Column",
    revs: "Column",
    temperature: "Column | None",
    steps: tuple[tuple[float, float], ...],
    period: float | None,
) -> Span | None:
    if len(time) < 3 or time[-1] - time[0] < SHORTEST / 2:  # noqa: PLR2004 - the least a median is of
        return None
    lasts = float(time[-1] - time[0])
    width = max(BIN, 2 * (period or 0.0), lasts / MOST_BINS)
    columns = (revs,) if temperature is None else (revs, temperature)
    middles = _bins(time, *columns, width=width)
    flat = middles[1] - _stepped(middles[0], steps)
    drift = _slope(flat, middles[0] / 60) if lasts >= SHORTEST else None
    by_temperature = None
    if temperature is not None and np.ptp(middles[2]) >= LEAST_RISE:
        by_temperature = _slope(flat, middles[2])
    within = 2 * 1.2533 * float(np.std(flat)) / max(len(flat), 1) ** 0.5  # standard error of a median, normal scatter
    return Span(
        start=float(time[0]),
        end=float(time[-1]),
        level=float(np.median(revs)),
        level_within=within,
        drift=drift,
        by_temperature=by_temperature,
    )


def _slope(revs: "Column", against: "Column") -> Slope | None:
    if len(revs) < 5:  # noqa: PLR2004 - fewer have no interval worth the name
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


def _steps(time: "Column", revs: "Column") -> tuple[tuple[float, float], ...]:
    """Return (time, size) of each sudden change of the idle that lasts."""
    if len(time) < 3 or time[-1] - time[0] < SHORTEST:  # noqa: PLR2004 - as above
        return ()
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
        place = best + side
        size = float(jump[best] - drift)
        far = float(np.median(middle[place : place + STAYS]) - np.median(middle[max(place - STAYS, 0) : place]))
        if far * size > 0 and abs(far) > 0.6 * abs(size):
            found.append((float(at[place]), size))
        rest[max(best - 2 * side, 0) : best + 2 * side + 1] = 0.0
    return tuple(sorted(found))


def _hunting(
    time: "Column", revs: "Column", steps: tuple[tuple[float, float], ...], step: float
) -> tuple[float, float | None]:
    """Return the wander of the idle in rpm, and the period of a regular one in s."""
    if len(time) < 3 or time[-1] - time[0] < SHORTEST:  # noqa: PLR2004 - as above
        return 0.0, None
    even = np.arange(time[0], time[-1], max(step, 0.1))
    rest = np.interp(even, time, revs) - _stepped(even, steps)
    rest -= _level(rest, max(step, 0.1))
    smooth = ndimage.uniform_filter1d(rest, max(int(0.5 / max(step, 0.1)), 1))
    low, high = np.percentile(smooth, [5, 95])
    rate = 1 / max(step, 0.1)
    frequency, power = signal.welch(rest, fs=rate, nperseg=min(len(rest), int(60 * rate)), detrend="linear")
    band = (frequency >= HUNT_FROM) & (frequency <= HUNT_TO)
    if band.sum() < 3 or power[band].sum() <= 0:  # noqa: PLR2004 - as above
        return float(high - low), None
    best = int(np.flatnonzero(band)[np.argmax(power[band])])
    near = power[max(best - 2, 0) : best + 3].sum()
    regular = near / power[band].sum() >= REGULAR and float(high - low) >= BLIP / 10
    return float(high - low), float(1 / frequency[best]) if regular else None
