"""What a rider hears and sees of the idle, and of starting."""

import numpy as np

from advisor.observer.bike_view import Pair, Seen, View, usual
from advisor.observer.idling import NAMES
from advisor.observer.senses_balance import Sense, above
from advisor.observer.thresholds import FOUND as F
from advisor.observer.thresholds import NOTICED as N
from advisor.virtual_bike.constants import ENGINE

USUAL_FALL_S = 1.0  # of a healthy engine after a blip: common practice; the model's falls slower and is scaled to it
CRANKED = 0.5  # share of cycles missed while cranking at which it starts badly
LEAST_KPA = 800.0  # compression below which it starts badly
IDLES_ON_RPM = 750.0
ONE_MISSES = 0.2  # share of cycles that the worse side misses, cranked cold, from which it starts badly: judgement
WET = 0.72  # excess air, cranked hot, below which it starts badly
NEVER = 0.9  # the same, at which it does not start


def _state(v: View, name: str) -> float:
    return float(v.idling.rpm[NAMES.index(name)])


def _cold_misses(v: View) -> Pair:
    left, right = v.idling.misfire[NAMES.index("cold")].tolist()
    return left, right


def fall_s(v: View) -> float:
    """Return how long the revs take to fall after a blip, s; endless where they stay up."""
    rests, seconds = v.fall
    if sticks(v) or rests > v.one("idle_rpm") + N.hang_rpm:
        return float("inf")
    return seconds / usual().fall[1] * USUAL_FALL_S if v.runs else float("nan")


def hangs(v: View) -> bool:
    """Whether the revs stay up after a blip."""
    return fall_s(v) > USUAL_FALL_S + N.hang_s


def sticks(v: View) -> bool:
    """Whether the idle comes down when the levers are pushed home: a cable or its end sticks, now more, now less."""
    return v.runs and v.answers["levers shut"].rpm < -N.apart_rpm


def _stays_open(v: View) -> bool:
    return v.runs and (v.fall[0] > 1050 + N.stays_open_rpm or v.one("idle_rpm") > 1050 + N.stays_open_rpm)


def hunts(v: View) -> bool:
    """Whether the warm idle wanders."""
    return v.runs and float(v.idling.swing_rpm) > N.swing_rpm


def _rocks(v: View) -> bool:
    """Whether a spindle rocks so far that its butterfly comes to rest now here, now there."""
    return any(v.each(lambda s: s.spindle_mm > 2 * N.play_mm))


def apart_rpm(v: View) -> float:
    """Return how far apart the levels of an idle that jumps are, rpm: 0 if it has only one."""
    if not v.runs:
        return 0.0
    stuck = -v.answers["levers shut"].rpm if sticks(v) else 0.0
    play = max(v.bike.left.spindle_mm, v.bike.right.spindle_mm)
    rocked = play / (2 * N.play_mm) * N.apart_rpm if _rocks(v) else 0.0
    rests = v.fall[0] - v.one("idle_rpm")
    return max(stuck, rocked, rests if rests > N.hang_rpm else 0.0)


def jumps(v: View) -> bool:
    """Whether the idle has two levels."""
    return apart_rpm(v) > 0.0


def dies(v: View) -> bool:
    """Whether it stalls at idle, now and then at least."""
    lowest = v.one("idle_rpm") - float(v.idling.swing_rpm) / 2 - N.dip_rpm * max(v.two("misfire"))
    return not v.runs or lowest < N.idle_dies_rpm


def _grown(v: View) -> float:
    grown = _state(v, "hot") - _state(v, "half")
    if np.isnan(_state(v, "hot")) and np.isfinite(_state(v, "half")):
        return -999.0
    return float(np.nan_to_num(grown - (_state(usual(), "hot") - _state(usual(), "half"))))


def _climbs(v: View) -> bool:
    """Whether the idle climbs more than usual as it gets hot, or climbs until it is too fast."""
    half, hot = _state(v, "half"), _state(v, "hot")
    return _grown(v) > N.warm_rpm or (hot > N.idle_high_rpm and hot - half > N.warm_rpm)


def _shifts(v: View) -> bool:
    """Whether the balance shifts with heat, play or a cable that sticks."""
    stuck = v.each(lambda s: s.sticks_mm > s.adjuster_mm + s.stop_deg * ENGINE.lever_mm_per_degree)
    return v.shift_mm() > 2 * N.column_mm or any(stuck) or _rocks(v) or _marked_loose(v)


