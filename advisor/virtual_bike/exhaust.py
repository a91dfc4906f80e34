"""Exhaust side: heat, header temperature, probe reading, and the look of the plug."""

import numpy as np

from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.engine import Running
from advisor.virtual_bike.flow import Array

HEAT_CAPACITY = 1250.0  # J/(kg K), burnt gas
PORT_C, AIR_C = 40.0, 25.0  # charge, air around the header
TO_WALLS = 0.60  # share of the fuel's heat at very low air flow, less as the flow grows
REFERENCE_FLOW = 0.6e-3  # kg/s of air per cylinder
GAS_FILM, AIR_FILM = 24.0, 40.0  # W/(m2 K), inside at that flow, outside including radiation
LATE, WELL_TIMED = 0.0012, 30.0  # extra share of heat to the exhaust per degree later than this
LOOKS = ("black", "dark", "tan", "pale", "white")
LOOK_EDGES = (0.80, 0.87, 1.06, 1.15)  # excess air
WET = 0.5  # share of firing cycles below which fuel wets the plug
OILY = 1.4  # mm2 past the rings from which oil wets the plug
SOOTED = 0.3  # fouling seen as black


def heat_released(excess: Array) -> Array:
    """Return the share of the fuel's heat that its oxygen can release (Heywood 1988, ch. 4, from memory)."""
    return np.asarray(0.97 * np.minimum(1.0, 1 - 1.25 * np.clip(1 - excess, 0, 0.6)))


def header_c(r: Running) -> Array:
    """Return the header's skin temperature, degrees Celsius, at rest in still air."""
    flow = np.maximum(r.air * r.rpm / 120 / REFERENCE_FLOW, 0.05)
    heat = r.fuel * E.heating_value
    work = r.fire.work / np.maximum(heat, 1e-9)
    walls = np.clip(TO_WALLS - 0.12 * np.log(flow), 0.26, 0.66)
    left = (
        heat_released(r.excess) * r.fire.burn * (1 - walls + LATE * np.maximum(WELL_TIMED - r.fire.advance, 0)) - work
    )
    gas = PORT_C + heat * np.clip(left, 0.0, 0.6) / ((r.air + r.fuel) * HEAT_CAPACITY)
    film = GAS_FILM * flow**0.8
    return np.asarray((film * gas + AIR_FILM * AIR_C) / (film + AIR_FILM))


def probed(b: Batch, r: Running) -> Array:
    """Return the excess air that a probe in the pipe reads: misfired charges and leaks add air."""
    air = 0.6 * b["exhaust_leak"]
    # unburnt charge passes a wide-band probe as oxygen
    missed = 1 - r.fire.burn
    return np.asarray(np.clip(r.excess * (1 + 0.25 * missed) / (1 - air), 0.3, 4.0))


def plug_look(b: Batch, excess: Array, burn: Array) -> Array:
    """Return the look of the plug (a word of `LOOKS`, wet or oily) for each condition and side."""
    looks = np.array(LOOKS)[np.digitize(excess, LOOK_EDGES)]
    looks = np.where(b["plug_fouling"][:, :, 0] > SOOTED, "black", looks)
    looks = np.where(b["ring_leak_mm2"][:, :, 0] > OILY, "oily", looks)
    return np.asarray(np.where(burn < WET, "wet", looks))


def head_heat(r: Running) -> Array:
    """Return the heat flow to each head, W: the walls' share of the heat released."""
    flow = np.maximum(r.air * r.rpm / 120 / REFERENCE_FLOW, 0.05)
    walls = np.clip(TO_WALLS - 0.12 * np.log(flow), 0.26, 0.66)
    return np.asarray(r.fuel * E.heating_value * heat_released(r.excess) * r.fire.burn * walls * 0.75 * r.rpm / 120)
