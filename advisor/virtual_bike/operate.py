"""What a mechanic does to the bike: each act returns the resulting bike."""

from dataclasses import replace

import numpy as np

from advisor.errors import AdvisorError
from advisor.sides import Side
from advisor.virtual_bike import engine, idle
from advisor.virtual_bike.batch import Batch, pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import HELD_RPM, column_mm, hold, with_hoses
from advisor.virtual_bike.vibration import depression

TARGET_RPM = 1050.0
STOP_LIMITS = (0.2, 9.0)  # degrees, range of the stop screw
ADJUSTER_LIMITS = (-6.0, 4.0)  # mm, range of the cable adjuster
SCREW_LIMITS = (0.0, 4.0)  # turns
TURNS = np.arange(0.25, 3.51, 0.125)
NUDGE = 0.10  # degrees of stop, mm of cable
ENOUGH = (3.0, 4.0)  # mm of column, rpm
TRIALS, CABLE_TRIALS = 9, 6
LONGEST_STEP = 1.0  # degrees, mm


def seal(bike: Bike, side: Side) -> Bike:
    """Cover a side's intake joint and vacuum port."""
    return bike.change(side, sealed=True)


def spray(bike: Bike, side: Side) -> Bike:
    """Spray something flammable at a side's intake joint."""
    return bike.change(side, sprayed=True)


def short(bike: Bike, side: Side) -> Bike:
    """Short a side's plug to earth."""
    return bike.change(side, spark=0.0)


def set_enricher(bike: Bike, side: Side, lever: float) -> Bike:
    """Set a side's enricher lever, or both: 0 home to 1 full; AdvisorError outside."""
    if not 0 <= lever <= 1:
        message = f"enricher {lever:g}: from 0 to 1, please"
        raise AdvisorError(message)
    return bike.change(side, enricher=lever)


def turn_screw(bike: Bike, side: Side, turns: float) -> Bike:
    """Turn a side's mixture screw out by this many turns, within its range."""
    return bike.change(side, screw_turns=float(np.clip(bike.side(side).screw_turns + turns, *SCREW_LIMITS)))


def turn_stop(bike: Bike, side: Side, degrees: float) -> Bike:
    """Turn a side's idle stop in, so that it opens the plate by this many degrees more."""
    return bike.change(side, stop_deg=float(np.clip(bike.side(side).stop_deg + degrees, *STOP_LIMITS)))


def adjust_cable(bike: Bike, side: Side, slack: float) -> Bike:
    """Give a side's cable this much more slack, mm."""
    return bike.change(side, adjuster_mm=float(np.clip(bike.side(side).adjuster_mm + slack, *ADJUSTER_LIMITS)))


def open_grip(bike: Bike, pull: float) -> Bike:
    """Hold the grip at this much cable pull, mm."""
    return bike.share(grip_mm=pull)


def ride(bike: Bike, minutes: float) -> Bike:
    """Ride for this many more minutes without opening the tank."""
    return bike.share(ridden_min=bike.ridden_min + minutes)


def _shown(bikes: tuple[Bike, ...], left: Array, right: Array) -> Array:
    """Return the difference between the columns (mm) on each bike's gauge once it has settled."""
    offset = np.array([bike.gauge.offset_mm for bike in bikes])
    gain = np.array([bike.gauge.gain for bike in bikes])
    flip = np.where([bike.gauge.exchanged for bike in bikes], -1.0, 1.0)
    zero = np.zeros(())
    high, low = column_mm(left, zero), column_mm(right, zero)
    return np.asarray(flip * (high * gain[:, 0] - low * gain[:, 1]) + offset[:, 0] - offset[:, 1])


def _with_stops(b: Batch, stops: Array) -> Batch:
    return b | {"stop_deg": stops[:, :, None]}


def _idle_errors(bikes: tuple[Bike, ...], b: Batch, stops: Array, target: float) -> Array:
    """Return (bike, 2): column difference in mm, idle less target in rpm; a stalled engine counts as at 400 rpm."""
    b = _with_stops(b, stops)
    rpm = np.nan_to_num(idle.settle(b), nan=idle.LEAST)
    r = engine.run(b, rpm[:, None, None])
    under = depression(r, b["pressure_pa"])[:, :, 0]
    return np.stack([_shown(bikes, under[:, 0], under[:, 1]), rpm - target], 1)


def _repeat(b: Batch, times: int) -> Batch:
    return {name: np.concatenate([value] * times) for name, value in b.items()}


