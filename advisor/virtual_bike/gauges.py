"""What is read while the engine runs on: instruments that lag, scatter, and are off by their own zero.

How far they lag and how far a zero is off: common practice, no source, unless a line says otherwise.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from advisor.quantities import GRAVITY
from advisor.virtual_bike import instruments
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.instruments import COLUMN_HELD, COLUMN_IDLE, Instrument
from advisor.virtual_bike.steady import FLUID

MM_PA = FLUID * GRAVITY * 1e-3  # Pa for a millimetre of the fluid
MMHG_PA = 133.322  # Pa for a millimetre of mercury
TACHOMETER_LAG_S = 0.5
FINEST = 1e-6  # mm: no rounding but the instrument's own


@dataclass(frozen=True)
class Columns:
    """An instrument with a column or a dial for each side; `zero` and `most` are in its own unit.

    `one_tube`: a U-tube between the sides; left and right are its two legs above the middle, so it shows no more than
    how far the sides differ.
    """

    unit_pa: float  # Pa
    lag_s: float  # time constant, s
    idle: Instrument  # scatter of the difference between the sides, resolution of each
    held: Instrument  # the same with the grip held open
    zero: float  # by how much each side is off when nothing is hooked up: standard deviation
    most: float  # the furthest that it shows
    one_tube: bool = False

    def zeros(self, rng: np.random.Generator) -> Array:
        """Draw how far this one is off, left and right, in its unit."""
        return np.asarray(self.zero * rng.normal(size=2))

    def read(self, at: "Lagged", bike: Bike, zeros: Array, rng: np.random.Generator) -> tuple[float, float]:
        """Return left and right as read, in its unit: depressions, or the legs of a U-tube."""
        by = self.held if at.held else self.idle
        noise = by.noise * self.unit_pa / MM_PA if at.runs else 0.0
        kpa, missed = (np.array([pair], float) for pair in (at.kpa, at.missed))
        mm = instruments.columns((kpa, missed), [bike], Instrument(noise, FINEST), rng)[0]
        shown = mm * MM_PA / self.unit_pa
        if self.one_tube:
            shown = (shown[0] - shown[1]) / 2 * np.array([1.0, -1.0])
        shown = np.clip(shown + zeros, -self.most if self.one_tube else 0.0, self.most)
        left, right = (np.round(shown / by.resolution) * by.resolution + 0.0).tolist()
        return left, right


@dataclass(frozen=True)
class Lagged:
    """Where the columns stand before they are read: depressions (kPa) and shares of cycles missed, left and right."""

    kpa: tuple[float, float]
    missed: tuple[float, float]
    held: bool
    runs: bool


INSTRUMENTS: Mapping[str, Columns] = {
    # two dials with a restrictor in each hose, mmHg
    "gauges": Columns(MMHG_PA, 0.8, Instrument(2.0, 2.0), Instrument(3.0, 2.0), 3.0, 760.0),
    # mm of an 860 kg/m3 oil; 3/16 in tube, 2 m of oil of 70 cSt: the slow root of the linear U-tube
    "tube": Columns(
        MM_PA,
        10.1,
        Instrument(COLUMN_IDLE.noise, COLUMN_IDLE.resolution / 2),
        Instrument(COLUMN_HELD.noise, COLUMN_HELD.resolution / 2),
        1.5,
        700.0,
        one_tube=True,
    ),
}
