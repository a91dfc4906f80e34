"""Speed variation of the crankshaft and engine vibration, by order of engine speed.

The cylinders fire on alternate turns, so the twin shakes at order 1 when both sides pull alike, and at order 0.5
as far as they differ.
"""

from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.engine import Running
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.geometry import firing_pulse

PULSE = firing_pulse()


@dataclass(frozen=True)
class Shake:
    """Amplitudes: torque N m, speed rpm, rocking couple N m. Shape (condition, speed)."""

    half_torque: Array
    half_rpm: Array
    first_rpm: Array
    couple: Array


def half_order(r: Running) -> tuple[Array, Array]:
    """Return cosine and sine of the half-order speed swing (share of mean), each from the side's own firing.

    From J w dw/d(angle) = torque, with the half-order Fourier component from the difference in work between the sides.
    """
    apart = r.fire.work - r.fire.work[:, ::-1]
    turning = r.rpm * np.pi / 30
    size = apart / (2 * np.pi) * 2 / (E.inertia * turning**2)
    return np.asarray(size * PULSE.imag), np.asarray(size * PULSE.real)


def depression(r: Running, outside: Array) -> Array:
    """Return each tract's mean depression, Pa, including the strong side's effect on the weak side's inlet stroke.

    A first-order correction, with slopes from the cycle solved at a varying speed.
    """
    cosine, sine = half_order(r)
    return np.asarray(r.depression + outside * (cosine * r.swing[0] + sine * r.swing[1]))


def shake(r: Running) -> Shake:
    """Return the orders of torque and speed, and the couple of the reciprocating masses (m r w2 a, order 1)."""
    turning = r.rpm[:, 0] * np.pi / 30
    half = np.abs(r.fire.work[:, 0] - r.fire.work[:, 1]) / (2 * np.pi) * abs(PULSE)
    first = r.fire.work.sum(1) / (2 * np.pi) * abs(PULSE) ** 2
    rpm = 30 / np.pi
    couple = E.reciprocating_mass * E.stroke / 2 * turning**2 * E.cylinder_offset
    return Shake(half, half / (E.inertia * turning / 2) * rpm, first / (E.inertia * turning) * rpm, couple)
