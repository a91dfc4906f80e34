"""The balance that a session leads: how it was set up and its steps, from the session's events."""

import math
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from advisor.balance.screws import MIXTURE
from advisor.balance.steps import (
    COLUMNS,
    DROPS,
    IDLE,
    OFF_IDLE,
    Blipped,
    Method,
    Ridden,
    Seen,
    Setup,
    Step,
    Turned,
    Where,
)
from advisor.case import Bike, Measured
from advisor.quantities import widen
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.rulebase.model import Rulebase
from advisor.session.events import Event, PutRight, Read, ScrewsTurned, SetUp, Throttled, WentOver
from advisor.sides import BOTH, Side

READINGS: dict[tuple[Method, Where], str] = {
    (COLUMNS, IDLE): "column-idle",
    (COLUMNS, OFF_IDLE): "column-off-idle",
    (DROPS, IDLE): "drop-idle",
    (DROPS, OFF_IDLE): "drop-off-idle",
}
UNIT: dict[Method, str] = {COLUMNS: "mmHg", DROPS: "rpm"}
REVS, AT_REST = "idle-speed", "column-at-rest"
WATER_TUBE, OIL_TUBE, GAUGES, SHORTING = "a tube with water", "a tube with oil", "gauges", "shorting"  # what is read by
# How far the sides may be apart, by what is read by: limits of the pages at idle and off idle.
APART = {
    **dict.fromkeys((WATER_TUBE, OIL_TUBE), ("column-leads-idle", "column-leads-off-idle")),
    GAUGES: ("column-apart-idle", "column-apart-off-idle"),
    SHORTING: ("drop-apart", "drop-apart"),
}
READ_IN = {WATER_TUBE: "mm of water", OIL_TUBE: "mm of oil", GAUGES: "mmHg"}  # the unit of a figure without one
READY, METHOD, CROSS, MIXTURES, BY = "ready", "method", "cross-check", "mixture", "mixture by"
YES, NO = "yes", "no"
FIRST, LAST, LEAVE = "first", "last", "leave"


class Led(msgspec.Struct, frozen=True, kw_only=True):
    """A balance as it was led so far: what was chosen, by what it was about, and its steps.

    `mixture`: for each side, the places (sixteenths out from where the screw stood) and what was read there;
    `screws`: where each mixture screw stands now, likewise.
    """

    chosen: dict[str, str]
    steps: tuple[Step, ...]
    mixture: dict[Side, tuple[tuple[int, float, float], ...]]
    screws: dict[Side, int]
    at: Side = None


def led(events: Iterable[Event], base: Rulebase) -> Led:
    """Return the balance that these events are, since it was last begun, or something was put right."""
    found = _Led(base)
    for event in events:
        found.take(event)
    return Led(
        chosen=found.chosen,
        steps=tuple(found.steps),
        mixture={side: tuple(read) for side, read in found.mixture.items()},
        screws=dict(found.screws),
        at=found.at,
    )


class _Led:
    def __init__(self, base: Rulebase) -> None:
        self.base = base
        self.chosen: dict[str, str] = {}
        self.zero: tuple[Measured, ...] = ()
        self.begin()

    def begin(self) -> None:
        """Begin a balance anew."""
        self.steps: list[Step] = []
        self.mixture: dict[Side, list[tuple[int, float, float]]] = {"left": [], "right": []}
        self.screws: dict[Side, int] = {"left": 0, "right": 0}
        self.at: Side = None

    def take(self, event: Event) -> None:
        """Take in what happened."""
        match event:
            case SetUp():
                self.chosen[event.about] = event.chosen
                self.at = event.chosen if event.about == "mixture of" else self.at  # type: ignore[assignment]
            case PutRight() | WentOver():
                self.begin()
            case ScrewsTurned():
                self._turned(event)
            case Throttled():
                self.steps.append(Ridden() if event.ridden else Blipped())
            case Read():
                self.steps += [Turned(turns=event.turned)] if event.turned else []
                self._read(event.readings)

    def _turned(self, event: ScrewsTurned) -> None:
        mixture = [one for one in (*event.turns, *event.ended) if one.screw == MIXTURE]
        for one in mixture:
            self.screws[one.side] -= one.sixteenths
        if not mixture:
            self.steps.append(Turned(turns=event.turns, ended=event.ended))

    def _read(self, readings: Sequence[Measured]) -> None:
        self.zero = tuple(one for one in readings if one.reading == AT_REST) or self.zero
        self.steps += seen(readings, self.zero, self.base)


def seen(readings: Sequence[Measured], zero: Sequence[Measured], base: Rulebase) -> Iterator[Seen]:
    """Yield what readings show of the balance: how far the left side is behind, and the revs."""
    reduced = reduce([*readings, *(one for one in zero if one not in readings)], (), base)
    revs = next((one for one in reduced if (one.of, one.reading) == ("reading", REVS)), None)
    for (by, where), name in READINGS.items():
        lead = next((one for one in reduced if (one.of, one.reading, one.side) == ("lead", name, "left")), None)
        if lead is not None:
            behind, half = _behind(lead, by, base)
            speed, within = (revs.value, revs.half) if revs and where == IDLE else (None, 20.0)
            own = [one for one in reduced if (one.of, one.reading) == ("reading", name) and math.isfinite(one.value)]
            both = {one.side: widen(one.value, one.unit, UNIT[by], base.units) for one in own}
            sides = (both["left"], both["right"]) if len(both) == len(BOTH) else None
            yield Seen(where=where, by=by, behind=behind, behind_half=half, revs=speed, revs_half=within, sides=sides)


def _behind(lead: Reduced, by: Method, base: Rulebase) -> tuple[float, float]:
    """Return how far the left side opens less, by how much its column stands higher or its plug costs less."""
    way = 1.0 if by == COLUMNS else -1.0
    value, half = (widen(one, lead.unit, UNIT[by], base.units) for one in (lead.value, lead.half))
    return way * value, half


def setup(led: Led, bike: Bike, base: Rulebase) -> Setup:
    """Return how the balance is set up, from what was chosen, the bike's own figures, and the pages' limits."""
    chosen = led.chosen[METHOD]
    by: Method = DROPS if chosen == SHORTING else COLUMNS
    idle, off_idle = (_limit(name, UNIT[by], base) for name in APART[chosen])
    cross = _limit("drop-apart", UNIT[DROPS], base) if led.chosen.get(CROSS) == YES else None
    figure = base.figures[REVS]
    return Setup(
        method=by,
        idle=bike.figures.get(REVS, (figure.low, figure.high)),
        apart_idle=idle,
        apart_off_idle=off_idle,
        cross_idle=cross,
    )


def _limit(name: str, unit: str, base: Rulebase) -> float:
    page = base.limits[name]
    return widen(page.value, page.unit, unit, base.units)