def _tuned_stops(bikes: tuple[Bike, ...], target: float) -> Array:
    """Return stops (bike, side) by Newton's method on the gauge and the tachometer."""
    b = pack(bikes)
    thrice, many = _repeat(b, 3), bikes * 3
    stops, count = b["stop_deg"][:, :, 0].copy(), len(bikes)
    for _ in range(TRIALS):
        tried = np.concatenate([stops, stops + np.array([NUDGE, 0.0]), stops + np.array([0.0, NUDGE])])
        errors = _idle_errors(many, thrice, tried, target).reshape(3, count, 2)
        if (np.abs(errors[0]) < ENOUGH).all():
            break
        slope = np.stack([errors[1] - errors[0], errors[2] - errors[0]], -1) / NUDGE
        slope += 1e-3 * np.eye(2)
        step = np.linalg.solve(slope, -errors[0][:, :, None])[:, :, 0]
        # stalled, or beyond the fastest idle: open both
        wrong = (slope[:, 1].sum(-1) <= 0) & (errors[0][:, 1] < 0)
        step = np.where(wrong[:, None], LONGEST_STEP / 2, np.clip(step, -LONGEST_STEP, LONGEST_STEP))
        step = np.where((np.abs(errors[0]) < ENOUGH).all(-1)[:, None], 0.0, step)
        stops = np.clip(stops + step, *STOP_LIMITS)
    return stops


def _held_error(bikes: tuple[Bike, ...], b: Batch, split: Array) -> Array:
    """Return the column difference (mm) at 2500 rpm with the two cable slacks this far apart (mm)."""
    apart = np.stack([split / 2, -split / 2], 1)[:, :, None]
    b = b | {"adjuster_mm": b["adjuster_mm"] + apart}
    pull = hold(b, np.array([HELD_RPM]), np.zeros(1))
    r = engine.run(b | {"grip_mm": np.nan_to_num(pull)[:, None]}, np.full((1, 1, 1), HELD_RPM))
    under = depression(r, b["pressure_pa"])[:, :, 0]
    return _shown(bikes, under[:, 0], under[:, 1])


def _tuned_split(bikes: tuple[Bike, ...], b: Batch) -> Array:
    """Return how much (mm) to increase the left cable's slack over the right's, by the secant method."""
    last = np.zeros(len(bikes))
    wrong = _held_error(bikes, b, last)
    split = np.sign(wrong) * -2 * NUDGE
    for _ in range(CABLE_TRIALS):
        error = _held_error(bikes, b, split)
        if (np.abs(error) < ENOUGH[0]).all():
            break
        slope = (error - wrong) / np.where(split == last, 1.0, split - last)
        step = np.where(np.abs(slope) > 1.0, -error / np.where(slope == 0, 1.0, slope), 0.0)
        step = np.where(np.abs(error) < ENOUGH[0], 0.0, step)  # each bike stops once done, whatever the others need
        last, wrong, split = split, error, np.clip(split + np.clip(step, -1.0, 1.0), -4.0, 4.0)
    return split


def tune_all(bikes: tuple[Bike, ...], target: float = TARGET_RPM, slack: float = 1.0) -> tuple[Bike, ...]:
    """Return the bikes with stops and cables set by gauge and tachometer, whatever faults they have.

    First the cables get slack; then the stops are set for equal columns at `target` rpm, then the cables for equal
    columns at 2500 rpm with at least `slack` mm on the tighter one. Screws have limits, so a bad fault stays visible.
    """
    slackened = tuple(with_hoses(bike).change(adjuster_mm=1.0) for bike in bikes)
    stops = _tuned_stops(slackened, target)
    k = ENGINE.lever_mm_per_degree
    set_ = []
    for bike, (left, right) in zip(bikes, stops.tolist(), strict=True):
        at = [
            (one, stop, float(np.clip(slack - k * stop, *ADJUSTER_LIMITS)))
            for one, stop in zip((bike.left, bike.right), (left, right), strict=True)
        ]
        both = [replace(one, stop_deg=stop, adjuster_mm=play) for one, stop, play in at]
        set_.append(replace(bike, left=both[0], right=both[1]))
    split = _tuned_split(tuple(set_), pack([with_hoses(bike) for bike in set_]))
    return tuple(
        bike.change("left", adjuster_mm=bike.left.adjuster_mm + max(apart, 0.0)).change(
            "right", adjuster_mm=bike.right.adjuster_mm + max(-apart, 0.0)
        )
        for bike, apart in zip(set_, split.tolist(), strict=True)
    )


def tune(bike: Bike, target: float = TARGET_RPM) -> Bike:
    """Return one bike tuned as `tune_all` does."""
    return tune_all((bike,), target)[0]


def best_mixture(bike: Bike) -> Bike:
    """Return the bike with each mixture screw, the left one first, at the turns that give the fastest idle."""
    for side in ("left", "right"):
        tried = [bike.change(side, screw_turns=float(turns)) for turns in TURNS]
        speeds = np.nan_to_num(idle.settle(pack(tried)))
        bike = tried[int(np.argmax(speeds))]
    return bike
