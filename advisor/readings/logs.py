"""A case's recorded logs as readings and signs like any others: the only part of a diagnosis that needs numpy."""

import math
from collections.abc import Callable
from pathlib import Path

from advisor.case import Bike, LogFile, Measured, SignReport
from advisor.errors import CaseError, Problem
from advisor.intake.logfile import Log, read_log
from advisor.quantities import show
from advisor.readings.idle_log import FEWEST_BINS, SHORTEST, IdleLog, Slope, oddities, reduce_idle
from advisor.readings.orders import Shake, reduce_shake, shown
from advisor.readings.road import engine_speed, tyre_diameter
from advisor.readings.verdicts import limit_for, questions
from advisor.rulebase.model import Rulebase

HANG = "hang-time"
STANDS = "The engine does not run in this log, or its revs were not picked up: look at the pick-up, record again."
NEVER_WARM = "It never got warm in this log: no verdict on the warm idle."
NOTHING_ODD = "Nothing odd: level, steady, and it falls as it should."
MOST_NAMED, MOST_HANGS = 3, 9  # pauses over which the idle moved; falls told one by one
IDLE_COLUMNS, SHAKE_COLUMNS = ("time", "revs"), ("time", "acceleration")


def idle_of(one: LogFile) -> tuple[Log, IdleLog]:
    """Return an idle log and its result."""
    log = read_log(Path(one.path), IDLE_COLUMNS, ("temperature",))
    return log, reduce_idle(log, one.starts)


def idle_picture(found: IdleLog, base: Rulebase) -> list[str]:
    """Return the result of an idle log in the words of its readings' pages."""
    if found.stands:
        return [STANDS]
    untold = not_told(found)
    if found.warm is None:
        return untold or [NEVER_WARM]
    odd = oddities(found, _hang_most(base))
    said = {word: text for page in base.readings.values() for word, text in page.in_a_log.items()}
    return ([said[word] for word in odd if word in said] + untold) if odd or untold else [NOTHING_ODD]


def not_told(found: IdleLog) -> list[str]:
    """Return what the log cannot tell, though there is warm idle in it, and why."""
    said = [
        f"Over the pause before {at:.0f} s the idle went {'up' if by > 0 else 'down'} by {show(abs(by), 'rpm')}; "
        "whether it drifted or jumped cannot be told."
        for at, by in found.moved[:MOST_NAMED]
    ]
    needs = {
        "hunts": SHORTEST if found.swing is None else 0.0,
        "drifts": _drift_needs(found),
        "moves in steps": SHORTEST if found.steps is None and not found.moved else 0.0,
    }
    paused = "the log pauses, and " if found.gaps else ""
    for need in sorted({one for one in needs.values() if one > found.longest}):
        *most, last = [word for word, one in needs.items() if one == need]
        what = f"{', '.join(most)} or {last}" if most else last
        lasts = f"its longest stretch of warm idle lasts {found.longest:.0f} s; {need:.0f} s are needed."
        said.append(f"Whether it {what} cannot be told: {paused}{lasts}")
    if found.cut and not found.hangs:
        said.append("How the revs fall after a blip cannot be told: a pause cuts off each blip.")
    return said if found.longest else []


def _drift_needs(found: IdleLog) -> float:
    """Return how long a piece must be to show a drift, in s, if none is; a hunt is evened out over two periods."""
    if found.moved or (found.warm and found.warm.drift):
        return 0.0
    return max(SHORTEST, 2 * FEWEST_BINS * (found.period or 0.0))


def _hang_most(base: Rulebase) -> float:
    """Return the time to fall after a blip, in s, above which a rule says that the revs hang."""
    asked = [one for one in questions(base).values() if (one.reading, one.of, one.above) == (HANG, "reading", True)]
    return min((limit_for(one, Bike(), base) for one in asked), default=math.inf)


def shake_of(one: LogFile, bike: Bike, base: Rulebase) -> tuple[Log, Shake]:
    """Return a shake log and its result; gear, speed and tyre give the engine speed if the log has none."""
    log = read_log(Path(one.path), SHAKE_COLUMNS, ("revs",))
    ratio = bike.gears[one.gear - 1] if 0 < one.gear <= len(bike.gears) else None
    diameter = tyre_diameter(bike.tyre)
    revs = None
    if one.speed is not None and ratio and diameter:
        revs = engine_speed(one.speed, diameter, ratio)
    elif "revs" not in log.columns:
        needs = "the log has no column 'revs rpm', so its speed, gear, and the bike's gears and tyre must be told"
        raise CaseError([Problem(log.file, 0, needs)])
    return log, reduce_shake(log, base.shakes, revs, ratio)


def readings_of(one: LogFile) -> list[Measured]:
    """Return the readings that an idle log holds; of what it cannot tell there is none."""
    _, found = idle_of(one)
    return idle_readings(found, one)


def idle_readings(found: IdleLog, one: LogFile) -> list[Measured]:
    """Return the readings of an idle log that has been worked out."""
    name = Path(one.path).name
    made: list[Measured] = []

    def add(reading: str, values: tuple[float, ...], give: float, unit: str, said: str) -> None:
        made.append(
            Measured(
                reading=reading, side=None, values=values, give=give, unit=unit, line=one.line, given=f"{said} ({name})"
            )
        )

    if found.warm:
        level = found.warm.level
        add("idle-speed", (level,), max(found.warm.level_within, 20.0), "rpm", show(level, "rpm"))
        if found.swing is not None:
            every = f" every {show(found.period, 's')}" if found.period else ""
            said = f"{show(found.swing, 'rpm')}{every}"
            add("idle-swing", (found.swing,), max(0.1 * found.swing, 5.0), "rpm", said)
        if found.warm.drift:
            slope = found.warm.drift
            add("idle-drift", (slope.value,), _half(slope), "rpm/min", show(slope.value, "rpm/min"))
        if found.steps is not None:
            largest = max((abs(size) for _, size in found.steps), default=0.0)
            add("idle-step", (largest,), 20.0, "rpm", show(largest, "rpm"))
    if found.hangs:
        add(HANG, found.hangs, max(2 / found.rate, 0.1), "s", hangs_said(found.hangs))
    return made


def hangs_said(hangs: tuple[float, ...]) -> str:
    """Return how long each fall took, or the range of them if there are many."""
    if len(hangs) <= MOST_HANGS:
        return ", ".join(show(one, "s") for one in hangs)
    return f"{show(min(hangs), 's')} to {show(max(hangs), 's')} in {len(hangs)} blips"


def _half(slope: Slope) -> float:
    return max(slope.high - slope.value, slope.value - slope.low)


def signs_of(one: LogFile, bike: Bike, base: Rulebase, told: Callable[[str], bool]) -> list[SignReport]:
    """Return the signs that a shake log settles, except those that were `told` outright."""
    _, found = shake_of(one, bike, base)
    return [
        SignReport(sign=name, side=None, seen=state, how=one.how, line=one.line)
        for name, state in shown(found, base).items()
        if not told(name)
    ]
