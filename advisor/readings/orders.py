"""A recorded shake reduced: how much of it comes at each order of the engine, and with the wheel.

It is worked out piece by piece, from pause to pause of the recorder.
Orders are multiples of engine speed: order one half is one cylinder firing every second turn, one the rocking couple
of the opposed twin, two the second-order remainder of its pistons. The wheel's order is one over the
overall gear ratio. The rule base lists the orders, and what each is called and shows.
"""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import signal

from advisor.errors import CaseError, Problem
from advisor.intake.logfile import Log
from advisor.readings.pieces import pieces
from advisor.rulebase.model import Rulebase
from advisor.rulebase.table_records import ShakeOrder

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

PER_TURN = 16  # samples per turn of the engine: orders up to 8
TURNS = 128  # a window this long separates the wheel's order from one half
FEWEST_TURNS = 64
CLEARLY = 2.0  # the strongest must exceed the next by this factor to be named


class Order(msgspec.Struct, frozen=True, kw_only=True):
    """One order: what it is called, its multiple of the engine's turns, its rate in Hz, and its amplitude in m/s2."""

    id: str
    name: str
    order: float
    rate: float
    amplitude: float


class Shake(msgspec.Struct, frozen=True, kw_only=True):
    """A shake by orders, strongest first.

    `owner` is the name of the clearly strongest order, `owner_id` its id; both are '' if there is none.
    """

    revs: float
    whole: float
    orders: tuple[Order, ...]
    owner: str
    owner_id: str


class _Piece:
    """A piece of a shake without a pause: its speed in turns per second, and its rows by turns of the engine."""

    def __init__(self, time: "Column", shake: "Column", rate: "Column") -> None:
        self.shake, self.rate = shake, rate
        self.turns = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2 * np.diff(time))])

    @property
    def rows_a_turn(self) -> float:
        return len(self.turns) / float(self.turns[-1])

    def by_turn(self) -> "Column":
        """Return the shake at even steps of a turn."""
        even = np.arange(0.0, self.turns[-1], 1 / PER_TURN)
        found: Column = np.interp(even, self.turns, self.shake - self.shake.mean())
        return found


def reduce_shake(
    log: Log, known: Mapping[str, ShakeOrder], revs: float | None = None, ratio: float | None = None
) -> Shake:
    """Return the `known` orders of a shake. The engine's speed (1/min) is the log's own, or the steady `revs`.

    `ratio` is engine turns per turn of the wheel; without it the wheel's order is left out.
    Raises CaseError when there is no engine speed, or the log is too short or too coarse for its orders.
    """
    time, shake = log.columns["time"], log.columns["acceleration"]
    speed = log.columns.get("revs")
    if speed is None and revs is None:
        raise _refused(log, "has no engine speed; add a column 'revs rpm', or say gear and speed, or the revs")
    if len(time) < 2:  # noqa: PLR2004 - a rate needs two
        raise _refused(log, f"holds {len(time)} row; a shake needs some seconds")
    rate = speed / 60 if speed is not None else np.full(len(time), (revs or 0.0) / 60)
    parts = [_Piece(time[one], shake[one], rate[one]) for one in pieces(log)]
    longest = max(parts, key=lambda one: one.turns[-1])
    if longest.turns[-1] < FEWEST_TURNS:
        what = "covers" if len(parts) == 1 else "pauses; its longest piece covers"
        raise _refused(log, f"{what} {longest.turns[-1]:.0f} turns of the engine; {FEWEST_TURNS} or more are needed")
    wanted = _wanted(known, ratio)
    fewest = math.ceil(2 * max(wanted.values(), default=0.0)) + 1  # two rows per cycle of the highest order, plus one
    if longest.rows_a_turn < fewest:
        raise _refused(log, f"has {longest.rows_a_turn:.1f} rows a turn of the engine; {fewest} or more are needed")
    long = [one for one in parts if one.turns[-1] >= TURNS and one.rows_a_turn >= fewest] or [longest]
    by_turn = [one.by_turn() for one in long]
    window = min(len(by_turn[0]), TURNS * PER_TURN)
    spectra = [signal.welch(one, fs=PER_TURN, nperseg=window, window="hann", scaling="density") for one in by_turn]
    weights = [len(one) for one in by_turn]
    order, power = spectra[0][0], np.average([power for _, power in spectra], axis=0, weights=weights)
    mean = float(np.concatenate([one.rate for one in long]).mean())
    found = sorted(
        (_order(known[name], at, order, power, mean) for name, at in wanted.items()), key=lambda one: -one.amplitude
    )
    clear = len(found) > 1 and found[0].amplitude > CLEARLY * found[1].amplitude
    return Shake(
        revs=60 * mean,
        whole=float(np.std(np.concatenate(by_turn))),
        orders=tuple(found),
        owner=found[0].name if clear else "",
        owner_id=found[0].id if clear else "",
    )


def next_step(found: Shake, base: Rulebase) -> str:
    """Return what to do next about a shake: what its owner's page says, or what to record if none stands out."""
    return base.shakes[found.owner_id].do if found.owner_id else base.ride_next.none_stands_out


def shown(found: Shake, base: Rulebase) -> dict[str, bool]:
    """Return the signs that a shake settles: its owner's is there, the others' are not. Empty without an owner."""
    if not found.owner_id:
        return {}
    signs = dict.fromkeys(one.shows for one in base.shakes.values())
    return {sign: sign == base.shakes[found.owner_id].shows for sign in signs}


def _wanted(known: Mapping[str, ShakeOrder], ratio: float | None) -> dict[str, float]:
    """Return the orders to look at, by id: the wheel's only if the gearing is known."""
    wheel = 1 / ratio if ratio else None
    turns = {name: wheel if one.turns is None else one.turns for name, one in known.items()}
    return {name: one for name, one in turns.items() if one is not None}


def _order(page: ShakeOrder, at: float, order: "Column", power: "Column", rate: float) -> Order:
    """Return the amplitude at one order: the square root of twice the power around it, as for a sine."""
    width = 2 * (order[1] - order[0])
    near = np.abs(order - at) <= width
    mean_square = float(power[near].sum() * (order[1] - order[0]))
    return Order(id=page.id, name=page.called, order=at, rate=at * rate, amplitude=(2 * mean_square) ** 0.5)


def _refused(log: Log, text: str) -> CaseError:
    return CaseError([Problem(log.file, 0, text)])
