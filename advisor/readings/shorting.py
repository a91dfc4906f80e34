"""The shorting test: repeated drops in revs on both sides, held against each other by a proper test.

The drop counts, not the revs the tachometer shows. A stall is no figure but says the drop was at least the idle.
"""

import math
import warnings
from collections.abc import Sequence

import msgspec
from scipy import stats

CONFIDENCE = 0.95
MOST_TRIALS = 30
SURE_ENOUGH = 0.05
FEWEST = 2  # trials a side from which a test can be made


class Shorted(msgspec.Struct, frozen=True, kw_only=True):
    """What the trials say. `weaker` is a side, '' for equal, None for too close to call.

    `by` is how much more the other side's drop is (rpm, None where stalls leave no figure), with its interval;
    `more` how many more trials a side would likely decide it (0: decided; None: not in thirty), `test` what was done.
    """

    weaker: str | None
    by: float | None
    low: float | None
    high: float | None
    more: int | None
    test: str


def compare(
    left: Sequence[float],
    right: Sequence[float],
    limit: float,
    give: float,
    stalls: tuple[int, int] = (0, 0),
) -> Shorted:
    """Return which side is the weaker: the one whose shorting drops the revs less by more than `limit`.

    Each trial is trusted within `give` rpm (95 %), so that no spread is taken for smaller than that allows.
    Without stalls: Welch's interval for a difference of means (scipy.stats.ttest_ind, equal_var=False), which
    decides where it lies wholly inside or outside the limit. With stalls, which are censored: the log-rank test.
    """
    if sum(stalls):
        return _with_stalls(left, right, stalls)
    if min(len(left), len(right)) < FEWEST:
        return _single(left, right, limit, give)
    difference = math.fsum(left) / len(left) - math.fsum(right) / len(right)
    # Repeats that happen to agree better than one reading can be trusted are a matter of luck.
    least = (give / 2) * math.sqrt(1 / len(left) + 1 / len(right))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # repeats that are all alike have no spread; `least` stands in
        found = stats.ttest_ind(left, right, equal_var=False)
        interval = found.confidence_interval(CONFIDENCE)
    welch = (interval.high - interval.low) / 2 if math.isfinite(interval.high) else 0.0
    half = max(welch, 2 * least)
    error = welch / float(stats.t.ppf((1 + CONFIDENCE) / 2, found.df)) if welch == half else least
    return _decided(difference, half, error, limit, (len(left) + len(right)) / 2, "Welch's test")


def _decided(difference: float, half: float, error: float, limit: float, trials: float, test: str) -> Shorted:
    low, high = abs(difference) - half, abs(difference) + half
    side = "left" if difference < 0 else "right"
    weaker = side if low > limit else "" if high <= limit and -low <= limit else None
    more = 0 if weaker is not None else _more(error, abs(abs(difference) - limit), trials)
    return Shorted(weaker=weaker, by=difference, low=difference - half, high=difference + half, more=more, test=test)


def _single(left: Sequence[float], right: Sequence[float], limit: float, give: float) -> Shorted:
    """Compare what may be one trial a side: trusted as far as one reading is."""
    half = give * math.sqrt(1 / len(left) + 1 / len(right))
    difference = math.fsum(left) / len(left) - math.fsum(right) / len(right)
    return _decided(difference, half, half / 2, limit, (len(left) + len(right)) / 2, "one reading's trust")


def _more(error: float, needed: float, trials: float) -> int | None:
    """Return how many more trials a side bring the interval's half-width down to what is needed.

    `error` is the difference's standard error now. Spread and difference are taken to stay what they are.
    """
    for size in range(math.floor(trials) + 1, MOST_TRIALS + 1):
        width = float(stats.t.ppf((1 + CONFIDENCE) / 2, 2 * size - 2))
        if size > 1 and width * error * math.sqrt(trials / size) <= needed:
            return math.ceil(size - trials)
    return None


def _with_stalls(left: Sequence[float], right: Sequence[float], stalls: tuple[int, int]) -> Shorted:
    """Compare drops of which some are only known to be larger than any seen: the engine stalled."""
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
        return Shorted(
            weaker=None, by=None, low=None, high=None, more=None, test="every trial a stall: raise the idle a little"
        )
    found = stats.logrank(*sides)
    side = "left" if means[0] < means[1] else "right"
    weaker = side if found.pvalue < SURE_ENOUGH and means[0] != means[1] else None
    if weaker:
        more: int | None = 0
    elif means[0] == means[1]:
        more = None
    else:  # the statistic grows as the root of the number of trials
        factor = (float(stats.norm.ppf(1 - SURE_ENOUGH / 2)) / max(abs(float(found.statistic)), 1e-9)) ** 2
        more = math.ceil(trials / 2 * (factor - 1))
        more = more if trials / 2 + more <= MOST_TRIALS else None
    return Shorted(weaker=weaker, by=None, low=None, high=None, more=more, test="log-rank test, stalls as censored")
