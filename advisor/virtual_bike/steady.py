"""True values of what can be measured on the running engine, for many bikes at once.

`instruments` turns them into readings. Arrays have one row per bike; those of both sides have columns left, right.
"""

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from advisor.quantities import GRAVITY
from advisor.virtual_bike import engine, exhaust, idle
from advisor.virtual_bike.batch import Batch, pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.vibration import depression, shake

HELD_RPM, CRUISE_RPM, FULL_RPM = 2500.0, 4000.0, 5500.0
CRUISE_LOAD = 22.0  # N m at 4000 rpm on a level road
FULL_GRIP = 32.0  # mm of cable
GRIPS = np.concatenate([np.linspace(0.0, 6.0, 16), np.geomspace(6.6, FULL_GRIP, 9)])
FLUID = 860.0  # kg/m3, gauge
BY_GAUGE = (
    "depression_kpa",
    "column_mm",
    "gauge_misfire",
    "held_depression_kpa",
    "held_column_mm",
    "held_gauge_misfire",
)


@dataclass(frozen=True)
class Steady:
    """A full set of steady values. NaN: the engine does not run in that state. Sides are columns; shares are 0 to 1."""

    idle_rpm: Array  # settled, grip closed
    shorted_rpm: Array  # a side: with its plug shorted; NaN if the engine stalls
    drop_rpm: Array  # a side: idle less the above; the whole idle if it stalls
    stalls: npt.NDArray[np.bool_]  # a side: True if shorting its plug stalls the engine
    depression_kpa: Array  # a side, at idle, mean, with the gauge on
    column_mm: Array  # left less right, at idle, of an 860 kg/m3 fluid, with the gauge on
    excess: Array  # a side, at idle: excess air (lambda) as delivered
    probe: Array  # a side, at idle: lambda as a probe in the pipe sees it
    header_c: Array  # a side, at idle
    misfire: Array  # a side, at idle: share of cycles lost
    gauge_misfire: Array  # the same with the gauge on: it makes the columns jump
    half_order_rpm: Array  # at idle: amplitude of the speed swing at order 0.5
    first_order_rpm: Array  # the same at order 1
    half_order_nm: Array  # at idle: torque at order 0.5
    held_grip_mm: Array  # cable pull that holds 2500 rpm unloaded
    held_depression_kpa: Array  # a side, at 2500 rpm, with the gauge on
    held_column_mm: Array  # left less right, at 2500 rpm, with the gauge on
    held_excess: Array  # a side
    held_header_c: Array  # a side
    held_misfire: Array  # a side
    held_gauge_misfire: Array  # a side
    held_half_order_rpm: Array
    held_shorted_rpm: Array  # a side: from 2500 rpm with its plug shorted, the grip held
    held_drop_rpm: Array  # a side
    cruise_excess: Array  # a side, at 4000 rpm under the load of the level road
    cruise_header_c: Array  # a side
    cruise_misfire: Array  # a side
    cruise_half_order_nm: Array
    plug_look: Array  # a side, words: wet, oily, black, dark, tan, pale, white
    full_torque_nm: Array  # at 5500 rpm, full throttle
    full_side_nm: Array  # a side: its own torque there, less its friction
    full_excess: Array  # a side
    full_misfire: Array  # a side

    def row(self, index: int = 0) -> dict[str, object]:
        """Return one bike's values as plain numbers, those of the sides as a pair (left, right)."""
        found: dict[str, object] = {}
        for item in fields(self):
            value = getattr(self, item.name)[index].tolist()
            found[item.name] = tuple(value) if isinstance(value, list) else value
        return found


def column_mm(left: Array, right: Array) -> Array:
    """Return how much higher the left column is, mm of an 860 kg/m3 fluid, for depressions in Pa."""
    return np.asarray((left - right) / (FLUID * GRAVITY) * 1e3)


def hold(b: Batch, rpm: Array, load: Array) -> Array:
    """Return the cable pull (mm) that holds each speed (rpm) under its load (N m), shape (condition, speed).

    NaN if no pull reaches the speed; 0 if the engine turns faster with no pull at all.
    """
    count, wide = len(GRIPS), len(rpm)
    tiled = {"grip_mm": np.tile(GRIPS, wide)[None, None], "load_nm": np.repeat(load, count)[None, None]}
    net = engine.run(b | tiled, np.repeat(rpm, count)[None, None]).net
    net = net.reshape(-1, wide, count)
    rises = (net[..., :-1] <= 0) & (net[..., 1:] > 0)
    k = np.argmax(rises, -1)
    low, high = (np.take_along_axis(net, (k + i)[..., None], -1)[..., 0] for i in (0, 1))
    pull = GRIPS[k] - low * (GRIPS[k + 1] - GRIPS[k]) / (high - low + 1e-12)
    pull = np.where(rises.any(-1), pull, np.nan)
    return np.where(net[..., 0] > 0, 0.0, pull)


def shorted(bike: Bike) -> tuple[Bike, Bike]:
    """Return the bike with the left plug shorted, and with the right one."""
    return bike.change("left", spark=0.0), bike.change("right", spark=0.0)


def _drops(idle_rpm: Array, short: Array) -> Array:
    return np.asarray(np.where(np.isfinite(short), idle_rpm[:, None] - short, idle_rpm[:, None]))


