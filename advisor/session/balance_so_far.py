"""The balance that a session leads: how it was set up and its steps, from the session's events."""

import math
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from advisor.balance.course_steps import (
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
    Unhooked,
    Where,
)
from advisor.balance.mixture import Best, Go, NoTop, climb, to_figure
from advisor.balance.turns import MIXTURE, WHOLE, Turn
from advisor.case import Bike, Measured
from advisor.quantities import widen
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.rulebase.model import Rulebase
from advisor.session.events import Event, PutRight, Read, ScrewsTurned, SetUp, Throttled, WentOver
from advisor.sides import BOTH, Side

REVS, AT_REST = "idle-speed", "column-at-rest"
READINGS: dict[tuple[Method, Where], str] = {
    (COLUMNS, IDLE): "column-idle",
    (COLUMNS, OFF_IDLE): "column-off-idle",
    (DROPS, IDLE): "drop-idle",
    (DROPS, OFF_IDLE): "drop-off-idle",
}
UNIT: dict[Method, str] = {COLUMNS: "mmHg", DROPS: "rpm"}
STALL, STALL_HALF = 1000.0, 200.0  # rpm: what a plug is worth whose shorting stalls the engine, and how closely
WATER_TUBE, OIL_TUBE, GAUGES, SHORTING = "a tube with water", "a tube with oil", "gauges", "shorting"  # what is read by
# How far the sides may be apart, by what is read by: limits of the pages at idle and off idle.
APART = {
    **dict.fromkeys((WATER_TUBE, OIL_TUBE), ("column-leads-idle", "column-leads-off-idle")),
    GAUGES: ("column-apart-idle", "column-apart-off-idle"),
    SHORTING: ("drop-apart", "drop-apart"),
}
READ_IN = {WATER_TUBE: "mm of water", OIL_TUBE: "mm of oil", GAUGES: "mmHg"}  # the unit of a figure without one
# What a mixture screw is set by: the revs, what its plug is worth, or the carbon monoxide; with one standard deviation
# of a reading (rpm, rpm, %) on one instrument as the screw is turned. Judgement.
BY, BY_REVS, BY_DROPS, BY_CO = "mixture by", "revs", "drops", "carbon monoxide"
SCATTERS = {BY_REVS: 8.0, BY_DROPS: 15.0, BY_CO: 0.15}
READ_BY = {BY_REVS: REVS, BY_DROPS: "drop-idle", BY_CO: "exhaust-co"}
READY, METHOD, CROSS, MIXTURES = "ready", "method", "cross-check", "mixture"
ANEW = "mixture anew"  # the side whose screw is set once more, because its plug costs less than the columns say
YES, NO, NOW, LEAVE = "yes", "no", "now", "leave"
WENT_THROUGH = "went through it"
Places = tuple[
    tuple[int, float], ...
]  # of a mixture screw: sixteenths out from where it was found, and what was read there


class Led(msgspec.Struct, frozen=True, kw_only=True):
    """A balance as it was led so far: what was chosen, by what it was about, and its steps.

    Of each mixture screw: what was read (rpm) at which places, and where it stands now, in sixteenths out from where it
    was found. `mixing`: the side whose screw is being set, if one is.
    """

    chosen: dict[str, str]
    steps: tuple[Step, ...]
    read: dict[Side, Places]
    screws: dict[Side, int]
    mixing: Side = None

    @property
    def by(self) -> str:
        """What the mixture screws are set by."""
        return self.chosen.get(BY, BY_REVS)


def led(events: Iterable[Event], base: Rulebase) -> Led:
    """Return the balance that these events are, since it was last begun, or something was put right."""
    *_, last = balances(events, base)
    return last


def balances(events: Iterable[Event], base: Rulebase) -> Iterator[Led]:
    """Yield each balance that these events are, up to where the next one begins; the last one stands where it is."""
    found = _Led(base)
    for event in events:
        before = found.as_led()
        found.take(event)
        if before.steps and not found.steps:
            yield before
    yield found.as_led()


