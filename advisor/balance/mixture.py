"""Where a mixture screw should stand, from what was read as it was turned: the top of a curve, or a figure on a line.

By revs or by drops: the idle is fastest, and the plug worth most, at the best mixture; a parabola is fitted, weighted
alike, and its top is where the screw should stand. How far that is trusted: E. C. Fieller (1954), 'Some problems in
interval estimation', J. Royal Statistical Society B 16, 175, for the ratio of two fitted figures (from memory).
By CO: a straight line, read backwards, by the same method.
"""

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import msgspec

from advisor.lazy import lazy

if TYPE_CHECKING:
    import numpy as np
else:
    np = lazy("numpy")

FEWEST = 4  # places of the screw: a parabola goes through any three
SURE, TOP_SURE = 2.0, 3.0  # standard deviations: of bounds, and of a bend, which is looked for again and again
EIGHTHS, SIXTEENTHS = 8, 16
# Sixteenths: between places, as far as a parabola holds, as far as it may, and the last place tried. Judgement.
STEP, NEAR, WIDE, FARTHEST = 4, 8, 12, 32
MOST_PLACES = 10
FALL = 4.0  # standard deviations below the best, by which the idle has clearly fallen
NEAR_ENOUGH = 0.75  # turns: a top known less closely than this either way is none. Judgement


class Best(msgspec.Struct, frozen=True, kw_only=True):
    """Where a mixture screw should stand, in turns out from seated: between `low` and `high`; `at`, in eighths."""

    at: float
    low: float
    high: float


class NoTop(msgspec.Struct, frozen=True, kw_only=True):
    """No best place shows: what is read hardly changes (`flat`), or goes on rising that way (`out` or `in`)."""

    why: str


class TooFew(msgspec.Struct, frozen=True, kw_only=True):
    """It was read at too few places of the screw: so many more are needed, or further `towards` (out or in)."""

    more: int
    towards: str = ""


def top(turns: Sequence[float], values: Sequence[float], scatter: float) -> Best | NoTop | TooFew:
    """Return where values (rpm) are highest over turns out from seated; `scatter`: one standard deviation of one."""
    if len(set(turns)) < FEWEST:
        return TooFew(more=FEWEST - len(set(turns)))
    (level, slope, bend), cover, middle = _fitted(turns, values, 2, scatter)
    del level
    if bend + TOP_SURE * cover[2][2] ** 0.5 >= 0:
        return _no_top(turns, values, scatter)
    found = _ratio(-slope, 2 * bend, cover[1][1], 4 * cover[2][2], -2 * cover[1][2])
    if found is None:
        return _no_top(turns, values, scatter)
    at, low, high = (one + middle for one in found)
    step = (max(turns) - min(turns)) / 4
    if at > max(turns) + step / 2 or at < min(turns) - step / 2:
        return TooFew(more=1, towards="out" if at > max(turns) else "in")
    if (high - low) / 2 > NEAR_ENOUGH:
        return TooFew(more=1, towards="out" if at - min(turns) > max(turns) - at else "in")
    return Best(at=_eighth(at), low=low, high=high)


class Go(msgspec.Struct, frozen=True, kw_only=True):
    """Where to set the screw and read next: sixteenths out from where it stood."""

    to: int


def climb(read: Sequence[tuple[int, float]], scatter: float) -> Go | Best | NoTop:
    """Return where to read next on the way to the top, or the top once it is known.

    `read`: places (sixteenths out from where the screw stood) with what was read there (rpm); `scatter`: one standard
    deviation of a reading. The places go on past the best one to either side; the parabola is fitted near it.
    """
    values: dict[int, list[float]] = {}
    for at, value in read:
        values.setdefault(at, []).append(value)
    if not values:
        return Go(to=0)
    means = {at: math.fsum(one) / len(one) for at, one in values.items()}
    best = max(means, key=lambda at: (means[at], -abs(at)))
    for within in (NEAR, WIDE):
        near = [(at, value) for at, value in read if abs(at - best) <= within]
        found = top([at / SIXTEENTHS for at, _ in near], [value for _, value in near], scatter)
        if isinstance(found, Best):
            return found
    around = (best + way * by for by in (STEP, NEAR, WIDE) for way in (1, -1))
    reach = [at for at in around if at not in means and abs(at) <= FARTHEST and not _beyond(at, best, means, scatter)]
    if reach and len(means) < MOST_PLACES:
        return Go(to=reach[0])
    return _from_lean_fall(means, scatter)


