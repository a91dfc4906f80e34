"""Readings from true values: resolution, noise, a gauge that may mislead. Noise comes from a numpy Generator."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np

from advisor.quantities import GRAVITY
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import FLUID, Steady
from advisor.virtual_bike.still import Still


@dataclass(frozen=True)
class Instrument:
    """One instrument: scatter of a reading (standard deviation), also as a share of the value, and resolution."""

    noise: float
    resolution: float
    relative: float = 0.0

    def read(self, true: Array, rng: np.random.Generator, unsteady: float = 1.0) -> Array:
        """Return readings of true values, scattered `unsteady` times as usual and rounded; NaN stays NaN."""
        spread = unsteady * np.hypot(self.noise, self.relative * np.nan_to_num(true))
        return np.asarray(
            np.round((true + rng.normal(size=np.shape(true)) * spread) / self.resolution) * self.resolution
        )


TACHOMETER = Instrument(15.0, 10.0)
COLUMN_IDLE, COLUMN_HELD = Instrument(8.0, 5.0), Instrument(20.0, 5.0)  # mm of fluid
PROBE = Instrument(0.03, 0.01)
PYROMETER = Instrument(8.0, 1.0)
SHAKE = Instrument(0.6, 0.1, 0.1)  # rpm of speed swing, from a phone or a log
INSTRUMENTS: Mapping[str, Instrument] = {
    "idle_rpm": TACHOMETER,
    "shorted_rpm": TACHOMETER,
    "held_shorted_rpm": Instrument(30.0, 10.0),
    "probe": PROBE,
    "header_c": PYROMETER,
    "held_header_c": PYROMETER,
    "cruise_header_c": PYROMETER,
    "half_order_rpm": SHAKE,
    "first_order_rpm": SHAKE,
    "held_half_order_rpm": SHAKE,
    "full_torque_nm": Instrument(1.0, 0.5),
    "compression_kpa": Instrument(15.0, 10.0),
    "compression_oiled_kpa": Instrument(15.0, 10.0),
    "leak_down": Instrument(0.02, 0.01),
    "resistance_ohm": Instrument(20.0, 100.0, 0.01),
    "cap_ohm": Instrument(20.0, 100.0, 0.01),
    "float_mm": Instrument(0.5, 0.5),
    "slack_mm": Instrument(0.2, 0.5),
    "screw_turns": Instrument(0.05, 0.125),
    "inlet_clearance_mm": Instrument(0.01, 0.01),
    "exhaust_clearance_mm": Instrument(0.01, 0.01),
    "plug_gap_mm": Instrument(0.02, 0.05),
    "spindle_mm": Instrument(0.02, 0.01),
    "static_deg": Instrument(0.7, 0.5),
}
NEVER_BELOW_ZERO = {
    "half_order_rpm",
    "first_order_rpm",
    "held_half_order_rpm",
    "leak_down",
    "spindle_mm",
    "screw_turns",
}
MISSING, USUALLY_MISSED = 4.0, 0.1  # added scatter of a column per share of misfires above the usual
SWING, BUBBLE_MM = 5.0, 25.0  # an undamped gauge: factor on the scatter, mm hidden by a bubble or the swing


@dataclass(frozen=True)
class Readings:
    """What the instruments show: arrays (bike[, side]) by the names of `Steady` and `Still`."""

    values: dict[str, Array]
    plug_look: Array | None = None  # words

    def row(self, index: int = 0) -> dict[str, object]:
        """Return one bike's readings as plain numbers, those of the sides as a pair (left, right)."""
        found = {name: value[index].tolist() for name, value in self.values.items()}
        if self.plug_look is not None:
            found["plug_look"] = self.plug_look[index].tolist()
        return {name: tuple(value) if isinstance(value, list) else value for name, value in found.items()}


def unsteady(missed: tuple[float, float], bike: Bike) -> float:
    """Return the factor on a column's usual scatter, from the side that misfires more: the reader sees that."""
    worse = max(0.0, float(np.nan_to_num(missed).max()) - USUALLY_MISSED)
    return (1.0 if bike.gauge.damped else SWING) * (1 + MISSING * worse)


def columns(
    sides: tuple[Array, Array], bikes: Sequence[Bike], instrument: Instrument, rng: np.random.Generator
) -> Array:
    """Return the two columns, mm of an 860 kg/m3 fluid (bike, 2), that the gauges show.

    `sides` are depressions (kPa) and shares of misfires, both (bike, side): a side that misfires is unsteady.
    """
    true, missed = np.array(sides[0], float), np.nan_to_num(sides[1])
    for i, bike in enumerate(bikes):
        true[i] = true[i, ::-1] if bike.gauge.exchanged else true[i]
    offset = np.array([bike.gauge.offset_mm for bike in bikes])
    gain = np.array([bike.gauge.gain for bike in bikes])
    unsteady = np.where([bike.gauge.damped for bike in bikes], 1.0, SWING)[:, None]
    hidden = np.where([bike.gauge.damped for bike in bikes], 0.0, BUBBLE_MM)[:, None] * rng.normal(size=(len(bikes), 1))
    shown = true * 1e6 / (FLUID * GRAVITY) * gain + offset + hidden * np.array([1.0, -1.0])
    unsteady = unsteady * (1 + MISSING * np.clip(missed - USUALLY_MISSED, 0, None))
    noise = rng.normal(size=true.shape) * instrument.noise / np.sqrt(2) * unsteady
    return np.asarray(np.round((shown + noise) / instrument.resolution) * instrument.resolution)


def _read_all(source: Steady | Still, rng: np.random.Generator) -> dict[str, Array]:
    found: dict[str, Array] = {}
    for item in fields(source):
        if item.name in INSTRUMENTS:
            value = INSTRUMENTS[item.name].read(getattr(source, item.name), rng)
            found[item.name] = np.maximum(value, 0.0) if item.name in NEVER_BELOW_ZERO else value
    return found


def read(true: Steady, bikes: Sequence[Bike], rng: np.random.Generator) -> Readings:
    """Return what the instruments show on the running engine."""
    values = _read_all(true, rng)
    values["column_idle_mm"] = columns((true.depression_kpa, true.gauge_misfire), bikes, COLUMN_IDLE, rng)
    values["column_held_mm"] = columns((true.held_depression_kpa, true.held_gauge_misfire), bikes, COLUMN_HELD, rng)
    values["column_mm"] = values["column_idle_mm"][:, 0] - values["column_idle_mm"][:, 1]
    values["held_column_mm"] = values["column_held_mm"][:, 0] - values["column_held_mm"][:, 1]
    short = values["shorted_rpm"]
    values["drop_rpm"] = values["idle_rpm"][:, None] - np.where(true.stalls, 0.0, short)
    values["stalls"] = true.stalls.astype(float)
    return Readings(values, true.plug_look)


def read_still(true: Still, rng: np.random.Generator) -> Readings:
    """Return what the instruments show with the engine stopped."""
    return Readings(_read_all(true, rng))