def _marked_loose(v: View) -> bool:
    return any(v.mark(cause, N.mark) for cause in ("sheath-out-of-socket", "throttle-lever-slips"))


def _idles_on(v: View) -> bool:
    after = v.answers["stops off"]
    return v.runs and after.runs and after.rpm + v.one("idle_rpm") > IDLES_ON_RPM


def _dead(v: View) -> Seen:
    left, right = (drop < N.dead_drop_rpm for drop in v.two("drop_rpm"))
    return v.runs and left and not right, v.runs and right and not left


def _alone(v: View) -> Seen:
    left, right = _dead(v)
    return right and not left, left and not right


def _joins(v: View) -> Seen:
    # on the road: held at 2,500 rpm without load an engine still lives on its idle and progression passages
    idle, riding = v.two("drop_rpm"), v.at("side_nm", "cruise")

    def joins(this: int) -> bool:
        other = 1 - this
        return idle[this] < 0.5 * idle[other] and riding[this] > 0.7 * riding[other] > 0

    return joins(0), joins(1)


def _until_warm(v: View) -> Seen:
    cold, warm = _cold_misses(v), v.two("misfire")
    left, right = (a > CRANKED > 0.5 * a + b for a, b in zip(cold, warm, strict=True))
    return (left, right) if left != right else (False, False)


def header_cold(v: View) -> Seen:
    """Return which exhaust stays cold after a cold start."""
    left, right = above(_cold_misses(v), CRANKED)
    return left and not right, right and not left


def starts(v: View, hot: bool) -> float:
    """Return the share of cycles that miss while cranking, of the better side."""
    return float(v.idling.crank_misfire[int(hot)].min())


def hard_cold(v: View) -> bool:
    """Whether it starts badly from cold."""
    slow = min(v.rest("compression_kpa")) < LEAST_KPA
    return starts(v, hot=False) > CRANKED / 5 or slow or max(v.idling.crank_misfire[0]) > ONE_MISSES


def hard_hot(v: View) -> bool:
    """Whether it starts badly hot."""
    wet = bool((v.idling.crank_excess[1] < WET).any()) or any(v.each(lambda s: s.valve_leak_mg_s > N.drip_mg_s))
    return starts(v, hot=True) > CRANKED / 5 or wet


IDLE: dict[str, Sense] = {
    "idle-hangs": hangs,
    "idle-too-high": lambda v: v.one("idle_rpm") > N.idle_high_rpm,
    "idle-too-low": lambda v: v.one("idle_rpm") < N.idle_low_rpm,
    "idle-hunts": hunts,
    "idle-jumps": jumps,
    "idle-climbs-warm": _climbs,
    "idle-sags-warm": lambda v: _grown(v) < -N.warm_rpm,
    "dies-at-idle": dies,
    "misfires-idle": lambda v: above(v.two("misfire"), N.skips),
    "balance-wont-hold": _shifts,
    "changes-with-bars": lambda v: v.runs and abs(v.answers["bars"].rpm) > N.bars_rpm,
    "throttle-stays-open": _stays_open,
    "idles-off-its-stops": _idles_on,
    "side-dead": _dead,
    "only-side-works": _alone,
    "side-joins-at-revs": _joins,
    "dead-until-warm": _until_warm,
    "header-cold": header_cold,
    "hard-start-cold": hard_cold,
    "hard-start-hot": hard_hot,
    "wont-start": lambda v: starts(v, hot=False) > CRANKED,
    "fires-but-wont-run": lambda v: NEVER > starts(v, hot=False) > CRANKED,
    "dies-after-start": lambda v: not np.isfinite(_state(v, "half")) and starts(v, hot=False) < CRANKED,
    "enricher-helps": lambda v: v.runs and _helped(v, "enricher"),
    "tap-off-helps": lambda v: v.runs and _helped(v, "tap off"),
    "kicks-back": lambda v: float(v.idling.crank_advance) > F.kicks_deg,
    "runs-on": lambda v: v.one("idle_rpm") > N.idle_high_rpm + N.hang_rpm,
}


def _helped(v: View, act: str) -> bool:
    """Whether the idle is clearly better: faster than a healthy one gets by it, or fewer cycles missed."""
    done = v.answers[act]
    leaner = max(v.two("excess")) > max(usual().two("excess"))  # else a fast idle answers more, but runs no better
    faster = leaner == (act == "enricher") and done.rpm - usual().answers[act].rpm > N.clearer_rpm
    smoother = max(v.two("misfire")) - max(done.misfire) > N.missed
    return done.runs and ((faster and done.rpm > N.moves_rpm) or smoother)
