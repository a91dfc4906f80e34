"""A sound bike whose screws somebody has turned: stops, cables and mixture are out, and it still runs."""

import numpy as np

from advisor.errors import AdvisorError
from advisor.sides import BOTH
from advisor.virtual_bike import idle, operate
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.steady import with_hoses

STOP_TURNS, CABLE_MM, MIXTURE_TURNS = 0.5, 1.0, 1.0  # the furthest that each is out, either way: judgement
DRAWS = 100


def _drawn(bike: Bike, rng: np.random.Generator) -> Bike:
    for side in BOTH:
        bike = operate.turn_stop(bike, side, ENGINE.stop_degree_turn * float(rng.uniform(-STOP_TURNS, STOP_TURNS)))
        bike = operate.adjust_cable(bike, side, float(rng.uniform(-CABLE_MM, CABLE_MM)))
        bike = operate.turn_screw(bike, side, float(rng.uniform(-MIXTURE_TURNS, MIXTURE_TURNS)))
    return bike


def misset(bike: Bike, rng: np.random.Generator) -> Bike:
    """Return the bike (a sound one, of `serviced`) with its screws out at random, such that it idles somehow.

    A draw that stalls, with a gauge on or off, is drawn again. AdvisorError for a bike that stalls whatever is drawn.
    """
    for _ in range(DRAWS):
        out = _drawn(bike, rng)
        if np.isfinite(idle.settle(pack([out, with_hoses(out)]))).all():
            return out
    message = f"this bike stalls with its screws at any of {DRAWS} settings: plant no fault before they are turned"
    raise AdvisorError(message)