class _Led:
    """A balance while its events are gone through."""

    def __init__(self, base: Rulebase) -> None:
        self.base = base
        self.chosen: dict[str, str] = {}
        self.zero: tuple[Measured, ...] = ()
        self.begin()

    def as_led(self) -> Led:
        """Return the balance as it stands."""
        read = {side: tuple(one) for side, one in self.read.items()}
        return Led(
            chosen=dict(self.chosen),
            steps=tuple(self.steps),
            read=read,
            screws=dict(self.screws),
            mixing=self.mixing,
        )

    def begin(self) -> None:
        """Begin a balance anew."""
        self.steps: list[Step] = []
        self.read: dict[Side, list[tuple[int, float]]] = {side: [] for side in BOTH}
        self.screws: dict[Side, int] = dict.fromkeys(BOTH, 0)

    @property
    def mixing(self) -> Side:
        """The side whose mixture screw is being set, if one is."""
        sides = BOTH if self.chosen.get(MIXTURES) == NOW else [one for one in BOTH if one == self.chosen.get(ANEW)]
        return next((side for side in sides if not self._is_set(side)), None)

    @property
    def by(self) -> str:
        """What the mixture screws are set by."""
        return self.chosen.get(BY, BY_REVS)

    def _is_set(self, side: Side) -> bool:
        found = mixture_next(self.read[side], self.by, self.base)
        return isinstance(found, Best) and self.screws[side] == round(found.at * WHOLE)

    def take(self, event: Event) -> None:
        """Take in what happened."""
        match event:
            case SetUp():
                self.chosen[event.about] = event.chosen
                if (event.about, event.chosen) == (MIXTURES, NOW):
                    self.begin()
                if event.about == ANEW:
                    self.steps = []
                    self.read |= {side: [] for side in BOTH if side == event.chosen}
                    self.screws |= {side: 0 for side in BOTH if side == event.chosen}
            case WentOver(why=why) if why == READY:  # a tune-up has gone through all that must be right before
                self.chosen[READY] = WENT_THROUGH
                self.begin()
            case PutRight() | WentOver():
                self.begin()
            case ScrewsTurned():
                self._turned(event.turns, event.ended)
            case Throttled():
                self.steps.append(Ridden() if event.ridden else Blipped())
            case Read():
                if event.turned:
                    self._turned(event.turned)
                self._read(event.readings)

    def _turned(self, turns: Sequence[Turn], ended: Sequence[Turn] = ()) -> None:
        for one in turns:
            if one.screw == MIXTURE:
                self.screws[one.side] -= one.sixteenths
        if not any(one.screw == MIXTURE for one in (*turns, *ended)):
            self.steps.append(Turned(turns=tuple(turns), ended=tuple(ended)))

    def _read(self, readings: Sequence[Measured]) -> None:
        self.zero = tuple(one for one in readings if one.reading == AT_REST) or self.zero
        side = self.mixing
        mixture = [one for one in readings if one.reading == READ_BY[self.by] and one.side in {None, side}]
        revs = next((one.values for one in readings if one.reading == REVS), ())
        if side is not None and mixture and mixture[0].values:
            self.read[side].append((self.screws[side], math.fsum(mixture[0].values) / len(mixture[0].values)))
        elif side is None:
            found = list(seen(readings, self.zero, self.base))
            self.steps += found or ([Unhooked(revs=math.fsum(revs) / len(revs))] if revs else [])


def mixture_next(read: Sequence[tuple[int, float]], by: str, base: Rulebase) -> Go | Best | NoTop:
    """Return what comes next of a mixture screw, from what was read (rpm or % CO) at its places so far."""
    if by == BY_CO:
        low, high = (base.limits[name].value for name in ("co-least", "co-most"))
        return to_figure(read, SCATTERS[by], (low + high) / 2)
    return climb(read, SCATTERS[by])


def seen(readings: Sequence[Measured], zero: Sequence[Measured], base: Rulebase) -> Iterator[Seen]:
    """Yield what readings show of the balance: how far the left side is behind, and the revs."""
    reduced = reduce([*readings, *(one for one in zero if one not in readings)], (), base)
    revs = next((one for one in reduced if (one.of, one.reading) == ("reading", REVS)), None)
    for (by, where), name in READINGS.items():
        lead = next((one for one in reduced if (one.of, one.reading, one.side) == ("lead", name, "left")), None)
        if lead is not None:
            behind, half = _behind(lead, by, base)
            speed, within = (revs.value, revs.half) if revs and where == IDLE else (None, 20.0)
            own = [one for one in reduced if (one.of, one.reading) == ("reading", name)]
            both = {one.side: _finite(widen(one.value, one.unit, UNIT[by], base.units)) for one in own}
            sides = (both["left"], both["right"]) if len(both) == len(BOTH) else None
            yield Seen(where=where, by=by, behind=behind, behind_half=half, revs=speed, revs_half=within, sides=sides)


def _behind(lead: Reduced, by: Method, base: Rulebase) -> tuple[float, float]:
    """Return how far the left side opens less, by how much its column stands higher or its plug costs less."""
    way = 1.0 if by == COLUMNS else -1.0
    value, half = (widen(one, lead.unit, UNIT[by], base.units) for one in (lead.value, lead.half))
    return way * _finite(value), min(half, STALL_HALF)


def _finite(value: float) -> float:
    """Return a drop as a figure: a stall counts as one of all the revs that an idle has."""
    return max(-STALL, min(STALL, value))


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
