"""A recorded shake reduced: how much of it comes at each multiple of the engine's turns, and with the wheel.

Orders are multiples of the engine's speed: a half is one side's every second turn, one the rocking couple
of the opposed twin, two what its pistons leave of the second order. The wheel's order is one over the
overall gear ratio.
"""

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import signal

from advisor.errors import CaseError, Problem
from advisor.intake.logfile import Log

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

PER_TURN = 16  # samples a turn of the engine: orders up to 8
TURNS = 128  # a window this long keeps the wheel's order and the half apart
FEWEST_TURNS = 64
CLEARLY = 2.0  # the strongest must be this much stronger than the next to be called
ENGINE_ORDERS = {"half order (one side fires weaker)": 0.5, "first order": 1.0, "second order": 2.0}
WHEEL = "rear wheel"


class Order(msgspec.Struct, frozen=True, kw_only=True):
    """One order: its multiple of the engine's turns, its rate in Hz, and its amplitude in m/s2."""

    name: str
    order: float
    rate: float
    amplitude: float


class Shake(msgspec.Struct, frozen=True, kw_only=True):
    """A shake by orders, the strongest first; `owner` is '' where none is clearly the strongest."""

    revs: float
    whole: float
    orders: tuple[Order, ...]
    owner: str


def reduce_shake(log: Log, revs: float | None = None, ratio: float | None = None) -> Shake:
    """Return a shake's orders. The engine's speed (1/min) is the log's own, or the steady `revs`.

    `ratio` is engine turns for one turn of the wheel; without it the wheel's order is not looked at.
    Raises CaseError where there is no engine speed, or the log is too short or too coarse for its orders.
    """
    time, shake = log.columns["time"], log.columns["acceleration"]
    speed = log.columns.get("revs")
    if speed is None and revs is None:
        raise _refused(log, "has no engine speed; add a column 'revs rpm', or say gear and speed, or the revs")
    if len(time) < 2:  # noqa: PLR2004 - a rate needs two
        raise _refused(log, f"holds {len(time)} row; a shake needs some seconds")
    rate = speed / 60 if speed is not None else np.full(len(time), (revs or 0.0) / 60)
    step = np.diff(time)
    turns = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2 * step)])
    if turns[-1] < FEWEST_TURNS:
        raise _refused(log, f"covers {turns[-1]:.0f} turns of the engine; {FEWEST_TURNS} or more are needed")
    if len(time) / turns[-1] < 5:  # noqa: PLR2004 - the second order needs four samples a turn, and a little more
        raise _refused(log, f"has {len(time) / turns[-1]:.1f} rows a turn of the engine; 5 or more are needed")
    even = np.arange(turns[0], turns[-1], 1 / PER_TURN)
    by_turn = np.interp(even, turns, shake - shake.mean())
    window = min(len(by_turn), TURNS * PER_TURN)
    order, power = signal.welch(by_turn, fs=PER_TURN, nperseg=window, window="hann", scaling="density")
    mean = float(rate.mean())
    wanted = dict(ENGINE_ORDERS) | ({WHEEL: 1 / ratio} if ratio else {})
    found = sorted(
        (_order(name, one, order, power, mean) for name, one in wanted.items()), key=lambda one: -one.amplitude
    )
    clear = found[0].amplitude >= CLEARLY * found[1].amplitude
    return Shake(
        revs=60 * mean,
        whole=float(np.std(by_turn)),
        orders=tuple(found),
        owner=found[0].name if clear else "",
    )


def _order(name: str, at: float, order: "Column", power: "Column", rate: float) -> Order:
    """Return the amplitude at one order: the root of twice the power around it, as of a sine."""
    width = 2 * (order[1] - order[0])
    near = np.abs(order - at) <= width
    mean_square = float(power[near].sum() * (order[1] - order[0]))
    return Order(name=name, order=at, rate=at * rate, amplitude=(2 * mean_square) ** 0.5)


def _refused(log: Log, text: str) -> CaseError:
    return CaseError([Problem(log.file, 0, text)])
