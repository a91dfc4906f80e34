"""What a shake belongs to, from a rider's reports by gear, with the clutch in, and by throttle."""

from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Iterable, Mapping

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
    if _meet(shaking, smooth, _speed):
        found[ROAD] = False
    elif _apart_at_one_speed(shaking):
        found[ROAD] = True
    if _meet(shaking, smooth, _revs) or found.get(ROAD):
        found[ENGINE] = found[ONE_SPEED] = False
    else:
        found |= _by_revs(shaking, smooth)
    return found | _by_throttle(shaking, smooth)


def next_step(found: Mapping[str, bool], base: Rulebase) -> str:
    """Return what to do next about a shake with these findings: by the most telling sign that is there."""
    said = (base.signs[name].do for name in TELLING if found.get(name))
    return next(filter(None, said), base.ride_next.left_open)


def _meet(shaking: list[Ride], smooth: list[Ride], figure: Callable[[Ride], float | None]) -> bool:
    """Whether it shook and did not shake at the same figure, with no other throttle."""
    for throttle in {one.throttle for one in shaking}:
        alike = [one for one in smooth if not throttle or one.throttle in {"", throttle}]
        if _near((figure(one) for one in shaking if one.throttle == throttle), map(figure, alike)):
            return True
    return False


def _apart_at_one_speed(shaking: list[Ride]) -> bool:
    """Whether it shook at one road speed with the clutch in and out, or at engine speeds that differ."""
    coasting = (one.speed for one in shaking if one.clutch_in)
    driven = (one.speed for one in shaking if not one.clutch_in)
    return _near(coasting, driven) or _differ((one.speed, one.revs) for one in shaking)


def _by_revs(shaking: list[Ride], smooth: list[Ride]) -> dict[str, bool]:
    rates = [one.revs for one in shaking if one.revs is not None]
    calm = [one.revs for one in smooth if one.revs is not None]
    followed = _differ((one.revs, one.speed) for one in shaking)
    rests = _near(map(_speed, shaking), (one.speed for one in smooth if one.clutch_in))
    if not rates or not (followed or rests or calm):
        return {}
    least, most = min(rates), max(rates)
    below, above = any(one < least for one in calm), any(one > most for one in calm)
    if above and (below or followed) and most <= least * (1 + OTHER):
        return {ENGINE: False, ONE_SPEED: True}
    if (followed or rests) and not above:
        return {ENGINE: True} | ({ONE_SPEED: False} if most > least * (1 + OTHER) else {})
    return {}


def _by_throttle(shaking: list[Ride], smooth: list[Ride]) -> dict[str, bool]:
    """Compare the throttle's effect at the same engine speed, or at the same road speed where that is not known."""
    parted = [one for one in shaking if one.throttle == "part"]
    for rest, found in ((smooth, True), (shaking, False)):
        others = [one for one in rest if one.throttle in {"shut", "wide"}]
        if (
            _near(map(_revs, parted), map(_revs, others))
            or _near((one.speed for one in parted if one.revs is None), map(_speed, others))
            or _near(map(_speed, parted), (one.speed for one in others if one.revs is None))
        ):
            return {THROTTLE: found}
    return {}


def _speed(one: Ride) -> float | None:
    return one.speed


def _revs(one: Ride) -> float | None:
    return one.revs


def _near(ones: Iterable[float | None], twos: Iterable[float | None]) -> bool:
    """Whether one of these figures is the same as one of those; None is the same as none.

    Only the neighbours in order need a look, so that a thousand reports take no million comparisons.
    """
    known = sorted(two for two in twos if two is not None)
    for one in ones:
        if one is not None:
            place = bisect_left(known, one)
            if any(_same(one, two) for two in known[max(place - 1, 0) : place + 1]):
                return True
    return False


def _differ(pairs: Iterable[tuple[float | None, float | None]]) -> bool:
    """Whether two pairs have the same first figure, and second figures that differ; None is neither.

    Goes up the first figures with all that are the same as the last one, and keeps the least and the greatest second.
    """
    least: deque[tuple[float, float]] = deque()
    greatest: deque[tuple[float, float]] = deque()
    for first, second in sorted((one, two) for one, two in pairs if one is not None and two is not None):
        while least and least[-1][1] >= second:
            least.pop()
        while greatest and greatest[-1][1] <= second:
            greatest.pop()
        for kept in (least, greatest):
            kept.append((first, second))
            while len(kept) > 1 and not _same(kept[0][0], first):
                kept.popleft()
        if _other(least[0][1], greatest[0][1]):
            return True
    return False


def _same(one: float, two: float) -> bool:
    return abs(one - two) <= SAME * max(one, two)


def _other(one: float, two: float) -> bool:
    return abs(one - two) > OTHER * min(one, two)


def signs(reports: tuple[ShakeReport, ...], bike: Bike, told: Callable[[str], bool]) -> list[SignReport]:
    """Return the signs these reports settle, except those that were `told` outright."""
    how, line = (reports[0].how, reports[0].line) if reports else ("", 0)
    return [
        SignReport(sign=name, side=None, seen=seen, how=how, line=line)
        for name, seen in belongs_to(reports, bike).items()
        if not told(name)
    ]
