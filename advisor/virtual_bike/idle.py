"""The speed at which the engine settles: a root of the torque balance that it can reach from its present speed.

Two stable speeds can exist with the grip closed (a hanging idle); so a root is followed, not chosen.
"""

import numpy as np
import numpy.typing as npt

from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.engine import Running, run
from advisor.virtual_bike.flow import Array

GRID = np.concatenate([np.linspace(380.0, 1400.0, 22), np.geomspace(1480.0, 6800.0, 16)])  # rpm
LEAST = 400.0  # rpm below which the flywheel no longer carries the engine over compression
USUAL = 1150.0  # rpm, default start for following an idle


def balance(b: Batch) -> Array:
    """Return the net torque (condition, speed of `GRID`), N m."""
    return run(b, GRID[None, None, :]).net


def _crossing(net: Array, row: npt.NDArray[np.intp], at: npt.NDArray[np.intp]) -> Array:
    left, right = net[row, at], net[row, at + 1]
    return np.asarray(GRID[at] + left / (left - right + 1e-12) * (GRID[at + 1] - GRID[at]))


def follow(net: Array, start: Array | float = USUAL) -> Array:
    """Return the speed (rpm, per condition) at which the engine settles from `start`; NaN where it stalls.

    With positive torque it climbs to the next stable root, with negative it falls to the next one down, else it stalls.
    An engine that still accelerates at the end of the grid is held there.
    """
    row = np.arange(len(net))
    begin = np.clip(np.broadcast_to(np.asarray(start, float), row.shape), GRID[0], GRID[-1])
    k = np.clip(np.searchsorted(GRID, begin) - 1, 0, len(GRID) - 2)
    here = net[row, k] + (net[row, k + 1] - net[row, k]) * (begin - GRID[k]) / (GRID[k + 1] - GRID[k])
    falls = (net[:, :-1] > 0) & (net[:, 1:] <= 0)
    place = np.arange(len(GRID) - 1)[None, :]
    gains = here > 0
    above = falls & (place >= k[:, None])
    below = falls & (place <= k[:, None])
    up, down = np.argmax(above, 1), len(GRID) - 2 - np.argmax(below[:, ::-1], 1)
    found = np.where(gains, above.any(1), below.any(1))
    speed = _crossing(net, row, np.where(gains, up, down))
    speed = np.where(found, speed, np.where(gains, GRID[-1], np.nan))
    return np.where(speed > LEAST, speed, np.nan)


def settle(b: Batch, start: Array | float = USUAL) -> Array:
    """Return the settled speed, rpm per condition, following the speed `start`; NaN where it stalls."""
    return follow(balance(b), start)


def at_speed(b: Batch, rpm: Array) -> Running:
    """Return the engine at one speed per condition; a stalled one at cranking speed."""
    return run(b, np.where(np.isfinite(rpm), rpm, E.cranking_rpm)[:, None, None])
