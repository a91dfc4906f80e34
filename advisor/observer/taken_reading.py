"""A reading as taken: its unit and repeats, and the instruments' scatter."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from advisor.observer.bike_view import Pair, View
from advisor.sides import BOTH, Side
from advisor.virtual_bike.instruments import Instrument


@dataclass(frozen=True)
class Taken:
    """Repeats of a reading, by side (None for the whole bike), all in `unit`; how often it stalled instead.

    Each repeat is trusted within `trusted` either way; 0 if not stated.

    A side without any repeat and without a stall gave no figure: the engine does not run so.
    """

    unit: str
    values: dict[Side, tuple[float, ...]]
    stalls: dict[Side, int]
    trusted: float = 0.0

    def at(self, side: Side = None) -> tuple[float, ...]:
        """Return the repeats on this side."""
        return self.values.get(side, ())

    def on(self, side: Side) -> "Taken":
        """Return what was read on this side alone; all of it if it has no sides."""
        if side not in self.values:
            return self
        stalls = {one: n for one, n in self.stalls.items() if one == side}
        return replace(self, values={side: self.values[side]}, stalls=stalls)


Reader = Callable[[View, np.random.Generator], Taken]


def shown(instrument: Instrument, value: float, rng: np.random.Generator) -> float:
    """Return one reading of a true value, never below zero where the value is not."""
    read = float(instrument.read(np.asarray(value), rng))
    return round(max(read, 0.0) if value >= 0 else read, 6) + 0.0  # no minus zero


def whole(unit: str, instrument: Instrument, of: Callable[[View], float]) -> Reader:
    """Return the reader of one value of the whole bike; none where it is not finite."""

    def taken(v: View, rng: np.random.Generator) -> Taken:
        value = of(v)
        return Taken(unit, {None: (shown(instrument, value, rng),) if np.isfinite(value) else ()}, {})

    return taken


def sided(unit: str, instrument: Instrument, of: Callable[[View], Pair]) -> Reader:
    """Return the reader of a value of either side; none where it is not finite."""

    def taken(v: View, rng: np.random.Generator) -> Taken:
        both = zip(BOTH, of(v), strict=True)
        return Taken(unit, {side: (shown(instrument, x, rng),) if np.isfinite(x) else () for side, x in both}, {})

    return taken
