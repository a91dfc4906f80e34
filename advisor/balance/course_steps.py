"""What is done in a balance, step by step, and how it is set up. A balance is the list of its steps, nothing else."""

from typing import Literal

import msgspec

from advisor.balance.turns import Turn
from advisor.sides import Side

Method = Literal["columns", "drops"]
COLUMNS: Method = "columns"
DROPS: Method = "drops"
Where = Literal["at idle", "off idle"]
IDLE: Where = "at idle"
OFF_IDLE: Where = "off idle"


class Setup(msgspec.Struct, frozen=True, kw_only=True):
    """How this bike is balanced: by which readings, to which idle, and how far the sides may be apart.

    `idle` in rpm; `apart_idle` and `apart_off_idle` in the unit of the readings of `method`; those of the other method
    are in `cross_idle` (None: it is not at hand).
    """

    method: Method
    idle: tuple[float, float]
    apart_idle: float
    apart_off_idle: float
    cross_idle: float | None = None


class Seen(msgspec.Struct, frozen=True, kw_only=True, tag="seen"):
    """A reading: how much less the left throttle opens, as far as it shows, and the revs.

    `behind` is above 0 where the left side opens less: its column is the higher, or its plug costs the less. It and
    `behind_half`, the half-width it is trusted within (two standard deviations), are in the unit of the method; `revs`
    and `revs_half` in rpm. None: not read. `sides` are both as read, where more than their lead was.
    """

    where: Where
    by: Method
    behind: float | None
    behind_half: float
    revs: float | None = None
    revs_half: float = 20.0
    sides: tuple[float, float] | None = None


class Turned(msgspec.Struct, frozen=True, kw_only=True, tag="turned"):
    """Screws turned, one after the other, from one reading to the next.

    `ended`: some of them came to the end of their thread, or the stop to where it no longer touches.
    """

    turns: tuple[Turn, ...]
    ended: tuple[Turn, ...] = ()


class Blipped(msgspec.Struct, frozen=True, tag="blipped"):
    """The throttle was opened and let go some times, to see whether the balance stays."""


class Ridden(msgspec.Struct, frozen=True, tag="ridden"):
    """It was ridden, to see whether the balance stays."""


class Unhooked(msgspec.Struct, frozen=True, kw_only=True, tag="unhooked"):
    """The revs (rpm) with the gauge off and its ports capped."""

    revs: float


Step = Seen | Turned | Blipped | Ridden | Unhooked


class TakeReading(msgspec.Struct, frozen=True, kw_only=True, tag="take reading"):
    """To do: read, at idle or off idle, by a method; `again`: what was read last is too close to call, or surprises.

    `expected`: what is to be expected (behind, revs), each with two standard deviations; None before a first reading.
    """

    where: Where
    by: Method
    stage: str
    again: bool = False
    expected: tuple[tuple[float, float], ...] | None = None


class TurnScrews(msgspec.Struct, frozen=True, kw_only=True, tag="turn screws"):
    """To do: turn these, then read; `expected` as in `TakeReading`."""

    where: Where
    turns: tuple[Turn, ...]
    stage: str
    expected: tuple[tuple[float, float], ...]


class Blip(msgspec.Struct, frozen=True, tag="blip"):
    """To do: open the throttle and let it go three times."""


class Done(msgspec.Struct, frozen=True, kw_only=True, tag="done"):
    """It is balanced. `closely`: as closely as the limit with its guard band asks; else as closely as is told apart."""

    closely: bool


Why = Literal[
    "a side does nothing",
    "changes without the gauge",
    "no answer",
    "wrong way",
    "moves by itself",
    "far turn",
    "does not come level",
    "does not come level off idle",
    "idle out of reach",
    "the plugs say otherwise",
    "does not stay",
]


class WontCome(msgspec.Struct, frozen=True, kw_only=True, tag="won't come"):
    """It does not come right, why, and on which side that shows; a cause is to be looked for."""

    why: Why
    side: Side = None
    where: Where = IDLE


Next = TakeReading | TurnScrews | Blip | Done | WontCome
