"""The shorting test: repeated drops in revs on both sides, compared by a statistical test.

What counts is the drop, not the revs on the tachometer. A stall gives no figure, but the drop was at least the idle.
"""

import math
import warnings
from collections.abc import Sequence

import msgspec
from scipy import stats

from advisor.readings.uncertainty import half_width, scatters

CONFIDENCE = 0.95
MOST_TRIALS = 30
SURE_ENOUGH = 0.05
FEWEST = 2  # trials a side from which a test can be made
PLAIN = "by how far each trial is trusted"
WELCH = "by the scatter of the trials (Welch's test)"
BOUND = "a stall is a drop of {:.0f} rpm or more"
LOG_RANK = "a stall counts as a drop larger than any that was read (log-rank test)"
ALL_STALLED = "every trial a stall: raise the idle a little"


class Shorted(msgspec.Struct, frozen=True, kw_only=True):
    """The result of the trials. `weaker` is a side, '' for equal, None for too close to call.

    `by` is how much larger the left side's drop is than the right's (rpm, None if stalls leave no figure), with its
    interval; `more` how many more trials a side would likely decide it (0: decided, or no use; None: over thirty);
    `test` names the test used.
    """

    weaker: str | None
    by: float | None
    low: float | None
    high: float | None
    more: int | None
    test: str


class Trust(msgspec.Struct, frozen=True):
    """What is known of one trial: trusted within `give` rpm (95 %), of which repeating cannot reduce `instrument`.

    A stall means that the drop was at least `stall` rpm (0: unknown).
    """

    give: float
    instrument: float = 0.0
    stall: float = 0.0


def compare(
    left: Sequence[float],
    right: Sequence[float],
    limit: float,
    trust: Trust,
    stalls: tuple[int, int] = (0, 0),
) -> Shorted:
    """Return the weaker side: the one that, when shorted, drops the revs less, by more than `limit`.

    Trials that scatter no more than they should are trusted as far as `trust` says. If one side scatters more:
    Welch's interval for a difference of means (scipy.stats.ttest_ind, equal_var=False), which decides if it lies
    wholly inside or outside the limit. With stalls: by their lower bounds, else the log-rank test for censored data.
    """
    if sum(stalls):
        return _by_bounds(left, right, limit, trust, stalls) or _with_stalls(left, right, stalls)
    wild = any(scatters(side, trust.give, trust.instrument) for side in (left, right))
    if not wild or min(len(left), len(right)) < FEWEST:
        return _trusted(left, right, limit, trust)
    difference = _mean(left) - _mean(right)
    # If repeats agree better than one reading can be trusted, that is luck.
    least = (trust.give / 2) * math.sqrt(1 / len(left) + 1 / len(right))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # identical repeats have no spread; `least` stands in
        found = stats.ttest_ind(left, right, equal_var=False)
        interval = found.confidence_interval(CONFIDENCE)
    welch = (interval.high - interval.low) / 2 if math.isfinite(interval.high) else 0.0
    half = max(welch, 2 * least)
    error = welch / float(stats.t.ppf((1 + CONFIDENCE) / 2, found.df)) if welch == half else least
    return _decided(difference, half, error, limit, (len(left) + len(right)) / 2, WELCH)


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _decided(difference: float, half: float, error: float, limit: float, trials: float, test: str) -> Shorted:
    low, high = abs(difference) - half, abs(difference) + half
    side = "left" if difference < 0 else "right"
    weaker = side if low > limit else "" if high <= limit else None
    more = 0 if weaker is not None else _more(error, abs(abs(difference) - limit), trials)
    return Shorted(weaker=weaker, by=difference, low=difference - half, high=difference + half, more=more, test=test)


def _trusted(left: Sequence[float], right: Sequence[float], limit: float, trust: Trust) -> Shorted:
    """Compare trials, even one a side, by the trust in readings: half-widths add as squares."""
    half = math.hypot(*(half_width(side, trust.give, trust.instrument) for side in (left, right)))
    return _decided(_mean(left) - _mean(right), half, half / 2, limit, (len(left) + len(right)) / 2, PLAIN)


def _by_bounds(
    left: Sequence[float], right: Sequence[float], limit: float, trust: Trust, stalls: tuple[int, int]
) -> Shorted | None:
    """Return the weaker side if the lower bounds from stalls are enough to tell; else None."""
    sides = zip((left, right), stalls, strict=True)
    (low_left, high_left), (low_right, high_right) = (_bounds(seen, count, trust) for seen, count in sides)
    weaker = "left" if low_right - high_left > limit else "right" if low_left - high_right > limit else None
    test = BOUND.format(trust.stall)
    return Shorted(weaker=weaker, by=None, low=None, high=None, more=0, test=test) if weaker else None


def _bounds(seen: Sequence[float], stalls: int, trust: Trust) -> tuple[float, float]:
    """Return the least and the most that one side's mean drop may be."""
    if not seen:
        return trust.stall, math.inf
    half = half_width(seen, trust.give, trust.instrument)
    return _mean(seen) - half, math.inf if stalls else _mean(seen) + half


def _more(error: float, needed: float, trials: float) -> int | None:
    """Return how many more trials a side would bring the interval's half-width down to `needed`.

    `error` is the present standard error of the difference. Spread and difference are assumed not to change.
    """
    for size in range(math.floor(trials) + 1, MOST_TRIALS + 1):
        width = float(stats.t.ppf((1 + CONFIDENCE) / 2, 2 * size - 2))
        if size > 1 and width * error * math.sqrt(trials / size) <= needed:
            return math.ceil(size - trials)
    return None


def _with_stalls(left: Sequence[float], right: Sequence[float], stalls: tuple[int, int]) -> Shorted:
    """Compare drops when some are only known to be larger than any seen: the engine stalled."""
    bound = max([*left, *right, 0.0]) + 1.0
    sides = [
        stats.CensoredData(uncensored=list(seen), right=[bound] * count)
        for seen, count in zip((left, right), stalls, strict=True)
    ]
    means = [
        (math.fsum(seen) + bound * count) / (len(seen) + count)
        for seen, count in zip((left, right), stalls, strict=True)
    ]
    trials = len(left) + len(right) + sum(stalls)
    if not left and not right:
        return Shorted(weaker=None, by=None, low=None, high=None, more=0, test=ALL_STALLED)
    found = stats.logrank(*sides)
    side = "left" if means[0] < means[1] else "right"
    weaker = side if found.pvalue < SURE_ENOUGH and means[0] != means[1] else None
    if weaker:
        more: int | None = 0
    elif means[0] == means[1]:
        more = None
    else:  # the statistic grows with the square root of the number of trials
        factor = (float(stats.norm.ppf(1 - SURE_ENOUGH / 2)) / max(abs(float(found.statistic)), 1e-9)) ** 2
        more = math.ceil(trials / 2 * (factor - 1))
        more = more if trials / 2 + more <= MOST_TRIALS else None
    return Shorted(weaker=weaker, by=None, low=None, high=None, more=more, test=LOG_RANK)
