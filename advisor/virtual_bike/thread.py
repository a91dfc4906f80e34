"""Screws that are turned while the engine runs: where each stands, its lost motion, and the ends of its thread."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from advisor.sides import Side
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike, SideState
from advisor.virtual_bike.constants import ENGINE

SAME = 1e-9  # turns


@dataclass(frozen=True)
class Screw:
    """One kind of screw; turns count as it goes in, clockwise."""

    stands: Callable[[SideState], float]  # turns
    turn: Callable[[Bike, Side, float], Bike]  # by so many turns, within its range
    backlash: float  # turns of the head that move nothing when it is turned the other way


def _stop(bike: Bike, side: Side, turns: float) -> Bike:
    return operate.turn_stop(bike, side, turns * ENGINE.stop_degree_turn)


def _mixture(bike: Bike, side: Side, turns: float) -> Bike:
    return operate.turn_screw(bike, side, -turns)


def _adjuster(bike: Bike, side: Side, turns: float) -> Bike:
    return operate.adjust_cable(bike, side, turns * ENGINE.adjuster_mm_turn)


SCREWS: Mapping[str, Screw] = {
    "idle stop": Screw(lambda s: s.stop_deg / ENGINE.stop_degree_turn, _stop, ENGINE.stop_backlash),
    "mixture screw": Screw(lambda s: -s.screw_turns, _mixture, ENGINE.mixture_backlash),
    "cable adjuster": Screw(lambda s: s.adjuster_mm / ENGINE.adjuster_mm_turn, _adjuster, ENGINE.adjuster_backlash),
}


@dataclass(frozen=True)
class Went:
    """A screw after it was turned: the bike, how far its head went (turns), and its play.

    `play` is how far the head can be turned out before the screw moves, turns; the rest of the backlash is the way in.
    """

    bike: Bike
    turns: float
    play: float


def turned(bike: Bike, side: Side, screw: Screw, turns: float, play: float) -> Went:
    """Turn a screw by this many turns; its head stops where the thread ends."""
    way_in = screw.backlash - play
    wanted = max(0.0, turns - way_in) if turns > 0 else min(0.0, turns + play)
    after = screw.turn(bike, side, wanted)
    moved = screw.stands(after.side(side)) - screw.stands(bike.side(side))
    if abs(moved - wanted) < SAME:
        return Went(after, turns, min(max(play + turns - wanted, 0.0), screw.backlash))
    went = moved + way_in if turns > 0 else moved - play
    return Went(after, went, screw.backlash if turns > 0 else 0.0)
