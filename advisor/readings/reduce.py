"""Reduces the figures of a case: bounded readings, left-right leads, sums, swapped hoses, changes since last time."""

import math
from collections.abc import Iterable

from msgspec.structs import replace

from advisor.case import Measured
from advisor.quantities import ALIASES, COLUMN, GRAVITY, unit_of
from advisor.readings.manometer import legs_of_one_tube
from advisor.readings.reduced import Figures, Reduced, around, as_measured, derived
from advisor.rulebase.model import Reading, Rulebase
from advisor.sides import BOTH, Side, other

NOTHING = 1e-6  # in any unit here, less than can be measured


def reduce(measured: Iterable[Measured], before: Iterable[Measured], base: Rulebase) -> list[Reduced]:
    """Return every reading with its bounds, and everything derived from them.

    Of the two legs of one U-tube only the difference is a figure: their heights are not returned.
    """
    everything = list(measured)
    plain: Figures = {(one.reading, one.side): as_measured(one, base) for one in everything if not one.over_other}
    tubes = _tubes(plain, base)
    plain = _zeroed(plain, base) | _sums(plain, base)
    leads: Figures = {}
    for one in everything:
        if one.over_other:
            leads |= _told_leads(as_measured(one, base), one.given)
    shares = []
    for name in dict.fromkeys(reading for reading, _ in plain):
        if all((name, side) in plain for side in BOTH):
            for side in BOTH:
                leads[name, side] = _lead(plain[name, side], plain[name, other(side)])
                if name not in tubes:
                    shares += _share(leads[name, side], plain[name, side], plain[name, other(side)])
    plain = {(name, side): one for (name, side), one in plain.items() if name not in tubes}
    stays = [_exchanged(reading, leads) for reading in base.readings.values() if reading.exchanges]
    earlier = {(one.reading, one.side): as_measured(one, base) for one in before if not one.over_other}
    changes = [_change(now, earlier[key]) for key, now in plain.items() if key in earlier]
    return [*plain.values(), *leads.values(), *shares, *(one for one in stays if one), *changes]


def _tubes(plain: Figures, base: Rulebase) -> set[str]:
    """Return the readings whose two figures, as read, are the legs of one U-tube."""
    names = {name for name, _ in plain if base.readings[name].zeroed_by}
    return {name for name in names if all((name, side) in plain for side in BOTH) and _one_tube(name, plain, base)}


def _one_tube(name: str, plain: Figures, base: Rulebase) -> bool:
    left, right = plain[name, "left"], plain[name, "right"]
    density = _density(left.written, base)
    pascals = base.units[left.unit].factor
    return (
        density > 0
        and left.written == right.written
        and legs_of_one_tube(left.value * pascals, right.value * pascals, density)
    )


def _density(written: str, base: Rulebase) -> float:
    """Return the density (kg/m3) of the fluid in a unit like `mm of 860 kg/m3`; 0 for any other unit."""
    match, unit = COLUMN.match(ALIASES.get(written, written)), unit_of(written, base.units)
    if match is None or unit is None:
        return 0.0
    length = base.units[ALIASES.get(match["length"], match["length"])].factor
    return unit.factor / (GRAVITY * length)


def _zeroed(plain: Figures, base: Rulebase) -> Figures:
    """Return the figures less the instrument's zero reading on the same leg."""
    found = dict(plain)
    for (name, side), one in plain.items():
        rest = plain.get((base.readings[name].zeroed_by, side))
        if rest is not None and math.isfinite(one.value):
            value, half = one.value - rest.value, math.hypot(one.half, rest.half)
            words = f"{one.words}, at rest {rest.words}"
            found[name, side] = derived(one, "reading", value, around(value, half), words)
    return found


def _sums(plain: Figures, base: Rulebase) -> Figures:
    """Return the readings that are sums of others, if all of those were taken and the sum was not."""
    found: Figures = {}
    for reading in base.readings.values():
        sides: tuple[Side, ...] = (*BOTH, None) if reading.adds else ()
        for side in sides:
            parts = [plain[name, side] for name in reading.adds if (name, side) in plain]
            if (reading.id, side) not in plain and len(parts) == len(reading.adds):
                value = math.fsum(one.value for one in parts)
                bounds = around(value, math.hypot(*(one.half for one in parts)))
                words = " + ".join([parts[0].words, *(one.said for one in parts[1:])])
                whole = derived(parts[0], "reading", value, bounds, words)
                found[reading.id, side] = replace(whole, reading=reading.id)
    return found


