"""A screw is turned a little and the instrument read again: cable adjusters, idle stops, mixture screws.

A mechanic writes down where the screw stands, turns it a little at a time, reads again, blips the throttle and reads
once more. If that was no help, he turns it back. Figures are judgement, common practice without a source, unless a line
says otherwise. None is taken from the rule base, but where a check's question names one (half a turn), he goes by it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from advisor.observer.bike_view import Pair, Seen, View
from advisor.observer.senses_parts import rests
from advisor.observer.thresholds import NOTICED as N
from advisor.sides import BOTH, Side, other
from advisor.virtual_bike import instruments as read
from advisor.virtual_bike import operate, respond, steady
from advisor.virtual_bike.bike import Bike, SideState
from advisor.virtual_bike.constants import ENGINE

STEP, MOST_STEP = 0.125, 0.25  # turns: the first one, and the longest
MOST_ADJUSTER, MOST_STOP, MOST_SCREW = 1.0, 0.5, 1.0  # turns from the earlier setting
TRIALS = 8  # turns of the screw, each with a reading, before a hand gives up
TIMES = 3  # how often each plug is shorted, and each place of a mixture screw listened to
LEAST_ANSWER_MM = 16.0  # a column that moves less than this for a turn does not answer
AS_FAST_RPM = 12.0  # below the fastest idle of a mixture screw, and still as good by ear
BASE_TURNS = 0.35  # turns from base within which a mixture screw counts as near it


@dataclass(frozen=True)
class Turned:
    """The result: on which side a screw brought the sides level (None: on neither), and the bike as it is left.

    `nothing`: the instrument showed no difference that could be turned away.
    """

    side: Side
    bike: Bike
    nothing: bool = False


Hand = np.random.Generator | None  # of the scatter of eye and instrument; None: reads without error
Turn = Callable[[Bike, float, Side], Bike]  # by this many turns, to help the side that opens too little


@dataclass(frozen=True)
class _Gauge:
    """How far the left is above the right: of its column, or of the revs that the right costs more than the left.

    Above 0 the left butterfly opens less. Sides further `apart` differ, within `level` they are level; `fine` enough to
    judge a step by.
    """

    of: Callable[[Bike, Hand], float]
    apart: float
    level: float
    fine: bool


def _legs(bike: Bike, kpa: np.ndarray, missed: np.ndarray, by: read.Instrument, rng: Hand) -> float:
    """Return how much higher the left leg stands, mm of the gauge's fluid."""
    if rng is None:
        bike, by = bike.share(gauge=replace(bike.gauge, damped=True)), read.Instrument(0.0, 1e-6)
    left, right = read.columns((kpa, missed), [bike], by, rng or np.random.default_rng(0))[0].tolist()
    return float(left - right)


def _mean(value: float, by: read.Instrument, rng: Hand) -> float:
    """Return the mean of some readings of one value."""
    if rng is None or not np.isfinite(value):
        return value
    return float(np.mean(by.read(np.full(TIMES, value), rng)))


def _costs_less(drops: Sequence[float], by: read.Instrument, rng: Hand) -> float:
    left, right = (_mean(float(one), by, rng) for one in drops)
    return right - left


def _idle_legs(bike: Bike, rng: Hand) -> float:
    true = steady.steady(bike)
    return _legs(bike, true.depression_kpa, true.gauge_misfire, read.COLUMN_IDLE, rng)


def _held_legs(bike: Bike, rng: Hand) -> float:
    true = steady.steady(bike)
    return _legs(bike, true.held_depression_kpa, true.held_gauge_misfire, read.COLUMN_HELD, rng)


def _idle_drops(bike: Bike, rng: Hand) -> float:
    return _costs_less(steady.steady(bike).drop_rpm[0].tolist(), read.TACHOMETER, rng)


def _held_drops(bike: Bike, rng: Hand) -> float:
    by = read.INSTRUMENTS["held_shorted_rpm"]
    return _costs_less(steady.steady(bike).held_drop_rpm[0].tolist(), by, rng)


# mm of the gauge's fluid: two fingers' breadth at idle, three at 2500 rpm, where the legs are less steady; rpm of drops
COLUMNS = _Gauge(_idle_legs, 40.0, 30.0, fine=True)
HELD_COLUMNS = _Gauge(_held_legs, 60.0, 50.0, fine=True)
DROPS = _Gauge(_idle_drops, 50.0, 45.0, fine=False)
HELD_DROPS = _Gauge(_held_drops, 70.0, 50.0, fine=False)


def _levelled(bike: Bike, gauge: _Gauge, turn: Turn, most: float, rng: Hand) -> Turned:
    """Turn a screw by steps, `most` turns in all, until the gauge is level; the side is the one that opened too little.

    Each step is judged by what the last one did, or is a quarter turn where the gauge is too coarse for that.
    """
    first = (gauge.of(bike, rng) + gauge.of(bike, rng)) / 2  # read twice before a screw is touched
    less: Side = "left" if first > 0 else "right"
    if not abs(first) > gauge.apart:  # level already, or it does not run so
        return Turned(None, bike, nothing=True)
    after, was, gone, step = bike, abs(first), 0.0, STEP if gauge.fine else MOST_STEP
    for _ in range(TRIALS):
        after, gone = turn(after, step, less), gone + step
        now = gauge.of(after, rng) * (1 if less == "left" else -1)
        if abs(now) <= gauge.level:
            return Turned(less, after)
        answered = (was - now) / step  # for a turn
        if gone >= most or (gauge.fine and not answered > LEAST_ANSWER_MM):
            break
        wanted = float(np.clip(now / answered, -MOST_STEP, MOST_STEP)) if gauge.fine else MOST_STEP
        step, was = min(wanted, most - gone), now
    return Turned(None, bike)


