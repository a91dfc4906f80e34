"""The bike on its stand, engine running: screws are turned, the grip is held, a plug shorted, instruments are read.

Time passes only where it says so: while the instruments are read, a grip is caught, a throttle blipped, the engine
started or the bike ridden. Meanwhile heads and oil warm as in `warmup`, and the idle drifts with them.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor.errors import AdvisorError, nearest
from advisor.sides import BOTH, Side
from advisor.virtual_bike import engine, exhaust, idle, operate
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.gauges import INSTRUMENTS, TACHOMETER_LAG_S, Columns, Lagged
from advisor.virtual_bike.grip import Hand, takes_hold
from advisor.virtual_bike.instruments import TACHOMETER
from advisor.virtual_bike.respond import BLIP_RPM
from advisor.virtual_bike.spinning import Curve, Curves, Moment, both, curves
from advisor.virtual_bike.steady import CRUISE_LOAD, CRUISE_RPM, FULL_GRIP, hold, with_hoses
from advisor.virtual_bike.thread import SCREWS, turned
from advisor.virtual_bike.warmup import ENRICHER, FAN, ROAD, STEP_S, STILL_AIR, Cooling, Warmth, heated

LEAST_HELD, MOST_HELD = 1200.0, 5500.0  # rpm
PIECE_S = 0.5  # time in which the pull of a hand counts as constant
CATCH_S, BLIP_S, START_S = 2.0, 1.0, 3.0
SAME_C = 2.0  # change of heads or oil too small to tell on the idle: less than 1 rpm
LONGEST_S, LONGEST_RIDE_MIN, MOST_TURNS = 3600.0, 600.0, 100.0


@dataclass(frozen=True)
class Shown:
    """What is seen when a while has passed.

    `revs` (rpm) is None if the engine has stopped. `left` and `right` are in the instrument's unit: depressions in mmHg
    on gauges, the two legs about the middle of a U-tube in mm of its fluid. `time_s` counts from when the bike was put
    on the stand; `head_c` is the hotter head, degrees Celsius as it truly is, like the oil.
    """

    revs: float | None
    left: float
    right: float
    time_s: float
    head_c: float
    oil_c: float


@dataclass(frozen=True)
class _Found:
    """The engine's curves, with the temperatures that they are for."""

    curves: Curves
    warmth: Warmth


def _within(name: str, value: float, least: float, most: float) -> float:
    if not least <= value <= most:
        message = f"{name} {value:g}: from {least:g} to {most:g}, please"
        raise AdvisorError(message)
    return value


def _columns(instrument: str | Columns) -> Columns:
    if isinstance(instrument, Columns):
        return instrument
    if instrument not in INSTRUMENTS:
        message = f"no such instrument: {instrument}{nearest(instrument, INSTRUMENTS)}"
        raise AdvisorError(message)
    return INSTRUMENTS[instrument]


