"""A case: what somebody saw, heard and measured on one bike, and what is at hand. It is frozen once read."""

import msgspec

from advisor.sides import Side, Sided


class SignReport(msgspec.Struct, frozen=True, kw_only=True):
    """What somebody says of one sign on one side: seen or not, and how they know."""

    sign: str
    side: Side
    seen: bool
    how: str
    line: int = 0


class Measured(msgspec.Struct, frozen=True, kw_only=True):
    """One reading on one side, in the unit of its kind.

    `values` are its repeats (none where only `bounds` or stalls were found), `give` the half-width within which one of
    them is trusted, `bounds` what a go and a no-go gauge leave between them, `stalls` how often the
    engine stalled instead of giving a figure. With `over_other` the figures are this side's surplus over
    the other. `given` is the text as it was written, `unit` the unit word in it, `written` each figure of it by itself:
    the repeats, or what goes in and what does not (none where nobody wrote them).
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
    """What a rider says of one moment: it shook, or it did not.

    `speed` on the road in m/s, `revs` of the engine in 1/min, `gear` from 1 (0: not told), `throttle` is
    shut, part or wide ('': not told).
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
    """A recorded log of a case: of the idle, or of the shake at a steady speed.

    `starts` is cold or warm ('': not told); `speed` (m/s) and `gear` say how a shake was ridden.
    """

    kind: str
    path: str
    starts: str = ""
    speed: float | None = None
    gear: int = 0
    how: str
    line: int = 0


class Means(msgspec.Struct, frozen=True, kw_only=True):
    """Who is at the bike and with what. `tools` is None for a full workshop; `engine` is '' when not told."""

    person: str
    tools: frozenset[str] | None
    engine: str


class Bike(msgspec.Struct, frozen=True, kw_only=True):
    """What is known of the bike itself: kinds of parts, and its own figures as (lowest, highest) in their units.

    `gears` are engine turns for one turn of the rear wheel, first gear first; `tyre` is its size as printed on it.
    """

    name: str = ""
    parts: dict[str, str] = {}
    figures: dict[str, tuple[float, float]] = {}
    gears: tuple[float, ...] = ()
    tyre: str = ""


class Case(msgspec.Struct, frozen=True, kw_only=True):
    """One bike's trouble, as told and measured; `before` holds settings as they were left last time.

    `put_right` are causes that were put right, `ruled_out` those found sound, and `not_again` checks that are not
    to be offered again, `opened` covers that stand open, each on its side.
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
    means: Means
