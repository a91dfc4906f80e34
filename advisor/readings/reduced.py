"""One reduced figure: a value with the bounds within which it is trusted, and the words it came from."""

import math

import msgspec

from advisor.case import Measured
from advisor.quantities import show, widen
from advisor.readings.uncertainty import half_width
from advisor.rulebase.model import Rulebase
from advisor.sides import Side, Sided, named

Bounds = tuple[float, float]
Figures = dict[Sided, "Reduced"]


class Reduced(msgspec.Struct, frozen=True, kw_only=True):
    """A figure to compare with limits: it lies between `low` and `high`, in `unit`.

    `of` is `reading` for a figure as measured, `lead` for its side's surplus over the other side (in the
    reading's unit), `lead %` for the same in per cent of the higher of the two, `change` for how far it has
    moved since last time, either way, and `stays` for what stays on one leg of the instrument with its
    hoses swapped. `written` is the unit that the mechanic used. `head` names the reading whose words come first, and
    `words` quote the input for it and for every reading that entered into it.
    """

    of: str
    reading: str
    side: Side
    value: float
    low: float
    high: float
    unit: str
    written: str
    head: str
    words: str

    @property
    def half(self) -> float:
        """The half-width of its bounds."""
        return (self.high - self.low) / 2

    @property
    def said(self) -> str:
        """The input in words, with the name of the reading and its side."""
        return f"{self.head}: {self.words}"


def as_measured(one: Measured, base: Rulebase) -> Reduced:
    """Return a measured figure with its bounds: from a gauge pair, from repeats, or from a stall."""
    reading = base.readings[one.reading]
    words = one.given
    if one.bounds:
        value, bounds = sum(one.bounds) / 2, one.bounds
    elif not one.values:  # only stalls
        value, bounds = math.inf, (reading.stalls, math.inf)
    else:
        value = math.fsum(one.values) / len(one.values)
        half = half_width(one.values, one.give, min(reading.instrument, one.give))
        bounds = (value - half, math.inf if one.stalls else value + half)
        if len(one.values) > 1:
            words += f" (mean {show(widen(value, reading.unit, one.unit, base.units), one.unit)})"
    return Reduced(
        of="reading",
        reading=one.reading,
        side=one.side,
        value=value,
        low=bounds[0],
        high=bounds[1],
        unit=reading.unit,
        written=one.unit,
        head=named(one.reading, one.side),
        words=words,
    )


def derived(source: Reduced, of: str, value: float, bounds: Bounds, words: str) -> Reduced:
    """Return a figure derived from another one, on its side and in its unit."""
    return msgspec.structs.replace(source, of=of, value=value, low=bounds[0], high=bounds[1], words=words)


def around(value: float, half: float) -> Bounds:
    """Return the bounds of a figure with a half-width."""
    return value - half, value + half
