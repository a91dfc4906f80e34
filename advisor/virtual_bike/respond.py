"""How the idle responds to a mechanic's act, and how it falls after a blip of the throttle."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import idle
from advisor.virtual_bike import operate as do
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import column_mm
from advisor.virtual_bike.vibration import depression

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


@dataclass(frozen=True)
class Answer:
    """What an act changes at idle: speed (rpm), left column over right (mm); a stall counts as a drop to 0."""

    rpm: float
    column_mm: float


def answers(bike: Bike, tried: Mapping[str, Bike] | None = None) -> dict[str, Answer]:
    """Return the changes by act (those of `acts` unless others are given); the idle is followed from its old speed."""
    tried = acts(bike) if tried is None else tried
    b = pack([bike, *tried.values()])
    net = idle.balance(b)
    before = idle.follow(net[:1])
    after = idle.follow(net[1:], np.nan_to_num(before, nan=idle.USUAL))
    rpm = np.concatenate([before, after])
    under = depression(idle.at_speed(b, rpm), b["pressure_pa"])[:, :, 0]
    column = np.where(np.isfinite(rpm), column_mm(under[:, 0], under[:, 1]), np.nan)
    rise = np.nan_to_num(rpm[1:]) - rpm[0]
    return {
        name: Answer(a, c) for name, a, c in zip(tried, rise.tolist(), (column[1:] - column[0]).tolist(), strict=True)
    }


@dataclass(frozen=True)
class Fall:
    """After a blip: the speed at which the engine settles (rpm) and the time it takes (s), arrays per bike."""

    rests_rpm: Array
    seconds: Array


def fall(*bikes: Bike, top: float = BLIP_RPM) -> Fall:
    """Return how the speed falls with the grip released at `top` rpm: inertia x dw/dt = net torque, settled to 12 %.

    A hanging idle shows in the settled speed. Infinite: the engine accelerates with the grip closed.
    """
    net = idle.balance(pack(bikes))
    rest = idle.follow(net, top)
    seconds = []
    for row, end in zip(net, rest, strict=True):
        low = HOME * end if np.isfinite(end) else idle.GRID[0]
        speed = np.linspace(min(low, top), top, FINE)
        brake = -np.interp(speed, idle.GRID, row)
        seconds.append(
            ENGINE.inertia * np.pi / 30 * np.trapezoid(1 / np.maximum(brake, 1e-2), speed) if low < top else np.inf
        )
    return Fall(rest, np.array(seconds))
