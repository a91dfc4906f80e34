"""What comes next in a balance, from how it is set up and all that was done so far.

Both cylinders must work. Then the stops at idle, the cables off idle, and idle again, for a cable that holds a throttle
open shows there; then after a blip; then without the gauge, the other method as a cross-check. Each stage ends when the
sides are level and the idle is in its range with a guard band (JCGM 106:2012, 8.3: the reading's own half-width is kept
off the limit), or when what is left is less than the instrument tells.
"""

import math
from collections.abc import Sequence

from advisor.balance.choice import Aim
from advisor.balance.course_steps import (
    COLUMNS,
    DROPS,
    IDLE,
    OFF_IDLE,
    Blip,
    Blipped,
    Done,
    Method,
    Next,
    Ridden,
    Seen,
    Setup,
    Step,
    TakeReading,
    Turned,
    Unhooked,
    Where,
    Why,
    WontCome,
)
from advisor.balance.standing import SURPRISES, Standing, level
from advisor.sides import Side

STOPS, CABLES, STOPS_AGAIN, CROSS, STAYS = "stops", "cables", "stops again", "cross-check", "after a blip"
WORKS, GAUGE_OFF, CROSS_ON = "both work", "gauge off", "gauge on again"
JOINS = "joins in"  # whether a side that does nothing at idle works higher up
PLACE: dict[str, Where] = dict.fromkeys((CABLES, JOINS), OFF_IDLE) | dict.fromkeys(
    (WORKS, STOPS, STOPS_AGAIN, CROSS, CROSS_ON, STAYS, GAUGE_OFF), IDLE
)
PLUGS_SAY: Why = "the plugs say otherwise"
DOES_NOTHING: Why = "a side does nothing"
ALONE = (WORKS, JOINS, CROSS, CROSS_ON)  # stages read by the other method
DEAD_SHARE = 0.2  # of the other plug's worth: a side whose plug is worth less does nothing. Judgement
OTHER_RPM = 60.0  # by which the idle is another once the gauge is off: three times what a rev counter shows. Judgement
MOST_READINGS = 10  # in one stage; then it does not come
MOST_AGAIN = 2  # readings once more, where one is too close to call
ROUNDS = 3  # stops, cables, stops, ...: then they do not come together


def next_step(setup: Setup, steps: Sequence[Step]) -> Next:
    """Return what comes next, after these steps.

    >>> from advisor.balance.course_steps import COLUMNS, Seen, Setup
    >>> setup = Setup(method=COLUMNS, idle=(900, 1100), apart_idle=10, apart_off_idle=10)
    >>> seen = Seen(where="at idle", by=COLUMNS, behind=35, behind_half=4, revs=1000)
    >>> [str(one) for one in next_step(setup, [seen]).turns]
    """
    course = _Course(setup)
    found: Next = course.ask()
    for step in steps:
        if isinstance(found, WontCome) or (isinstance(found, Done) and not isinstance(step, Ridden)):
            break
        found = course.after(step)
    return found


