"""Reduces the figures of a case to bounded readings and left-right leads."""

import math

import msgspec

from advisor.quantities import show, widen
from advisor.records import Measured
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, Side, other

Measures = dict[tuple[str, Side], Measured]


class Reduced(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that rules compare with limits: `low` and `high` bound where it may lie, in `unit`.

    `of` is `reading` for a figure as measured, and `lead` or `lead %` for its side's surplus over
    the other side (in the reading's unit, or in per cent of the higher of the two).
    """

    of: str
    reading: str
    side: Side
    value: float
    low: float
    high: float
    said: str


def reduce(measured: tuple[Measured, ...], base: Rulebase) -> list[Reduced]:
    """Return every reading with its bounds, and the leads where both sides were measured."""
    given: Measures = {(one.reading, one.side): one for one in measured}
    reduced = [_plain(one) for one in given.values()]
    for name in dict.fromkeys(one.reading for one in measured):
        if all((name, side) in given for side in BOTH):
            for side in BOTH:
                reduced += _leads(name, side, given, base)
    return reduced


def _plain(one: Measured) -> Reduced:
    said = f"{one.reading} {one.side}: {one.given}" if one.side else f"{one.reading}: {one.given}"
    return _bounded("reading", one.reading, one.side, one.value, one.give, said)


def _leads(name: str, side: Side, given: Measures, base: Rulebase) -> list[Reduced]:
    mine, theirs = given[name, side], given[name, other(side)]
    lead = mine.value - theirs.value
    # Two independent figures: their uncertainties add as squares (JCGM 100:2008, section 5.1.2).
    give = math.hypot(mine.give, theirs.give)
    apart = show(widen(abs(lead), base.readings[name].unit, mine.unit, base.units), mine.unit)
    more = "more" if lead >= 0 else "less"
    both = f"{name}: {side} {mine.given}, {other(side)} {theirs.given}"
    said = f"{both} ({side} {apart} {more})"
    found = [_bounded("lead", name, side, lead, give, said)]
    highest = max(abs(mine.value), abs(theirs.value))
    if highest > give:  # a share of what cannot be told from nothing is no figure
        share, share_give = 100 * lead / highest, 100 * give / highest
        said = f"{both} ({side} {show(abs(share), '%')} {more})"
        found.append(_bounded("lead %", name, side, share, share_give, said))
    return found


def _bounded(of: str, reading: str, side: Side, value: float, give: float, said: str) -> Reduced:
    return Reduced(of=of, reading=reading, side=side, value=value, low=value - give, high=value + give, said=said)