def _stays(bike: Bike) -> bool:
    """Whether it is the same after a blip: nothing sticks, rocks or hangs."""
    sides = bike.left, bike.right
    idles, comes_to = float(steady.steady(bike).idle_rpm[0]), float(respond.fall(bike).rests_rpm[0])
    rocks = any(one.spindle_mm > 2 * N.play_mm for one in sides)
    return not rocks and not any(map(rests, sides)) and comes_to - idles < N.hang_rpm


def _more_slack(bike: Bike, turns: float, late: Side) -> Bike:
    """Give the cable that pulls first more slack: not that of the side which opens late."""
    return operate.adjust_cable(bike, other(late), turns * ENGINE.adjuster_mm_turn)


def adjuster(bike: Bike, rng: Hand = None, *, columns: bool = True) -> Turned:
    """Turn a cable's adjuster until it is level at 2,500 rpm, by the columns or by the drops; idle must be level too.

    The side is the one whose cable pulled first and was given more slack.
    """
    held, idle = (HELD_COLUMNS, COLUMNS) if columns else (HELD_DROPS, DROPS)
    found = _levelled(bike, held, _more_slack, MOST_ADJUSTER, rng)
    even = found.side is not None and abs(idle.of(found.bike, rng)) <= idle.apart
    return Turned(other(found.side), found.bike) if even and _stays(found.bike) else Turned(None, bike, found.nothing)


def stop(bike: Bike, rng: Hand = None) -> Turned:
    """Turn an idle stop until the columns are level; the idle speed must be right then, and the drops alike.

    The side is the one whose butterfly stood too far shut: its stop is turned in, or the other one out if it is fast.
    """

    def turn(at: Bike, turns: float, shut: Side) -> Bike:
        fast = _idle(at, rng) > operate.TARGET_RPM
        degrees = turns * ENGINE.stop_degree_turn
        return operate.turn_stop(at, other(shut), -degrees) if fast else operate.turn_stop(at, shut, degrees)

    found = _levelled(bike, COLUMNS, turn, MOST_STOP, rng)
    if not found.side:
        return found
    right = (
        N.idle_low_rpm < _idle(found.bike, rng) < N.idle_high_rpm and abs(_idle_drops(found.bike, rng)) <= DROPS.level
    )
    return found if right and _stays(found.bike) else Turned(None, bike)


def _idle(bike: Bike, rng: Hand) -> float:
    return _mean(float(steady.steady(bike).idle_rpm[0]), read.TACHOMETER, rng)


def _best_screw(bike: Bike, side: Side, rng: Hand) -> Bike:
    """Return the bike with a side's mixture screw at its fastest idle, turned no further than it takes."""
    by = np.arange(-MOST_SCREW, MOST_SCREW + STEP / 2, STEP)
    tried = [operate.turn_screw(bike, side, float(turns)) for turns in by]
    true, _ = steady.idle_speeds(tuple(tried))
    speeds = np.array([_mean(float(np.nan_to_num(one)), read.TACHOMETER, rng) for one in true])
    trend = np.convolve(np.pad(speeds, 1, mode="edge"), np.full(3, 1 / 3), mode="valid")  # an ear follows the trend
    good = np.flatnonzero(trend >= trend.max() - AS_FAST_RPM)
    return tried[int(min(good, key=lambda at: abs(by[at])))]


def screw(bike: Bike, rng: Hand = None) -> Turned:
    """Turn the weaker side's mixture screw to its fastest idle: the drops must be alike then, the screw near its base.

    The side is the one whose screw was turned.
    """
    lead = _idle_drops(bike, rng)
    if not abs(lead) > DROPS.apart:
        return Turned(None, bike, nothing=True)
    weak: Side = "left" if lead > 0 else "right"
    after = _best_screw(bike, weak, rng)
    near = abs(after.side(weak).screw_turns - SideState().screw_turns) <= BASE_TURNS
    better = after != bike and near and abs(_idle_drops(after, rng)) <= DROPS.level
    return Turned(weak, after) if better and _stays(after) else Turned(None, bike)


# By sign: the setting that a hand may leave otherwise.
ADJUSTER, STOP, SCREW = "adjuster-turn-levels", "stop-turn-levels", "screw-turn-levels"
SETTINGS = {ADJUSTER: "adjuster_mm", STOP: "stop_deg", SCREW: "screw_turns"}


def turned(bike: Bike, sign: str, rng: Hand = None, *, columns: bool = True) -> Turned:
    """Turn what a sign of `SETTINGS` asks for; instruments and eye scatter if there is a generator."""
    if sign == ADJUSTER:
        return adjuster(bike, rng, columns=columns)
    return stop(bike, rng) if sign == STOP else screw(bike, rng)


def stands(bike: Bike, sign: str) -> Pair:
    """Return how the setting of a sign stands, left and right."""
    left, right = (getattr(bike.side(side), SETTINGS[sign]) for side in BOTH)
    return left, right


def put_back(bike: Bike, sign: str, stood: Pair) -> Bike:
    """Return the bike with the setting of a sign as it stood."""
    for side, at in zip(BOTH, stood, strict=True):
        bike = bike.change(side, **{SETTINGS[sign]: at})
    return bike


@lru_cache(maxsize=256)
def _truly(bike: Bike, sign: str) -> Side:
    return turned(bike, sign).side


def _sense(sign: str) -> Callable[[View], Seen]:
    def seen(v: View) -> Seen:
        side = _truly(v.bike, sign)
        return side == "left", side == "right"

    return seen


TURNING: dict[str, Callable[[View], bool | Seen]] = {sign: _sense(sign) for sign in SETTINGS}
