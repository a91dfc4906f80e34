"""Losses of the engine: rubbing, oil drag, gearbox, alternator."""

import numpy as np

from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array

WARM_C = 90.0
VISCOSITY_A, VISCOSITY_B = 8.18434, 3.14163  # ASTM D341, for a 20W-50
DRAG_END = 1.8  # gearbox drag levels off at this multiple of that at 1000 rpm
RUBBING, OIL, OIL_SPEED, TURBULENT = 0.30, 0.62, 0.10, 0.020  # bar; speed in thousands of rpm


def viscosity(celsius: Array) -> Array:
    """Return the oil's kinematic viscosity, m2/s (ASTM D341, from memory)."""
    loglog = VISCOSITY_A - VISCOSITY_B * np.log10(celsius + 273.15)
    return np.asarray(1e-6 * (10 ** (10**loglog) - 0.7))


def engine_torque(b: Batch, rpm: Array) -> Array:
    """Return a cylinder's share of the engine's friction torque, N m (form of SAE 890836, from memory)."""
    thin = (viscosity(b["oil_c"]) / viscosity(np.asarray(WARM_C))) ** 0.16
    thousand = rpm / 1000
    mean = 1e5 * b["friction_share"] * ((OIL + OIL_SPEED * thousand) * thin + RUBBING + TURBULENT * thousand**2)
    return np.asarray(mean * E.swept / (4 * np.pi))


def driven(b: Batch, rpm: Array) -> Array:
    """Return the torque, N m, that alternator, gearbox in neutral and road load take from the crankshaft."""
    charging = np.clip((rpm - E.alternator_starts) / (E.alternator_full - E.alternator_starts), 0, 1)
    thin = (viscosity(b["oil_c"]) / viscosity(np.asarray(WARM_C))) ** 0.3
    return np.asarray(
        E.alternator_torque * charging
        + E.gearbox_drag * DRAG_END * np.tanh(rpm / 1000 / DRAG_END) * np.minimum(thin, 3.0)
        + b["load_nm"] * (rpm / 4000) ** 2
    )
