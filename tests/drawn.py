"""Cases drawn from a seed over the whole grammar, and their mirror images. Faster than a strategy: no shrinking."""

import random
from collections.abc import Sequence

from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured, ShakeReport, SignReport
from advisor.intake.riding import THROTTLES
from advisor.rulebase.model import Reading, Rulebase
from advisor.sides import BOTH, Side, Sided, other, sides_of
from tests.cases import figure, report

ENGINE = ("", "", "cold", "warm", "any")
GEARS, TYRE = (13.0, 9.0, 7.0, 5.8, 5.0), "120/90-18"


def drawn(seed: int, base: Rulebase) -> Case:
    """Return the case of this seed: any valid one could come up."""
    rng = random.Random(seed)
    few = rng.choice((0, 1, 3, 6, 12))
    complained = rng.random() < 0.5
    return Case(
        title="",
        bike=_bike(rng, base),
        complaint="It will not settle." if complained else "",
        seen=signs(rng, base, rng.randint(0, few + 3), rng.choice((0.4, 0.7, 1.0))),
        measured=_measured(rng, base, rng.randint(0, few)),
        before=_measured(rng, base, rng.choice((0, 0, 0, 1, 3))),
        shakes=tuple(_shake(rng, base) for _ in range(rng.choice((0, 0, 0, 1, 2, 4)))),
        put_right=_some(rng, [(one.id, side) for one in base.causes.values() for side in sides_of(one.sided)]),
        ruled_out=_some(rng, [(one.id, side) for one in base.causes.values() for side in sides_of(one.sided)]),
        not_again=_some(rng, [(one.id, side) for one in base.checks.values() for side in sides_of(one.sided)]),
        opened=_some(rng, [(one.id, side) for one in base.covers.values() for side in sides_of(one.each_side)]),
        means=Means(
            person=rng.choice(base.persons),
            tools=rng.choice((None, None, frozenset(rng.sample(sorted(base.tools), rng.randint(0, len(base.tools)))))),
            engine=rng.choice(ENGINE),
        ),
    )


def signs(rng: random.Random, base: Rulebase, many: int, seen: float) -> tuple[SignReport, ...]:
    """Return reports of so many signs, each on its side; `seen` is the share of those that are there."""
    keys = [(sign.id, side) for sign in base.signs.values() for side in sides_of(sign.sided)]
    found: dict[Sided, SignReport] = {}
    ways = sorted(base.words.trust)
    for name, side in rng.sample(keys, min(many, len(keys))):
        there = rng.random() < seen
        twin = found.get((name, other(side)))
        if there and base.signs[name].exclusive and twin is not None and twin.seen:
            continue
        found[name, side] = report(name, side, seen=there, how=rng.choice(ways))
    return tuple(found.values())


def _bike(rng: random.Random, base: Rulebase) -> Bike:
    parts = {name: rng.choice(part.kinds) for name, part in base.parts.items() if rng.random() < 0.3}
    figures = {name: (one.low, one.high) for name, one in base.figures.items() if rng.random() < 0.2}
    known = rng.random() < 0.5
    return Bike(parts=parts, figures=figures, gears=GEARS if known else (), tyre=TYRE if known else "")


def _some(rng: random.Random, keys: Sequence[Sided]) -> tuple[Sided, ...]:
    return tuple(rng.sample(keys, rng.choice((0, 0, 0, 1, 2, 5))))


def _measured(rng: random.Random, base: Rulebase, many: int) -> tuple[Measured, ...]:
    found: list[Measured] = []
    for name in rng.sample(sorted(base.readings), min(many, len(base.readings))):
        page = base.readings[name]
        if page.sided and rng.random() < 0.2:
            side = rng.choice(BOTH)
            found.append(replace(figure(name, side, rng.uniform(0, _range(page) / 4), base), over_other=True))
            continue
        found += [_one(rng, name, side, base) for side in sides_of(page.sided) if not page.sided or rng.random() < 0.9]
    return tuple(found)


def _range(page: Reading) -> float:
    return min(page.highest, 300 * abs(page.give) or page.highest) - page.lowest


def _one(rng: random.Random, name: str, side: Side, base: Rulebase) -> Measured:
    """Return a reading: one figure or several, between two gauges, or stalls."""
    page = base.readings[name]
    many = rng.choice((1, 1, 1, 2, 4))
    first = figure(name, side, page.lowest + rng.random() * _range(page), base)
    kind = rng.random()
    if kind < 0.1 and page.stalls:
        return replace(first, values=(), stalls=1)
    if kind < 0.2 and first.values[0] < page.highest:
        high = min(page.highest, first.values[0] + _range(page) / 20)
        return replace(first, values=(), bounds=(first.values[0], high), give=0.0)
    near = [min(max(first.values[0] + rng.gauss(0, page.give), page.lowest), page.highest) for _ in range(many - 1)]
    return replace(first, values=(*first.values, *near))


def _shake(rng: random.Random, base: Rulebase) -> ShakeReport:
    speed = rng.choice((None, 14.0, 22.0, 25.0, 30.0))
    return ShakeReport(
        shakes=rng.random() < 0.6,
        speed=speed,
        revs=rng.choice((3000.0, 4000.0, 5000.0)) if speed is None else None,
        gear=rng.choice((0, 3, 4, 5)),
        clutch_in=rng.random() < 0.2,
        throttle=rng.choice(("", *THROTTLES)),
        how=rng.choice(sorted(base.words.trust)),
    )


def mirror(one: Case) -> Case:
    """Return the case with left and right exchanged everywhere; all lists keep their order."""
    return replace(
        one,
        seen=tuple(replace(report, side=other(report.side)) for report in one.seen),
        measured=tuple(replace(reading, side=other(reading.side)) for reading in one.measured),
        before=tuple(replace(reading, side=other(reading.side)) for reading in one.before),
        put_right=swapped(one.put_right),
        ruled_out=swapped(one.ruled_out),
        not_again=swapped(one.not_again),
        opened=swapped(one.opened),
    )


def swapped(keys: Sequence[Sided]) -> tuple[Sided, ...]:
    """Return the same things on the other side."""
    return tuple((name, other(side)) for name, side in keys)
