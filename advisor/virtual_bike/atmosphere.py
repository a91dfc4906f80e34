"""Air around the bike."""

from advisor.virtual_bike.constants import ENGINE

ZERO_CELSIUS = 273.15  # K
EARTH = 6_356_766.0  # m, nominal radius of the 1976 standard atmosphere
LAPSE = 0.0065  # K/m
GRAVITY_NUMBER = 5.255_877  # g M / (R lapse)


def standard(altitude: float) -> tuple[float, float]:
    """Return pressure (Pa) and temperature (K) at a geometric altitude (m, below 11 000).

    U.S. Standard Atmosphere 1976, first layer, from memory.
    """
    geopotential = EARTH * altitude / (EARTH + altitude)
    temperature = ENGINE.reference_temperature - LAPSE * geopotential
    return ENGINE.reference_pressure * (temperature / ENGINE.reference_temperature) ** GRAVITY_NUMBER, temperature


def density(pressure: float, temperature: float) -> float:
    """Return the density of dry air, kg/m3, at a pressure (Pa) and temperature (K)."""
    return pressure / (ENGINE.gas_constant * temperature)
