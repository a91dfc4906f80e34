"""How the idle answers a mechanic's act, and how it falls after a blip of the throttle."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import idle
from advisor.virtual_bike import operate as do
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array

BLIP_RPM = 3500.0
HOME = 1.12  # multiple of the idle at which a blip counts as over
FINE = 400  # points of the integral


def acts(bike: Bike) -> dict[str, Bike]:
    """Return the bike after each act a mechanic tries at idle; names end in the side."""
    after: dict[str, Bike] = {}
    for side in ("left", "right"):
        after[f"seal {side}"] = do.seal(bike, side)
        after[f"spray {side}"] = do.spray(bike, side)
        after[f"enricher half {side}"] = do.set_enricher(bike, side, 0.5)
        after[f"screw out {side}"] = do.turn_screw(bike, side, 0.25)
        after[f"screw in {side}"] = do.turn_screw(bike, side, -0.25)
        after[f"stop in {side}"] = do.turn_stop(bike, side, 0.2)
        after[f"slack less {side}"] = do.adjust_cable(bike, side, -0.5)
    return after


def changes(bike: Bike, tried: Mapping[str, Bike] | None = None) -> dict[str, float]:
    """Return by how many rpm the idle rises after each act; it counts as the whole idle lost where the engine stalls."""
    tried = acts(bike) if tried is None else tried
    net = idle.balance(pack([bike, *tried.values()]))
    before = float(idle.follow(net[:1])[0])
    after = idle.follow(net[1:], before if np.isfinite(before) else idle.USUAL)
    return dict(zip(tried, (np.nan_to_num(after) - before).tolist(), strict=True))


@dataclass(frozen=True)
class Fall:
    """After a blip: where the engine comes to rest (rpm) and how long it takes (s), arrays per bike."""

    rests_rpm: Array
    seconds: Array


def fall(*bikes: Bike, top: float = BLIP_RPM) -> Fall:
    """Return how the speed falls with the grip let go at `top` rpm: inertia x dw/dt = net torque, at rest within 12 %.

    A hanging idle shows in where it rests. Infinite: the engine gains with the grip closed.
    """
    net = idle.balance(pack(bikes))
    rest = idle.follow(net, top)
    seconds = []
    for row, end in zip(net, rest, strict=True):
        low = HOME * end if np.isfinite(end) else idle.GRID[0]
        speed = np.linspace(min(low, top), top, FINE)
        brake = -np.interp(speed, idle.GRID, row)
        seconds.append(ENGINE.inertia * np.pi / 30 * np.trapezoid(1 / np.maximum(brake, 1e-2), speed) if low < top else np.inf)
    return Fall(rest, np.array(seconds))


