"""A case: what was seen, heard and measured on one bike, and what is at hand. It is frozen once read."""

from collections.abc import Iterator

import msgspec

from advisor.sides import BOTH, Side, Sided


class SignReport(msgspec.Struct, frozen=True, kw_only=True):
    """One person's report of one sign on one side: seen or not, and how they know."""

    sign: str
    side: Side
    seen: bool
    how: str
    line: int = 0


class Measured(msgspec.Struct, frozen=True, kw_only=True):
    """One reading on one side, in the unit of its kind.

    `values` are its repeats (empty if only `bounds` or stalls were found), `give` the half-width within which each
    is trusted, `bounds` the range between a go and a no-go gauge, `stalls` how often the
    engine stalled instead of giving a figure. With `over_other` the figures are this side's surplus over
    the other. `given` is the text as written, `unit` the unit word in it, `written` each figure in it on its own:
    the repeats, or the gauge that goes in and the one that does not (empty if not written down).
    """

    reading: str
    side: Side
    values: tuple[float, ...]
    give: float
    given: str
    unit: str
    bounds: tuple[float, float] | None = None
    written: tuple[str, ...] = ()
    stalls: int = 0
    over_other: bool = False
    line: int = 0


class ShakeReport(msgspec.Struct, frozen=True, kw_only=True):
    """A rider's report of one moment: it shook, or it did not.

    `speed` is the road speed in m/s, `revs` the engine speed in 1/min, `gear` counts from 1 (0: not stated),
    `throttle` is shut, part or wide ('': not stated).
    """

    shakes: bool
    speed: float | None = None
    revs: float | None = None
    gear: int = 0
    clutch_in: bool = False
    throttle: str = ""
    how: str
    line: int = 0


class LogFile(msgspec.Struct, frozen=True, kw_only=True):
    """A recorded log of a case: the idle, the shake at a steady speed, or the sound of the exhaust.

    `starts` is cold or warm ('': not stated); `speed` (m/s) and `gear` are those of the ride with the shake. `near` is
    about how fast the engine ran in the sound (1/min, None: not stated), `shorted` the sides whose plugs were shorted
    in it, in their order.
    """

    kind: str
    path: str
    starts: str = ""
    speed: float | None = None
    gear: int = 0
    near: float | None = None
    shorted: tuple[Side, ...] = ()
    how: str
    line: int = 0


class Means(msgspec.Struct, frozen=True, kw_only=True):
    """Who is at the bike and with what. `tools` is None for a full workshop; `engine` is '' when not stated."""

    person: str
    tools: frozenset[str] | None
    engine: str


class Bike(msgspec.Struct, frozen=True, kw_only=True):
    """What is known about the bike: kinds of parts, and its own figures as (lowest, highest) in their units.

    `gears` are engine turns per turn of the rear wheel, first gear first; `tyre` is the size printed on the tyre.
    """

    name: str = ""
    parts: dict[str, str] = {}
    figures: dict[str, tuple[float, float]] = {}
    gears: tuple[float, ...] = ()
    tyre: str = ""


class Case(msgspec.Struct, frozen=True, kw_only=True):
    """One bike's trouble, as reported and measured; `before` holds settings as they were left last time.

    `put_right` are causes that were put right, `ruled_out` those found sound, `not_again` checks not to be
    offered again, `opened` covers that are open; each with its side. `cools` is the number of minutes until the engine
    is cold, None if `means` says all that is known.
    """

    title: str
    bike: Bike
    complaint: str
    seen: tuple[SignReport, ...]
    measured: tuple[Measured, ...]
    before: tuple[Measured, ...] = ()
    shakes: tuple[ShakeReport, ...] = ()
    logs: tuple[LogFile, ...] = ()
    put_right: tuple[Sided, ...] = ()
    ruled_out: tuple[Sided, ...] = ()
    not_again: tuple[Sided, ...] = ()
    opened: tuple[Sided, ...] = ()
    cools: float | None = None
    means: Means


def first_side(case: Case) -> Side:
    """Return the side that comes first where both are level: the one of which more is told.

    So the answer to a case with left and right exchanged is the same answer with left and right exchanged. Of equals
    the one that comes first by what is told; left if the same is told of both.
    """
    left, right = (sorted(_told(case, side)) for side in BOTH)
    return "left" if (len(left), left) >= (len(right), right) else "right"


def _told(case: Case, side: Side) -> Iterator[tuple[str, str, str]]:
    """Yield everything that is told of one side."""
    for seen in (one for one in case.seen if one.side == side):
        yield "seen", seen.sign, f"{seen.seen} {seen.how}"
    for kind, readings in (("measured", case.measured), ("before", case.before)):
        for one in (one for one in readings if one.side == side):
            yield kind, one.reading, f"{one.over_other} {one.values} {one.bounds} {one.stalls} {one.give}"
    for kind, keys in (("right", case.put_right), ("sound", case.ruled_out), ("not again", case.not_again)):
        yield from ((kind, name, "") for name, at in keys if at == side)
    yield from (("opened", name, "") for name, at in case.opened if at == side)
