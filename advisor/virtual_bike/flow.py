"""Flow through openings: compressible for air, incompressible for fuel. SI units; arrays broadcast."""

import numpy as np
import numpy.typing as npt

from advisor.virtual_bike.constants import ENGINE

Array = npt.NDArray[np.float64]
GAMMA = ENGINE.heat_ratio
CRITICAL = (2 / (GAMMA + 1)) ** (GAMMA / (GAMMA - 1))


def flow_function(ratio: Array) -> Array:
    """Return the dimensionless orifice function of the pressure ratio (down over up), choked below the critical one.

    Mass flow = area x upstream pressure / sqrt(R T) x this (J. B. Heywood, Internal Combustion Engine Fundamentals,
    1988, appendix C, from memory).
    """
    held = np.clip(ratio, CRITICAL, 1.0)
    root = held ** (1 / GAMMA)
    return np.asarray(np.sqrt(np.maximum(2 * GAMMA / (GAMMA - 1) * root * (root - held), 0.0)))


def gas_flow(area: Array, up: Array, down: Array, temperature: Array | float) -> Array:
    """Return the mass flow, kg/s, from pressure `up` to `down` (Pa) of gas at `temperature` (K); never negative."""
    speed = np.sqrt(ENGINE.gas_constant * np.asarray(temperature))
    return np.asarray(area * up / speed * flow_function(down / up))


def liquid_flow(area: Array, head: Array) -> Array:
    """Return the mass flow of fuel, kg/s, through an effective area (m2) under a head (Pa); 0 for a negative head."""
    return np.asarray(area * np.sqrt(2 * ENGINE.fuel_density * np.maximum(head, 0.0)))


def series(*areas: Array | float) -> Array:
    """Return the single area (m2) equivalent to these in series (incompressible)."""
    resistance: Array | float = 0.0
    for area in areas:
        resistance = resistance + 1 / np.maximum(area, 1e-12) ** 2
    return np.asarray(1 / np.sqrt(resistance))
