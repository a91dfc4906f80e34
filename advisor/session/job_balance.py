"""A balance as it is drawn on paper: each reading, and what was turned between one and the next."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.balance.course_steps import COLUMNS, IDLE, Blipped, Method, Ridden, Seen, Step, Turned, Unhooked, Where
from advisor.balance.turns import MIXTURE
from advisor.case import Bike
from advisor.quantities import show, widen
from advisor.rulebase.model import Rulebase
from advisor.session.balance_in_words import each
from advisor.session.balance_mixture import place_said
from advisor.session.balance_so_far import BY_CO, METHOD, READINGS, UNIT, Led, balances, setup
from advisor.session.events import BALANCE, Event
from advisor.session.figures_say import readings_of
from advisor.session.state import State
from advisor.session.went_over import leads
from advisor.sides import BOTH


class Point(msgspec.Struct, frozen=True, kw_only=True):
    """One reading: by how much the left side has more (below 0: the right one), how closely, and the revs (1/min).

    `number` counts all readings of a balance from 1. `sides` are both as read, None where only the difference was.
    """

    number: int
    left_more: float
    within: float
    sides: tuple[float, float] | None
    revs: float | None


class Way(msgspec.Struct, frozen=True, kw_only=True):
    """How a balance came, in readings of one kind: at idle or off idle, by columns or by drops, in the unit typed.

    `alike` is how far the sides may be apart (None: not known).
    """

    where: Where
    by: Method
    unit: str
    alike: float | None
    points: tuple[Point, ...]


class Balance(msgspec.Struct, frozen=True, kw_only=True):
    """One balance: how each kind of reading came, what was done in order, and how each mixture screw was set.

    A step that is a reading has its number in front.
    """

    ways: tuple[Way, ...]
    steps: tuple[str, ...]
    mixture: tuple[str, ...]


def balances_drawn(state: State, base: Rulebase) -> Iterator[Balance]:
    """Yield each balance of a session in which something was read."""
    events = list(_of_a_balance(state))
    units = {one.reading: one.unit for event in events for one in readings_of(event)}  # the last one typed
    for led in balances(events, base):
        ways = tuple(_ways(led, state.case.bike, units, base))
        mixture = tuple(_mixture(led))
        if ways or mixture:
            yield Balance(ways=ways, steps=tuple(_steps(led.steps, units, base)), mixture=mixture)


def _of_a_balance(state: State) -> Iterator[Event]:
    """Yield the events of a session without what was read in a search for a fault."""
    for number, event in enumerate(state.known, start=1):
        if not readings_of(event) or leads(state.known[:number], state.kind) == BALANCE:
            yield event


def _ways(led: Led, bike: Bike, units: dict[str, str], base: Rulebase) -> Iterator[Way]:
    read = list(enumerate(_read(led.steps), start=1))
    for by, where in dict.fromkeys((one.by, one.where) for _, one in read):
        unit = _unit(by, where, units)
        own = [(number, one) for number, one in read if (one.by, one.where) == (by, where)]
        yield Way(
            where=where,
            by=by,
            unit=unit,
            alike=_alike(led, by, where, bike, unit, base),
            points=tuple(_point(number, one, unit, base) for number, one in own),
        )


def _read(steps: Sequence[Step]) -> Iterator[Seen]:
    yield from (one for one in steps if isinstance(one, Seen) and one.behind is not None)


def _unit(by: Method, where: Where, units: dict[str, str]) -> str:
    return units.get(READINGS[by, where], UNIT[by])


def _alike(led: Led, by: Method, where: Where, bike: Bike, unit: str, base: Rulebase) -> float | None:
    found = setup(led, bike, base) if METHOD in led.chosen else None
    if found is None or (found.method != by and found.cross_idle is None):
        return None
    own = found.apart_idle if where == IDLE else found.apart_off_idle
    limit = own if found.method == by else found.cross_idle
    return None if limit is None else widen(limit, UNIT[by], unit, base.units)


def _point(number: int, one: Seen, unit: str, base: Rulebase) -> Point:
    """Return a reading in the unit that was typed. A column stands higher where a side opens less, a drop is lower."""
    way = 1.0 if one.by == COLUMNS else -1.0

    def typed(value: float) -> float:
        return widen(value, UNIT[one.by], unit, base.units)

    return Point(
        number=number,
        left_more=way * typed(one.behind or 0.0),
        within=typed(one.behind_half),
        sides=(typed(one.sides[0]), typed(one.sides[1])) if one.sides else None,
        revs=one.revs,
    )


def _done(one: Step) -> list[str]:
    match one:
        case Turned():
            ended = [f"would not turn: {each(one.ended)}"] if one.ended else []
            return [*([f"turned {each(one.turns)}"] if one.turns else []), *ended]
        case Blipped():
            return ["blipped three times"]
        case Ridden():
            return ["ridden"]
        case Unhooked():
            return [f"hoses off, ports capped: {show(one.revs, 'rpm')}"]
    return []


def _steps(steps: Sequence[Step], units: dict[str, str], base: Rulebase) -> Iterator[str]:
    number = 0
    for one in steps:
        if isinstance(one, Seen) and one.behind is not None:
            number += 1
            unit = _unit(one.by, one.where, units)
            yield f"{number}: {one.where}, {point_said(_point(number, one, unit, base), one.by, unit)}"
        yield from _done(one)


def point_said(one: Point, by: str, unit: str) -> str:
    """Return a reading of the balance in words: 'left 240, right 205 mmHg: left 35 mmHg higher (give or take 4.2)'."""
    size = show(abs(one.left_more), unit)
    more = f"{'left' if one.left_more > 0 else 'right'} {size} {'higher' if by == COLUMNS else 'more'}"
    lead = "level" if size.split()[0] == "0" else more
    both = f"{_both(one.sides, unit)}: " if one.sides else ""
    revs = f", at {show(one.revs, 'rpm')}" if one.revs is not None else ""
    return f"{both}{lead} ({give_or_take(one.within)}){revs}"


def give_or_take(half: float) -> str:
    """Return how closely a figure is known, in two digits that count."""
    return f"give or take {show(float(f'{half:.2g}'), '').strip()}"


def _both(sides: tuple[float, float], unit: str) -> str:
    left, right = (show(value, unit) for value in sides)
    return f"left {left.split()[0]}, right {right}"


def _mixture(led: Led) -> Iterator[str]:
    """Yield what was read at each place of a mixture screw that was set."""
    unit = "%" if led.by == BY_CO else "rpm"
    for side in BOTH:
        read = led.read[side]
        if read:
            yield f"{side} {MIXTURE}: {', '.join(f'{place_said(at)} {show(value, unit)}' for at, value in read)}"