class OnTheStand:
    """A bike with its engine running, hooked up to an instrument, with or without a fan before its heads.

    `instrument` is 'gauges' or 'tube', or any other `gauges.Columns`. All chance comes from `rng`. The engine idles at
    first, warm or cold as the bike is; if it cannot, it stands still (`runs`).
    """

    def __init__(
        self, bike: Bike, rng: np.random.Generator, instrument: str | Columns = "gauges", *, fan: bool = True
    ) -> None:
        self._rng, self._instrument = rng, _columns(instrument)
        self._zeros = self._instrument.zeros(rng)
        self._bike, self._air = bike, FAN if fan else STILL_AIR
        self._warmth = Warmth(np.array([[bike.left.head_c, bike.right.head_c]]), np.array([bike.oil_c]))
        # each screw was last turned in, so the way out begins with its play
        self._play = {(name, side): screw.backlash for name, screw in SCREWS.items() for side in BOTH}
        self._shorted: Side = None
        self._hooked = True
        self._hand: Hand | None = None  # on the grip
        self._found: _Found | None = None
        self._time = 0.0
        self._now = Moment(idle.USUAL, 0.0, (0.0, 0.0), (TACHOMETER_LAG_S, self._instrument.lag_s))
        self._come_to_rest(idle.USUAL)

    @property
    def bike(self) -> Bike:
        """The bike as its screws stand and as warm as it is, nothing held and nothing shorted."""
        heads = self._warmth.head_c[0].tolist()
        bike = self._bike.share(oil_c=float(self._warmth.oil_c[0]))
        return bike.change("left", head_c=heads[0]).change("right", head_c=heads[1])

    @property
    def runs(self) -> bool:
        """Whether the engine turns."""
        return self._now.rpm > 0

    @property
    def overheats(self) -> bool:
        """Whether a head is hotter than it may get on the stand (`head_limit_c` of the engine)."""
        return bool(self._warmth.head_c.max() > ENGINE.head_limit_c)

    def at_rest(self) -> tuple[float, float]:
        """Return what the instrument shows with both hoses open, left and right: its zero. No time passes."""
        open_air = Lagged((0.0, 0.0), (0.0, 0.0), held=False, runs=False)
        return self._instrument.read(open_air, self._bike, self._zeros, self._rng)

    def hook(self, *, on: bool) -> None:
        """Put the hoses on, or take them off and cap the ports: then one leaks as its cap does. No time passes."""
        self._hooked, self._found = on, None

    def turn(self, side: Side, screw: str, turns: float) -> float:
        """Turn the 'idle stop', 'mixture screw' or 'cable adjuster' of a side in by so many turns (below 0: out).

        Return how far its head went, in turns: the thread may end before. In opens the butterfly, leans the mixture, or
        gives the cable slack. Turned the other way, a screw moves nothing until its play is taken up. No time passes.
        AdvisorError for an unknown side or screw, or for more than 100 turns.
        """
        if screw not in SCREWS:
            message = f"no such screw: {screw}{nearest(screw, SCREWS)}"
            raise AdvisorError(message)
        at = screw, _side(side)
        went = turned(self._bike, side, SCREWS[screw], _within("turns", turns, -MOST_TURNS, MOST_TURNS), self._play[at])
        if went.bike != self._bike:
            self._found = None
        self._bike, self._play[at] = went.bike, went.play
        return went.turns

    def hold(self, rpm: float | None) -> None:
        """Hold the grip so that the engine turns at about this speed (rpm); None lets it go.

        It takes two seconds to catch the speed, and the hand is not quite steady. It follows what a screw changes, but
        stays where it is while a plug is shorted. AdvisorError for less than 1,200 or more than 5,500 rpm.
        """
        self._hand, self._found = None, None
        if rpm is not None:
            self._hand = takes_hold(_within("speed to hold", rpm, LEAST_HELD, MOST_HELD), self._rng)
        self._catch()

    def short(self, side: Side) -> None:
        """Short the plug of a side to earth, or of none; AdvisorError for what is no side. No time passes.

        A hand that holds the grip catches the speed again once no plug is shorted.
        """
        self._shorted, self._found = None if side is None else _side(side), None
        if side is None:
            self._catch()

    def blip(self) -> None:
        """Open the throttle for a second, up to 3,500 rpm, and let it go, or back to where it was held."""
        if not self.runs:
            return
        curve = self._curve(BLIP_S)
        self._now.follow((0.0, 0.0), BLIP_RPM, BLIP_S)  # with the butterflies wide open the columns fall
        self._now.rpm = max(self._now.rpm, BLIP_RPM)
        self._warm(both(curve.heat, self._now.rpm), self._now.rpm, BLIP_S, self._air)
        if self._shorted is None:
            self._catch()

    def start(self) -> bool:
        """Start an engine that stands still, grip closed, no plug shorted; return whether it runs 3 seconds later."""
        if not self.runs:
            self._hand, self._shorted, self._found = None, None, None
            self._now.rpm = idle.USUAL
            self._pass(START_S)
        return self.runs

    def ride(self, minutes: float) -> None:
        """Ride at cruising speed, so that heads and oil come to their usual warmth, and put it back on the stand.

        A cold engine is started with its enrichers out. AdvisorError if it will not run even so, or for more than 600
        minutes.
        """
        left = _within("minutes", minutes, 0.0, LONGEST_RIDE_MIN) * 60
        if not np.isfinite(idle.settle(pack([self.bike, self.bike.change(enricher=ENRICHER)]))).any():
            message = "the engine will not run, so the bike cannot be ridden: turn both idle stops in"
            raise AdvisorError(message)
        self._hand, self._shorted, self._found = None, None, None
        while left > 0:
            piece = min(left, STEP_S)
            self._warm(self._cruising_heat(), CRUISE_RPM, piece, ROAD)
            left -= piece
        self._bike, self._found = operate.ride(self._bike, minutes), None
        self._come_to_rest(idle.USUAL)

    def read(self, seconds: float) -> Shown:
        """Wait for so many seconds and return what the instruments show then; AdvisorError for over an hour."""
        self._pass(_within("seconds", seconds, 0.0, LONGEST_S))
        now = self._now
        missed = both(self._curve(0.0).missed, now.rpm) if now.rpm else (0.0, 0.0)
        kpa = now.columns[0] / 1e3, now.columns[1] / 1e3
        lagged = Lagged(kpa, missed, held=self._hand is not None, runs=self.runs)
        revs = float(TACHOMETER.read(np.asarray(now.tachometer), self._rng))
        left, right = self._instrument.read(lagged, self._bike, self._zeros, self._rng)
        head, oil = float(self._warmth.head_c.max()), float(self._warmth.oil_c[0])
        return Shown(max(revs, 0.0) if self.runs else None, left, right, self._time, head, oil)

    def _pass(self, seconds: float) -> None:
        """Let time pass: the engine runs on, and what is hot warms or cools."""
        left = seconds
        while left > 0:
            piece = min(left, STEP_S if self._hand is None else PIECE_S)
            heat = 0.0, 0.0
            if self.runs:
                curve = self._curve(piece)
                self._now.run_on(curve, piece)
                heat = both(curve.heat, self._now.rpm)
            else:
                self._now.follow((0.0, 0.0), 0.0, piece)
            self._warm(heat, self._now.rpm, piece, self._air)
            left -= piece

    def _warm(self, heat: tuple[float, float], rpm: float, seconds: float, by: Cooling) -> None:
        b, now = pack([self._bike]), self._warmth
        head, oil = heated(b, now, np.array([heat]), np.array([rpm]), by)
        self._warmth = Warmth(now.head_c + seconds * head, now.oil_c + seconds * oil)
        self._time += seconds

    def _cruising_heat(self) -> tuple[float, float]:
        """Return the heat into both heads at cruising speed, W."""
        b = pack([self.bike])
        pull = np.nan_to_num(hold(b, np.array([CRUISE_RPM]), np.array([CRUISE_LOAD])), nan=FULL_GRIP)
        left, right = exhaust.head_heat(engine.run(b | {"grip_mm": pull[:, None]}, np.full((1, 1, 1), CRUISE_RPM)))[
            0, :, 0
        ].tolist()
        return left, right

    def _as_it_runs(self) -> Bike:
        """Return the bike with its hoses on, a plug shorted, and the temperatures of now."""
        bike = with_hoses(self.bike) if self._hooked else self.bike
        return operate.short(bike, self._shorted) if self._shorted else bike

    def _curve(self, seconds: float) -> Curve:
        """Return what the engine does with all as it is now, after the hand has trembled for this long."""
        if self._found is None or not self._same(self._found.warmth):
            self._found = _Found(self._curves(), self._warmth)
        return self._found.curves.between(self._hand.trembles(seconds) if self._hand else 0.0)

    def _same(self, then: Warmth) -> bool:
        now = self._warmth
        heads, oil = np.abs(now.head_c - then.head_c).max(), np.abs(now.oil_c - then.oil_c).max()
        return bool(max(heads, oil) < SAME_C)

    def _curves(self) -> Curves:
        bike = self._as_it_runs()
        return self._hand.curves(bike, follows=self._shorted is None) if self._hand else curves(bike)

    def _catch(self) -> None:
        """Let the hand bring the running engine to the speed that it means to hold."""
        if self._hand is None or not self.runs:
            return
        self._now.rpm = self._settled(self._hand.aim)
        self._pass(CATCH_S)

    def _settled(self, start: float) -> float:
        """Return the speed at which the engine settles from `start`, rpm; 0 if it stalls."""
        net: Array = np.array([self._curve(0.0).net])
        return float(np.nan_to_num(idle.follow(net, start))[0])

    def _come_to_rest(self, start: float) -> None:
        """Let engine and pointers settle, with no time passing."""
        rpm = self._settled(start)
        columns = both(self._curve(0.0).depression, rpm)
        self._now = replace(self._now, rpm=rpm, tachometer=rpm, columns=columns)


def _side(side: Side) -> Literal["left", "right"]:
    for one in BOTH:
        if one == side:
            return one
    message = f"a side is needed, left or right, not {side}"
    raise AdvisorError(message)