class _Course:
    """A balance while its steps are gone through."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        places: tuple[Where, ...] = (IDLE, OFF_IDLE)
        self.at = {where: Standing(where=where, by=setup.method) for where in places}
        self.stage = STOPS if setup.cross_idle is None else WORKS
        self.readings, self.rounds = 0, 1
        self.turns = 0  # in this stage
        self.surprised, self.ridden = 0, False
        self.settled: float | None = None
        self.weak: Side = None
        self.crossed: list[Seen] = []
        self.off = (0.0, 0.0)  # the mean of the cross-check without the gauge, and its half-width

    @property
    def here(self) -> Standing:
        """What is known of the place of this stage."""
        return self.at[PLACE[self.stage]]

    @property
    def by(self) -> Method:
        """The method of this stage."""
        if self.stage not in ALONE:
            return self.setup.method
        return DROPS if self.setup.method == COLUMNS else COLUMNS

    @property
    def aim(self) -> Aim:
        """Where things should stand in this stage."""
        if self.here.where == OFF_IDLE:
            return Aim(at=(0.0,), within=(self.setup.apart_off_idle,))
        low, high = self.setup.idle
        return Aim(at=(0.0, (low + high) / 2), within=(self.setup.apart_idle, (high - low) / 2))

    def ask(self, *, again: bool = False) -> TakeReading:
        """Ask for a reading."""
        expected = None if self.stage in {*ALONE, GAUGE_OFF} else self.here.expected
        return TakeReading(where=self.here.where, by=self.by, stage=self.stage, again=again, expected=expected)

    def after(self, step: Step) -> Next:
        """Take in a step and return what comes next."""
        match step:
            case Seen() if (step.by, step.where) == (self.by, self.here.where):
                return self._alone(step) if self.stage in ALONE else self._seen(step)
            case Unhooked() if self.stage == GAUGE_OFF:
                return self._unhooked(step)
            case Turned():
                return self._turned(step)
            case Blipped():
                self.here.loosen()
            case Ridden() if self.stage in {STAYS, GAUGE_OFF, CROSS}:
                self.ridden = True
                return self._enter(STAYS)
        return self.ask()

    def _turned(self, step: Turned) -> Next:
        self.turns += 1
        self.here.turn(step)
        if step.ended and not any(one.sixteenths for one in step.turns):
            return self._wont("idle out of reach", step.ended[0].side)
        return self.ask()

    def _seen(self, step: Seen) -> Next:
        self.readings += 1
        off = self.here.see(step)
        if self.stage == STAYS:
            return self._stays(step)
        if off > SURPRISES and self.here.since > 1 and not self._level(guarded=False):
            self.surprised += 1
            return self._wont("moves by itself") if self.surprised > 1 else self.ask(again=True)
        return self._judged()

    def _stays(self, step: Seen) -> Next:
        """Judge what is read after the blip: it must not be clearly off; one that is, is read again."""
        values = [(step.behind, step.behind_half), (step.revs, step.revs_half)]
        rows = zip(values, self.aim.at, self.aim.within, strict=True)
        if any(value is not None and abs(value - at) - half > within for (value, half), at, within in rows):
            return self.ask(again=True) if self.readings == 1 else self._wont("does not stay")
        self.settled = step.revs
        if self.ridden or self.setup.method == DROPS:
            return Done(closely=self._level())
        return self._enter(GAUGE_OFF if self.setup.cross_idle is None else CROSS)

    def _unhooked(self, step: Unhooked) -> Next:
        """Judge the idle with the gauge off: its ports must be as tight then."""
        self.readings += 1
        if self._other(step.revs):
            return self.ask(again=True) if self.readings == 1 else self._wont("changes without the gauge")
        return Done(closely=self._level())

    def _other(self, revs: float | None) -> bool:
        """Whether the idle is another than after the blip."""
        return revs is not None and self.settled is not None and abs(revs - self.settled) > OTHER_RPM

    def _judged(self) -> Next:
        if wont := self._amiss():
            return wont if self.here.since > 1 else self.ask(again=True)  # it may have moved by itself
        if self._level():
            return self._onwards()
        turn = self.here.next_turn(self.aim, self.stage)
        if turn is not None and self.readings < MOST_READINGS:
            return turn
        if turn is None and self.here.since <= MOST_AGAIN:
            return self.ask(again=True)
        return self._onwards() if self._level(guarded=False) else self._wont(self._not_reached())

    def _amiss(self) -> WontCome | None:
        if found := self.here.amiss():
            return self._wont(*found)
        return self._wont("far turn", self.here.far) if self.here.far else None

    def _level(self, *, guarded: bool = True) -> bool:
        return self.here.stand is not None and level(self.here.stand, self.aim, guarded=guarded)

    def _not_reached(self) -> Why:
        stand = self.here.stand
        if self.here.where == OFF_IDLE:
            return "does not come level off idle"
        out = stand is not None and abs(stand.value[1] - self.aim.at[1]) > self.aim.within[1]
        return "idle out of reach" if out else "does not come level"

    def _onwards(self) -> Next:
        """Go to the next stage, and say what to do there first."""
        if self.stage == CABLES:
            again = self.turns or self.rounds == 1
            return self._enter(STOPS_AGAIN) if again else self._to_blip()
        if self.stage == STOPS:
            return self._enter(CABLES)
        if self.turns and self.rounds < ROUNDS:
            self.rounds += 1
            return self._enter(CABLES)
        return self._to_blip()

    def _enter(self, stage: str) -> TakeReading:
        self.stage, self.readings, self.turns, self.surprised = stage, 0, 0, 0
        self.crossed = []
        self.here.loosen()
        return self.ask()

    def _to_blip(self) -> Next:
        self._enter(STAYS)
        return Blip()

    def _alone(self, step: Seen) -> Next:
        """Judge the other method's reading, before the balance or as a cross-check."""
        if self.stage == JOINS:
            return self._wont(DOES_NOTHING, self.weak)
        if self.stage != WORKS:
            return self._crossed(step)
        if step.behind and does_nothing(step):
            self.weak = behind(step)
            return self._enter(JOINS)
        return self._enter(STOPS)

    def _crossed(self, step: Seen) -> Next:
        """Judge the other method's reading: it must not say clearly otherwise.

        If it does without the gauge only, the gauge had covered a leak at its port.
        """
        self.readings += 1
        if step.behind is None or self.setup.cross_idle is None:
            return self.ask()
        if self.stage == CROSS and self._other(step.revs):
            return self._wont("changes without the gauge", behind(step))
        self.crossed.append(step)
        mean, half = _mean(self.crossed)
        otherwise = abs(mean) - half > self.setup.cross_idle
        if self.stage == CROSS_ON:
            covered = abs(mean) <= self.setup.cross_idle and abs(mean - self.off[0]) > math.hypot(half, self.off[1])
            return self._wont("changes without the gauge" if covered else PLUGS_SAY, self.weak)
        near = abs(mean) > self.setup.cross_idle and len(self.crossed) <= MOST_AGAIN
        if not otherwise and not near:
            return Done(closely=self._level())
        if near or len(self.crossed) == 1:
            return self.ask(again=True)
        self.weak, self.off = "left" if mean > 0 else "right", (mean, half)
        return self._enter(CROSS_ON)

    def _wont(self, why: Why, side: Side = None) -> WontCome:
        return WontCome(why=why, side=side or self.here.behind, where=self.here.where)


def does_nothing(step: Seen) -> bool:
    """Whether one plug is worth hardly anything beside the other."""
    low, high = sorted(step.sides or (1.0, 1.0))
    return low < DEAD_SHARE * high


def behind(step: Seen) -> Side:
    """Return the side whose throttle opens less, as far as a reading shows."""
    return "left" if (step.behind or 0.0) > 0 else "right"


def _mean(read: Sequence[Seen]) -> tuple[float, float]:
    """Return the mean of some readings of one thing, and the half-width it is trusted within."""
    values = [one.behind for one in read if one.behind is not None]
    half = math.hypot(*(one.behind_half for one in read)) / len(read)
    return math.fsum(values) / len(values), half
