"""The annulus between needle and jet against slide lift, with the needle cut for a target mixture."""

import numpy as np

from advisor.quantities import GRAVITY
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array

AIR = 1.225  # kg/m3, the air density the needle was cut for
PULSE = 2.5  # ratio of the pulsing drop to its mean, while it flows
LIFT_SHARE = (0.0, 0.05, 0.10, 0.25, 0.5, 0.75, 1.0)
WANTED = (30.0, 6.0, 2.0, 1.25, 1.12, 1.06, 1.08)  # excess air of the main circuit alone; the pilot's fuel comes on top
POINTS = 60


def _cut() -> tuple[Array, Array]:
    """Return lifts (m) and annuli (m2 effective) that give the target mixture in series with the main jet."""
    lift = np.linspace(0.0, E.slide_lift, POINTS)
    wanted = np.interp(lift / E.slide_lift, LIFT_SHARE, WANTED)
    drop = (E.slide_mass * GRAVITY + E.slide_preload + E.slide_rate * lift) / E.diaphragm_area * PULSE
    air = (E.slide_base + E.slide_width * lift) * np.sqrt(AIR * drop)
    head = E.spray_boost * drop - E.fuel_density * GRAVITY * E.fuel_head
    both = air / (wanted * E.stoichiometric * np.sqrt(E.fuel_density * head))
    jet = E.jet_discharge * np.pi / 4 * E.main_jet**2
    ring = 1 / np.sqrt(np.maximum(1 / both**2 - 1 / jet**2, 1 / 8e-6**2))
    return lift, np.maximum(ring, E.least_annulus)


LIFTS, RINGS = _cut()


def annulus(lift: Array) -> Array:
    """Return the effective annulus, m2, at a lift of the needle (m); constant beyond its ends."""
    return np.asarray(np.interp(lift, LIFTS, RINGS))