def _told_leads(told: Reduced, given: str) -> Figures:
    """Return both sides' leads from a difference that was read directly."""
    told = replace(told, head=told.reading)
    words = f"{told.side} more by {given}"
    mine = derived(told, "lead", told.value, (told.low, told.high), words)
    theirs = replace(derived(told, "lead", -told.value, (-told.high, -told.low), words), side=other(told.side))
    return {(told.reading, one.side): one for one in (mine, theirs)}


def _lead(mine: Reduced, theirs: Reduced) -> Reduced:
    """Return one side's surplus over the other."""
    words = f"{mine.words}, {theirs.side} {theirs.words}"
    lead = mine.value - theirs.value
    if not math.isfinite(lead):  # a stall is a bound, not a figure
        return derived(mine, "lead", lead, (mine.low - theirs.high, mine.high - theirs.low), words)
    # Two independent figures: their uncertainties add as squares (JCGM 100:2008, section 5.1.2).
    below = math.hypot(mine.value - mine.low, theirs.high - theirs.value)
    above = math.hypot(mine.high - mine.value, theirs.value - theirs.low)
    return derived(mine, "lead", lead, (lead - below, lead + above), words)


def _share(lead: Reduced, mine: Reduced, theirs: Reduced) -> list[Reduced]:
    """Return a lead in per cent of the higher figure; nothing if that figure may be zero."""
    highest = max(abs(mine.value), abs(theirs.value))
    if math.isinf(lead.value):
        return _share_of_a_stall(lead, *sorted((mine, theirs), key=lambda one: one.value))
    if not math.isfinite(highest) or not highest > max(lead.value - lead.low, lead.high - lead.value, NOTHING):
        return []
    share = 100 / highest
    found = derived(lead, "lead %", share * lead.value, (share * lead.low, share * lead.high), lead.words)
    return [replace(found, unit="%", written="%")]


def _share_of_a_stall(lead: Reduced, lower: Reduced, stalled: Reduced) -> list[Reduced]:
    """Return a lead in per cent of a stall; only a lower bound is known of the stall, and so of the percentage."""
    if lower.high >= stalled.low:
        return []
    least = 100 * (1 - max(lower.high, 0.0) / stalled.low)
    bounds = (least, math.inf) if lead.value > 0 else (-math.inf, -least)
    return [replace(derived(lead, "lead %", lead.value, bounds, lead.words), unit="%", written="%")]


def _exchanged(reading: Reading, leads: Figures) -> Reduced | None:
    """Return what stays on one leg with the hoses swapped, and put the engine's true difference into the leads.

    With an error E of the left leg and a true difference T (left carburettor less right), the legs differ
    by E + T as connected and by E - T swapped.
    """
    as_connected, exchanged = leads.get((reading.exchanges, "left")), leads.get((reading.id, "left"))
    if as_connected is None or exchanged is None:
        return None
    half = math.hypot(as_connected.half, exchanged.half) / 2
    error, true = (as_connected.value + exchanged.value) / 2, (as_connected.value - exchanged.value) / 2
    words = f"{as_connected.words}; {exchanged.said}"
    for side in BOTH:
        lead = true if side == "left" else -true
        leads[reading.exchanges, side] = replace(
            derived(as_connected, "lead", lead, around(lead, half), words), side=side
        )
    stays = derived(exchanged, "stays", abs(error), (max(abs(error) - half, 0.0), abs(error) + half), words)
    return replace(stays, side=None, head=as_connected.head)


def _change(now: Reduced, earlier: Reduced) -> Reduced:
    """Return how far a setting has moved since last time, either way."""
    half = math.hypot(now.half, earlier.half)
    moved = abs(now.value - earlier.value)
    return derived(
        now, "change", moved, (max(moved - half, 0.0), moved + half), f"{now.words}, last time {earlier.words}"
    )
