"""Cylinder volume and valve openings against crank angle."""

import numpy as np

from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array

LIFT_SHAPE = 1.4  # exponent that flattens the ends of a half sine into cam ramps


def cylinder_volume(angle: Array | float) -> Array:
    """Return the volume, m3, at degrees after top dead centre (slider crank; Heywood 1988, ch. 2, from memory)."""
    crank, theta = ENGINE.stroke / 2, np.radians(angle)
    travel = crank * (1 - np.cos(theta)) + ENGINE.rod - np.sqrt(ENGINE.rod**2 - (crank * np.sin(theta)) ** 2)
    return np.asarray(ENGINE.clearance_volume + np.pi / 4 * ENGINE.bore**2 * travel)


def valve_area(angle: Array | float, opens: Array | float, closes: Array | float, size: tuple[float, float]) -> Array:
    """Return the effective curtain area, m2, of a valve of this diameter and lift (m) at a crank angle (degrees)."""
    diameter, lift = size
    share = np.clip((angle - opens) / (closes - opens), 0.0, 1.0)
    return np.asarray(ENGINE.valve_discharge * np.pi * diameter * lift * np.sin(np.pi * share) ** LIFT_SHAPE)


def firing_pulse() -> complex:
    """Return the half-order component of a cylinder's firing torque, for unit work per cycle and unit mean torque.

    Fourier coefficient 2/(4 pi) x integral of torque x exp(-i angle/2) over a cycle of 4 pi, divided by work/(2 pi).
    The shape is the pressure rise of firing at top dead centre, expanded polytropically (exponent 1.3) to 130 degrees.
    """
    degrees = np.linspace(5.0, 130.0, 251)
    volume = cylinder_volume(degrees)
    torque = volume**-1.3 * np.gradient(volume, degrees)
    torque = torque / torque.sum()
    return complex((torque * np.exp(-0.5j * np.radians(degrees))).sum())
