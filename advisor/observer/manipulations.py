"""What is done to the idling engine to see how it responds: acts by name, with the side at the end."""

from dataclasses import dataclass, replace

import numpy as np

from advisor.observer.thresholds import NOTICED
from advisor.sides import BOTH
from advisor.virtual_bike import idle
from advisor.virtual_bike import operate as do
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.steady import column_mm
from advisor.virtual_bike.vibration import depression

WETTED = 0.35  # share of a leak that a film of water leaves open for a moment
PALM = 0.04  # share of the intake's area that a palm leaves
TAP_MM = 5.0  # fall of the level some seconds after the tap was shut
A_LITTLE = 0.12  # enricher lever
BASE_STOP_OUT = 0.2  # degrees at which the stop no longer touches


@dataclass(frozen=True)
class Change:
    """What an act leads to: rise of speed (rpm; where it stalls, the fall to 0), rise of left column over right (mm).

    `misfire` are the shares of cycles missed afterwards (left, right); `runs` whether it still runs.
    """

    rpm: float
    column_mm: float
    misfire: tuple[float, float]
    runs: bool

    def felt(self) -> bool:
        """Whether ear or gauge notices any change."""
        return abs(self.rpm) > NOTICED.moves_rpm or abs(self.column_mm) > NOTICED.column_moves_mm


def _of_side(bike: Bike, after: dict[str, Bike]) -> None:
    half_stop = NOTICED.turn * ENGINE.stop_degree_turn
    for side in BOTH:
        one = bike.side(side)
        after[f"screw out {side}"] = do.turn_screw(bike, side, NOTICED.turn)
        after[f"screw in {side}"] = do.turn_screw(bike, side, -NOTICED.turn)
        after[f"stop in {side}"] = do.turn_stop(bike, side, half_stop)
        after[f"stop out {side}"] = do.turn_stop(bike, side, -half_stop)
        after[f"palm {side}"] = bike.change(side, filter_share=min(PALM, one.filter_share))
        after[f"wet joint {side}"] = bike.change(side, joint_leak_mm2=one.joint_leak_mm2 * WETTED)
        after[f"seal joint {side}"] = bike.change(side, joint_leak_mm2=0.0)
        after[f"cover port {side}"] = bike.change(side, port_leak_mm2=0.0)
        after[f"wet stub {side}"] = bike.change(side, crack_mm2=one.crack_mm2 * WETTED)
        after[f"oil screw {side}"] = bike.change(side, screw_leak_mm2=0.0)


def acts(bike: Bike) -> dict[str, Bike]:
    """Return the bike after each act."""
    after: dict[str, Bike] = {}
    _of_side(bike, after)
    enriched, starved, taut, shut = bike, bike, bike, bike
    for side in BOTH:
        one = bike.side(side)
        enriched = do.set_enricher(enriched, side, max(one.enricher, A_LITTLE))
        starved = starved.change(side, float_mm=one.float_mm - TAP_MM, valve_leak_mg_s=0.0)
        taut = taut.change(side, adjuster_mm=one.adjuster_mm - NOTICED.bars_mm)
        shut = shut.change(side, sticks_mm=0.0)
    after["enricher"], after["tap off"], after["bars"], after["levers shut"] = enriched, starved, taut, shut
    after["stops off"] = replace(bike, left=replace(bike.left, stop_deg=BASE_STOP_OUT))
    after["stops off"] = after["stops off"].change("right", stop_deg=BASE_STOP_OUT)
    return after


def changes(bike: Bike) -> dict[str, Change]:
    """Return the changes by act; the idle is followed from its old speed."""
    tried = {name: after for name, after in acts(bike).items() if after != bike}
    b = pack([bike, *tried.values()])
    net = idle.balance(b)
    before = idle.follow(net[:1])
    rpm = np.concatenate([before, idle.follow(net[1:], np.nan_to_num(before, nan=idle.USUAL))])
    r = idle.at_speed(b, rpm)
    under = depression(r, b["pressure_pa"])[:, :, 0]
    column = column_mm(under[:, 0], under[:, 1])
    missed = (1 - r.fire.burn[:, :, 0]).tolist()
    rise = np.nan_to_num(rpm) - np.nan_to_num(rpm[0])
    runs = np.isfinite(rpm)
    column = np.where(runs & runs[0], column - column[0], 0.0)
    found = dict.fromkeys(acts(bike), Change(0.0, 0.0, tuple(missed[0]), bool(runs[0])))
    for i, name in enumerate(tried, 1):
        found[name] = Change(float(rise[i]), float(column[i]), tuple(missed[i]), bool(runs[i]))
    return found