def _beyond(at: int, best: int, means: Mapping[int, float], scatter: float) -> bool:
    """Whether a place lies beyond one on its side of the best where it has clearly fallen: it may well stall there."""
    low, high = sorted((at, best))
    return any(low < one < high and value < means[best] - FALL * scatter for one, value in means.items())


def _from_lean_fall(means: Mapping[int, float], scatter: float) -> Go | Best | NoTop:
    """Return a place half a turn richer than where the idle falls as it is leaned: the top is too flat to be seen.

    Common practice, no source: in until it falters, then out by half a turn.
    """
    high = max(means.values()) - FALL * scatter
    fallen = [at for at in means if means[at] < high and at < max(means, key=lambda one: means[one])]
    if fallen:
        at = (max(fallen) + NEAR) / SIXTEENTHS
        return Best(at=_eighth(at), low=at - STEP / SIXTEENTHS, high=at + NEAR / SIXTEENTHS)
    further = min(means) - STEP
    return Go(to=further) if further >= -FARTHEST else NoTop(why="flat")


def to_figure(read: Sequence[tuple[int, float]], scatter: float, aim: float) -> Go | Best | NoTop:
    """Return where to read next on the way to a figure (% CO), or where the screw should stand once that is known.

    As `climb`, with a straight line through all places: richer further out.
    """
    places = {at for at, _ in read}
    if (missing := next((at for at in (0, STEP, -STEP) if at not in places), None)) is not None:
        return Go(to=missing)
    found = on_line([at / SIXTEENTHS for at, _ in read], [value for _, value in read], scatter, aim)
    if not isinstance(found, TooFew):
        return found
    further = max(places) + STEP if found.towards == "out" else min(places) - STEP
    return Go(to=further) if abs(further) <= FARTHEST else NoTop(why=found.towards)


def on_line(turns: Sequence[float], values: Sequence[float], scatter: float, aim: float) -> Best | NoTop | TooFew:
    """Return where values (% CO) come to `aim` over turns out from seated; `scatter`: one standard deviation of one."""
    if len(set(turns)) < FEWEST - 1:
        return TooFew(more=FEWEST - 1 - len(set(turns)))
    (level, slope), cover, middle = _fitted(turns, values, 1, scatter)
    if abs(slope) <= SURE * cover[1][1] ** 0.5:
        return NoTop(why="flat")
    found = _ratio(aim - level, slope, cover[0][0], cover[1][1], -cover[0][1])
    if found is None:
        return NoTop(why="flat")
    at, low, high = (one + middle for one in found)
    reach = (max(turns) - min(turns)) / 2
    if not min(turns) - reach <= at <= max(turns) + reach:
        return TooFew(more=1, towards="out" if at > max(turns) else "in")
    return Best(at=_eighth(at), low=low, high=high)


def _fitted(
    turns: Sequence[float], values: Sequence[float], degree: int, scatter: float
) -> tuple[list[float], list[list[float]], float]:
    """Return coefficients (constant first) about the middle of the turns, their covariance, and that middle.

    The scatter is what the instrument has, or what is left over, whichever is the more.
    """
    middle = math.fsum(turns) / len(turns)
    powers = np.vander(np.array(turns) - middle, degree + 1, increasing=True)
    found, *_ = np.linalg.lstsq(powers, np.array(values), rcond=None)
    left = np.array(values) - powers @ found
    spare = len(turns) - degree - 1
    variance = max(scatter**2, float(left @ left) / spare) if spare > 0 else scatter**2
    cover = variance * np.linalg.inv(powers.T @ powers)
    return found.tolist(), cover.tolist(), middle


def _ratio(
    over: float, under: float, of_over: float, of_under: float, both: float
) -> tuple[float, float, float] | None:
    """Return over/under with its bounds (Fieller); None if `under` may be nothing. The others are (co)variances."""
    g = SURE**2 * of_under / under**2
    if g >= 1:
        return None
    ratio = over / under
    middle = (ratio - g * both / of_under) / (1 - g) if of_under else ratio
    inside = of_over - 2 * ratio * both + ratio**2 * of_under - (g * (of_over - both**2 / of_under) if of_under else 0)
    half = SURE / abs(under) * math.sqrt(max(inside, 0.0)) / (1 - g)
    return ratio, middle - half, middle + half


def _no_top(turns: Sequence[float], values: Sequence[float], scatter: float) -> NoTop:
    (_, slope), cover, _ = _fitted(turns, values, 1, scatter)
    if abs(slope) <= SURE * cover[1][1] ** 0.5:
        return NoTop(why="flat")
    return NoTop(why="out" if slope > 0 else "in")


def _eighth(turns: float) -> float:
    return round(turns * EIGHTHS) / EIGHTHS
