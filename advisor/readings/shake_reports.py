"""What a shake belongs to, from a rider's reports by gear, with the clutch in, and by throttle."""

from collections.abc import Callable, Iterable, Mapping
from itertools import product

import msgspec

from advisor.case import Bike, ShakeReport, SignReport
from advisor.readings.road import engine_speed, tyre_diameter
from advisor.rulebase.model import Rulebase

SAME, OTHER = 0.05, 0.15  # a speedometer and a memory agree within 5 %; 15 % is a different speed: judgement
ROAD, ENGINE, THROTTLE, ONE_SPEED = (
    "shake-follows-road-speed",
    "shake-follows-engine",
    "shake-follows-throttle",
    "shake-at-one-speed",
)
TELLING = (ROAD, ENGINE, THROTTLE, ONE_SPEED)  # most telling first


class Ride(msgspec.Struct, frozen=True):
    """One report with its engine speed worked out (None if it is not known, or the clutch was in)."""

    speed: float | None
    revs: float | None
    clutch_in: bool
    throttle: str
    shakes: bool


def rides(reports: Iterable[ShakeReport], bike: Bike) -> list[Ride]:
    """Return the reports, with engine speeds from gear and tyre if no revs were given."""
    diameter = tyre_diameter(bike.tyre)
    found = []
    for one in reports:
        revs = one.revs
        if revs is None and one.speed is not None and one.gear and diameter and one.gear <= len(bike.gears):
            revs = engine_speed(one.speed, diameter, bike.gears[one.gear - 1])
        found.append(Ride(one.speed, None if one.clutch_in else revs, one.clutch_in, one.throttle, one.shakes))
    return found


def belongs_to(reports: Iterable[ShakeReport], bike: Bike) -> dict[str, bool]:
    """Return the shake signs that these reports settle, seen or not; those left open are missing."""
    told = rides(reports, bike)
    shaking, smooth = [one for one in told if one.shakes], [one for one in told if not one.shakes]
    found: dict[str, bool] = {}
    alike = [(one, two) for one, two in product(shaking, smooth) if _same_throttle(one, two)]
    if any(_same(one.speed, two.speed) for one, two in alike):
        found[ROAD] = False
    elif any(_same(one.speed, two.speed) and _apart(one, two) for one, two in product(shaking, shaking)):
        found[ROAD] = True
    if any(_same(one.revs, two.revs) for one, two in alike) or found.get(ROAD):
        found[ENGINE] = found[ONE_SPEED] = False
    else:
        found |= _by_revs(shaking, smooth)
    return found | _by_throttle(shaking, smooth)


def next_step(found: Mapping[str, bool], base: Rulebase) -> str:
    """Return what to do next about a shake with these findings: by the most telling sign that is there."""
    said = (base.signs[name].do for name in TELLING if found.get(name))
    return next(filter(None, said), base.ride_next.left_open)


def _by_revs(shaking: list[Ride], smooth: list[Ride]) -> dict[str, bool]:
    rates = [one.revs for one in shaking if one.revs is not None]
    calm = [one.revs for one in smooth if one.revs is not None]
    followed = any(_same(one.revs, two.revs) and _other(one.speed, two.speed) for one, two in product(shaking, shaking))
    rests = any(two.clutch_in and _same(one.speed, two.speed) for one, two in product(shaking, smooth))
    if not rates or not (followed or rests or calm):
        return {}
    below, above = any(one < min(rates) for one in calm), any(one > max(rates) for one in calm)
    if above and (below or followed) and max(rates) <= min(rates) * (1 + OTHER):
        return {ENGINE: False, ONE_SPEED: True}
    if (followed or rests) and not above:
        return {ENGINE: True} | ({ONE_SPEED: False} if max(rates) > min(rates) * (1 + OTHER) else {})
    return {}


def _by_throttle(shaking: list[Ride], smooth: list[Ride]) -> dict[str, bool]:
    """Compare the throttle's effect at the same road speed or engine speed."""

    def at_same(one: Ride, two: Ride) -> bool:
        return _same(one.revs, two.revs) or (_same(one.speed, two.speed) and _same(one.revs, two.revs, if_unknown=True))

    parted = [one for one in shaking if one.throttle == "part"]
    if any(at_same(one, two) for one in parted for two in smooth if two.throttle in {"shut", "wide"}):
        return {THROTTLE: True}
    if any(at_same(one, two) for one in parted for two in shaking if two.throttle in {"shut", "wide"}):
        return {THROTTLE: False}
    return {}


def _same(one: float | None, two: float | None, *, if_unknown: bool = False) -> bool:
    return if_unknown if one is None or two is None else abs(one - two) <= SAME * max(one, two)


def _other(one: float | None, two: float | None) -> bool:
    return one is not None and two is not None and abs(one - two) > OTHER * min(one, two)


def _apart(one: Ride, two: Ride) -> bool:
    return one.clutch_in != two.clutch_in or _other(one.revs, two.revs)


def _same_throttle(one: Ride, two: Ride) -> bool:
    return not one.throttle or not two.throttle or one.throttle == two.throttle


def signs(reports: tuple[ShakeReport, ...], bike: Bike, told: Callable[[str], bool]) -> list[SignReport]:
    """Return the signs these reports settle, except those that were `told` outright."""
    how, line = (reports[0].how, reports[0].line) if reports else ("", 0)
    return [
        SignReport(sign=name, side=None, seen=seen, how=how, line=line)
        for name, seen in belongs_to(reports, bike).items()
        if not told(name)
    ]
