"""Air at height: the standard atmosphere, and what thin air does to a carburettor's mixture."""

import math

import msgspec

from advisor.quantities import Bounds

EARTH = 6_356_766.0  # m, radius for geopotential height
SEA_TEMPERATURE, LAPSE = 288.15, 0.0065  # K, K/m
SEA_PRESSURE, GAS = 101_325.0, 287.05287  # Pa, J/(kg K)
EXPONENT = 5.255_876
HEIGHTS = Bounds(-500, 11_000, "m")  # no road lies lower; the tropopause is well above any


class Height(msgspec.Struct, frozen=True, kw_only=True):
    """The air at a height above the sea: pressure in Pa, density in kg/m3, and what it does to the mixture.

    `lambda_times` is lambda there over lambda where the mixture was set. `richer_by` is the same in whole per cent;
    below 0 it is leaner there.
    """

    pressure: float
    density: float
    lambda_times: float
    richer_by: int


def at_height(altitude: float, set_at: float = 0.0) -> Height:
    """Return the air at a height, and its effect on a mixture that was set at another height; both in metres."""
    times = mixture_change(altitude, set_at)
    return Height(
        pressure=pressure(altitude), density=density(altitude), lambda_times=times, richer_by=round((1 - times) * 100)
    )


def density(altitude: float) -> float:
    """Return the standard air density in kg/m3 at a height above the sea in metres (US Standard Atmosphere 1976)."""
    return pressure(altitude) / (GAS * _temperature(altitude))


def pressure(altitude: float) -> float:
    """Return the standard air pressure in Pa at a height above the sea in metres, up to 11 km."""
    found: float = SEA_PRESSURE * (_temperature(altitude) / SEA_TEMPERATURE) ** EXPONENT
    return found


def _temperature(altitude: float) -> float:
    return SEA_TEMPERATURE - LAPSE * EARTH * altitude / (EARTH + altitude)


def mixture_change(altitude: float, set_at: float = 0.0) -> float:
    """Return lambda there over lambda where it was set; below 1 is richer.

    Through the same jets fuel flow goes with the root of air density x venturi depression, air flow with
    density x air speed: lambda goes with the root of the density ratio (Heywood, Internal Combustion Engine
    Fundamentals, section on carburettor altitude compensation, from memory).
    """
    return math.sqrt(density(altitude) / density(set_at))
