"""Readings of the running engine: speed, drops, columns, gas, and how the idle behaves."""

from dataclasses import replace

import numpy as np

from advisor.observer.bike_view import Pair, View
from advisor.observer.idling import NAMES
from advisor.observer.senses_idle import apart_rpm, fall_s
from advisor.observer.taken_reading import Reader, Taken, shown, sided, whole
from advisor.quantities import GRAVITY
from advisor.sides import BOTH, Side
from advisor.virtual_bike import instruments as read
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import FLUID, HELD_RPM

TIMES = 3  # how often each plug is shorted
KPA_MM = FLUID * GRAVITY * 1e-6  # kPa for each mm of the gauge's fluid
LEAST_CO, RICH_CO, MOST_CO = 0.25, 30.0, 10.0  # percent; for each unit of excess air below 1 (from memory); at most
LONGEST_S = 20.0  # a fall that is waited for
CALM_STEP_RPM = 10.0  # the largest step that the log of a steady idle holds
HEAT_MIN = 5.0  # minutes from warm to hot at idle
CALM_MM, SWINGS = 24.0, 5.0  # swing of a damped column, low to high; times that of an undamped one
MISSING, USUALLY_MISSED = 4.0, 0.1  # times the swing grows for each share of cycles missed beyond the usual


def _drop(start: Pair, after: Pair, rng: np.random.Generator, scatter: read.Instrument) -> Taken:
    values: dict[Side, tuple[float, ...]] = {}
    stalls: dict[Side, int] = {}
    for side, before, left in zip(BOTH, start, after, strict=True):
        runs = np.isfinite(before)
        values[side], stalls[side] = (), TIMES if runs and not np.isfinite(left) else 0
        if runs and np.isfinite(left):
            values[side] = tuple(
                max(0.0, shown(read.TACHOMETER, before, rng) - shown(scatter, left, rng)) for _ in range(TIMES)
            )
    return Taken("rpm", values, stalls)


def _drop_idle(v: View, rng: np.random.Generator) -> Taken:
    speed = v.one("idle_rpm")
    return _drop((speed, speed), v.two("shorted_rpm"), rng, read.TACHOMETER)


def _drop_held(v: View, rng: np.random.Generator) -> Taken:
    speed = HELD_RPM if np.isfinite(v.one("held_grip_mm")) else float("nan")
    return _drop((speed, speed), v.two("held_shorted_rpm"), rng, read.INSTRUMENTS["held_shorted_rpm"])


def _columns(kpa: Pair, missed: Pair, bike: Bike, rng: np.random.Generator, by: read.Instrument) -> Taken:
    if not np.isfinite(kpa).all():
        return Taken("kPa", dict.fromkeys(BOTH, ()), {})
    legs: Array = read.columns((np.array([kpa]), np.array([missed])), [bike], by, rng)[0] * KPA_MM
    # two standard deviations of a leg
    within = round(by.noise * np.sqrt(2.0) * KPA_MM * read.unsteady(missed, bike), 3)
    return Taken(
        "kPa", {side: (round(float(leg), 2),) for side, leg in zip(BOTH, legs, strict=True)}, {}, float(within)
    )


def _exchanged(v: View, rng: np.random.Generator) -> Taken:
    gauge = v.bike.gauge
    flipped = v.bike.share(gauge=replace(gauge, exchanged=not gauge.exchanged))
    return _columns(v.two("depression_kpa"), v.two("gauge_misfire"), flipped, rng, read.COLUMN_IDLE)


def _co(v: View) -> Pair:
    if not v.runs:
        return float("nan"), float("nan")
    diluted = (1 - 0.6 * v.bike.left.exhaust_leak, 1 - 0.6 * v.bike.right.exhaust_leak)
    excess = v.two("excess")
    left, right = (
        part * min(MOST_CO, LEAST_CO + RICH_CO * max(0.0, 1 - one)) for one, part in zip(excess, diluted, strict=True)
    )
    return left, right


def _swing(v: View) -> float:
    missed = max(0.0, float(np.nan_to_num(max(v.two("misfire")))) - USUALLY_MISSED)
    return CALM_MM * (1 + MISSING * missed) * (1.0 if v.bike.gauge.damped else SWINGS) * KPA_MM


def _drift(v: View) -> float:
    warm, hot = (float(v.idling.rpm[NAMES.index(name)]) for name in ("warm", "hot"))
    return (hot - warm) / HEAT_MIN


def _hang(v: View) -> float:
    return min(LONGEST_S, fall_s(v)) if v.runs else float("nan")


def _step(v: View) -> float:
    return max(apart_rpm(v), CALM_STEP_RPM)


RPM = read.TACHOMETER
RUNNING: dict[str, Reader] = {
    "idle-speed": whole("rpm", RPM, lambda v: v.one("idle_rpm")),
    "drop-idle": _drop_idle,
    "drop-off-idle": _drop_held,
    "column-idle": lambda v, rng: _columns(
        v.two("depression_kpa"), v.two("gauge_misfire"), v.bike, rng, read.COLUMN_IDLE
    ),
    "column-off-idle": lambda v, rng: _columns(
        v.two("held_depression_kpa"), v.two("held_gauge_misfire"), v.bike, rng, read.COLUMN_HELD
    ),
    "column-at-rest": lambda v, rng: _columns((0.0, 0.0), (0.0, 0.0), v.bike, rng, read.Instrument(2.0, 1.0)),
    "column-exchanged": _exchanged,
    "column-swing": whole("kPa", read.Instrument(0.05, 0.05, 0.1), _swing),
    "exhaust-co": sided("%", read.Instrument(0.1, 0.1, 0.05), _co),
    "idle-drift": whole("rpm/min", read.Instrument(1.5, 0.5), _drift),
    "idle-swing": whole("rpm", read.Instrument(5.0, 5.0), lambda v: float(v.idling.swing_rpm) if v.runs else np.nan),
    "idle-step": whole("rpm", read.Instrument(4.0, 5.0), _step),
    "hang-time": whole("s", read.Instrument(0.1, 0.1), _hang),
}