def _known(value: Array, known: Array) -> Array:
    """Return the values, with NaN in rows where the engine did not run."""
    return np.where(known if value.ndim == known.ndim else known[:, None], value, np.nan)


def idle_speeds(bikes: tuple[Bike, ...], start: float = idle.USUAL) -> tuple[Array, Array]:
    """Return the idle (rpm, per bike) and the speeds after each plug is shorted (bike, side)."""
    every = [one for bike in bikes for one in (bike, *shorted(bike))]
    net = idle.balance(pack(every)).reshape(len(bikes), 3, -1)
    rpm = idle.follow(net[:, 0], start)
    short = np.stack([idle.follow(net[:, i], np.nan_to_num(rpm, nan=idle.GRID[0])) for i in (1, 2)], 1)
    return rpm, np.where(np.isfinite(rpm)[:, None], short, np.nan)


def _held_short(bikes: tuple[Bike, ...], grip: Array) -> Array:
    pulled = [bike.share(grip_mm=float(pull)) for bike, pull in zip(bikes, np.nan_to_num(grip), strict=True)]
    speeds = idle.settle(pack([one for bike in pulled for one in shorted(bike)]), HELD_RPM)
    return speeds.reshape(-1, 2)


def with_hoses(bike: Bike) -> Bike:
    """Return the bike with the gauge's hoses on its ports: meanwhile no port cap can leak."""
    return bike.change(port_leak_mm2=0.0)


def steady(*bikes: Bike, start: float = idle.USUAL) -> Steady:
    """Return the full set for these bikes; idles are followed from `start` (rpm)."""
    found = _steady(bikes, start)
    leaking = [i for i, bike in enumerate(bikes) if with_hoses(bike) != bike]
    if leaking:
        read = _steady(tuple(with_hoses(bikes[i]) for i in leaking), start)
        for name in BY_GAUGE:
            getattr(found, name)[leaking] = getattr(read, name)
    return found


def _steady(bikes: tuple[Bike, ...], start: float) -> Steady:
    b = pack(bikes)
    rpm, short = idle_speeds(bikes, start)
    runs = np.isfinite(rpm)
    held = hold(b, np.array([HELD_RPM, CRUISE_RPM]), np.array([0.0, CRUISE_LOAD]))
    pulls = np.stack([b["grip_mm"][:, 0, 0], *held.T, np.full(len(bikes), FULL_GRIP)], 1)
    at = np.stack(
        [np.where(runs, rpm, idle.LEAST)] + [np.full(len(bikes), v) for v in (HELD_RPM, CRUISE_RPM, FULL_RPM)], 1
    )
    r = engine.run(b | {"grip_mm": np.nan_to_num(pulls, nan=FULL_GRIP)[:, None]}, at[:, None])
    under, swing = depression(r, b["pressure_pa"]), shake(r)
    holds, cruises = np.isfinite(held[:, 0]), np.isfinite(held[:, 1])
    probe, header, miss = exhaust.probed(b, r), exhaust.header_c(r), 1 - r.fire.burn
    held_short = np.where(holds[:, None], _held_short(bikes, held[:, 0]), np.nan)
    return Steady(
        idle_rpm=rpm,
        shorted_rpm=short,
        drop_rpm=_drops(rpm, short),
        stalls=runs[:, None] & ~np.isfinite(short),
        depression_kpa=_known(under[:, :, 0] / 1e3, runs),
        column_mm=_known(column_mm(under[:, 0, 0], under[:, 1, 0]), runs),
        excess=_known(r.excess[:, :, 0], runs),
        probe=_known(probe[:, :, 0], runs),
        header_c=_known(header[:, :, 0], runs),
        misfire=_known(miss[:, :, 0], runs),
        gauge_misfire=_known(miss[:, :, 0], runs),
        half_order_rpm=_known(swing.half_rpm[:, 0], runs),
        first_order_rpm=_known(swing.first_rpm[:, 0], runs),
        half_order_nm=_known(swing.half_torque[:, 0], runs),
        held_grip_mm=held[:, 0],
        held_depression_kpa=_known(under[:, :, 1] / 1e3, holds),
        held_column_mm=_known(column_mm(under[:, 0, 1], under[:, 1, 1]), holds),
        held_excess=_known(r.excess[:, :, 1], holds),
        held_header_c=_known(header[:, :, 1], holds),
        held_misfire=_known(miss[:, :, 1], holds),
        held_gauge_misfire=_known(miss[:, :, 1], holds),
        held_half_order_rpm=_known(swing.half_rpm[:, 1], holds),
        held_shorted_rpm=held_short,
        held_drop_rpm=_known(_drops(np.full(len(bikes), HELD_RPM), held_short), holds),
        cruise_excess=_known(r.excess[:, :, 2], cruises),
        cruise_header_c=_known(header[:, :, 2], cruises),
        cruise_misfire=_known(miss[:, :, 2], cruises),
        cruise_half_order_nm=_known(swing.half_torque[:, 2], cruises),
        plug_look=exhaust.plug_look(
            b, *(np.where(cruises[:, None], v[:, :, 2], v[:, :, 0]) for v in (r.excess, r.fire.burn))
        ),
        full_torque_nm=r.net[:, 3],
        full_side_nm=(r.torque - r.friction)[:, :, 3],
        full_excess=r.excess[:, :, 3],
        full_misfire=miss[:, :, 3],
    )
