"""A led balance played on the engine model, by a mechanic whose hands and instruments are a little off.

He answers what `advisor balance` asks, by the same questions and events, and turns what it says on a bike on its stand.
"""

import msgspec
import numpy as np

from advisor.case import Bike as Sheet
from advisor.case import Case, Means, Measured
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.observer.beginnings import history
from advisor.observer.bike_view import view
from advisor.observer.senses import SENSES, sense
from advisor.rulebase.model import Rulebase
from advisor.scoring.as_built import as_built
from advisor.scoring.balance_bikes import Truth, faulty, healthy, is_level, off, truly
from advisor.scoring.hidden_bikes import Hidden
from advisor.scoring.holder import Holder
from advisor.scoring.played import Played, played
from advisor.scoring.score import Task, advisor_of
from advisor.session import balance_so_far as so_far
from advisor.session.balance_asked import balance_question
from advisor.session.events import (
    BALANCE,
    BENCH,
    SEARCH,
    AtHand,
    Began,
    Event,
    Read,
    ScrewsTurned,
    SetUp,
    Throttled,
    WentOver,
)
from advisor.session.next_question import BALANCED, Question
from advisor.session.state import fold
from advisor.sides import BOTH, Side, Sided, sides_of
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.on_the_stand import OnTheStand
from advisor.virtual_bike.steady import HELD_RPM

HAND = 1 / 12  # turns: the furthest that a turn is off, either way
SETTLES_S = {so_far.GAUGES: 8.0, so_far.OIL_TUBE: 35.0, so_far.SHORTING: 6.0}
INSTRUMENT = {so_far.GAUGES: "gauges", so_far.OIL_TUBE: "tube", so_far.SHORTING: "gauges"}
WATCH_S = 3.5  # between looks at the rev counter
TIMES, SHORT_S = 3, 3.0  # how often each plug is shorted, and for how long
MOST_STEPS = 80
COOL_MIN = 3.0  # on the road, once a head is too hot
WENT_THROUGH = 0.5  # of those who balance have gone through what must be right before: judgement


class Balance(msgspec.Struct, frozen=True, kw_only=True):
    """How a led balance went: readings by stage, how it ended, how the bike stood before and after.

    `why` is empty where it was balanced; else why it went over. `place` is that of the true cause in the search that
    follows (0: not ranked, or there is none), `search` that search, where it was played on.
    """

    seed: int
    method: str
    cause: str
    why: str
    readings: dict[str, int]
    before: Truth
    after: Truth
    place: int = 0
    minutes: float = 0.0
    search: Played | None = None

    @property
    def level(self) -> bool:
        """Whether it stands within what counts as balanced, idle and columns."""
        return is_level(self.after)

    @property
    def idle_right(self) -> bool:
        """Whether columns at idle, and the idle, are within what counts as balanced."""
        return is_level(msgspec.structs.replace(self.after, held_mmhg=0.0))

    @property
    def worse(self) -> bool:
        """Whether it was left worse than it was found, by more than an instrument tells."""
        return off(self.after) > max(1.0, off(self.before))


class Mechanic:
    """Somebody who does what a led balance asks, on a bike on its stand."""

    def __init__(
        self, bike: Bike, method: str, rng: np.random.Generator, base: Rulebase, *, ready: bool = True
    ) -> None:
        """Put the bike on its stand; `ready` is what is said of it before."""
        self.stand = OnTheStand(bike, rng, INSTRUMENT[method])
        self.method, self.rng, self.base = method, rng, base
        self.zero = self.stand.at_rest()
        if method == so_far.SHORTING:
            self.stand.hook(on=False)
        self.readings: dict[str, int] = {}
        cross = () if method == so_far.SHORTING else (SetUp(so_far.CROSS, so_far.YES),)
        self.events: list[Event] = [
            Began(BALANCE, ""),
            AtHand(Means(person=base.persons[-1], tools=None, engine="warm")),
            SetUp(so_far.READY, so_far.YES if ready else so_far.NO),
            SetUp(so_far.METHOD, method),
            *cross,
            SetUp(so_far.MIXTURES, so_far.NOW),
            SetUp(so_far.BY, so_far.BY_REVS),
        ]

    def play(self) -> Question:
        """Go on until it is balanced or goes over; return the last question."""
        case = Case(title="", bike=Sheet(), complaint="", seen=(), measured=(), means=self.events[1].means)  # type: ignore[union-attr]
        for _ in range(MOST_STEPS):
            asked = balance_question(so_far.led(self.events, self.base), case, self.base)
            if asked.kind == BALANCED or not self._do(asked):
                return asked
        return asked

    def _do(self, asked: Question) -> bool:
        """Do what is asked; False once it goes over to the search."""
        if self.stand.overheats:
            self.stand.ride(COOL_MIN)
        went = [self._turn(one.side, one.screw, one.turns) for one in asked.turns]
        if asked.turns and not any(went):
            self.events.append(asked.options[-1].event or ScrewsTurned((), asked.turns))
            return not isinstance(self.events[-1], WentOver)
        if asked.takes:
            self._read(asked)
        elif isinstance(over := asked.options[0].event, WentOver) and over.to == SEARCH:
            self.events.append(over)
            return False
        else:
            event = asked.options[0].event
            if isinstance(event, Throttled):
                self._blip()
            elif isinstance(event, ScrewsTurned):
                for one in event.turns:
                    self._turn(one.side, one.screw, one.turns)
            self.events.append(event)  # type: ignore[arg-type]
        return True

    def _turn(self, side: Side, screw: str, turns: float) -> bool:
        wanted = turns + float(self.rng.uniform(-HAND, HAND)) * (0.5 if screw == "mixture screw" else 1.0)
        wanted = wanted if wanted * turns > 0 else turns / 2
        return abs(self.stand.turn(side, screw, wanted)) > abs(wanted) / 4  # else its thread has ended

    def _blip(self) -> None:
        for _ in range(TIMES):
            self.stand.blip()
            self.stand.read(3.0)

    def _read(self, asked: Question) -> None:
        name = asked.takes[0]
        stage = asked.title.partition(":")[0]
        self.readings[stage] = self.readings.get(stage, 0) + 1
        if not self.stand.runs and not self.stand.start():
            self.events.append(Read((), turned=asked.turns))
            return
        if self.method != so_far.SHORTING:
            self.stand.hook(on=not asked.title.startswith("Without the gauge"))
        taken = self._drops(name) if name.startswith("drop") else self._columns(name) if name != so_far.REVS else []
        revs = self._revs() if so_far.REVS in asked.takes else []
        self.events.append(Read(tuple(taken + revs), turned=asked.turns))

    def _revs(self) -> list[Measured]:
        watched = [self.stand.read(WATCH_S).revs for _ in range(TIMES)]
        runs = [one for one in watched if one is not None]
        return spoken(so_far.REVS, f"{np.mean(runs):.0f} rpm", self.base) if len(runs) == TIMES else []

    def _columns(self, name: str) -> list[Measured]:
        held = name == "column-off-idle"
        self.stand.hold(HELD_RPM if held else None)
        if not held:
            self.stand.blip()
        shown = self.stand.read(SETTLES_S[self.method])
        self.stand.hold(None)
        if shown.revs is None:
            return []
        left, right = shown.left - self.zero[0], shown.right - self.zero[1]
        if self.method == so_far.OIL_TUBE:
            ahead = "left" if left > right else "right"
            return spoken(name, f"{ahead} more by {abs(left - right):.0f} mm of 860 kg/m3", self.base)
        return spoken(name, f"left {max(left, 0):.0f} mmHg right {max(right, 0):.0f} mmHg", self.base)

    def _drops(self, name: str) -> list[Measured]:
        held = name == "drop-off-idle"
        said: dict[Side, list[str]] = {side: [] for side in BOTH}
        for _ in range(TIMES):
            for side in BOTH:
                if not self.stand.runs and not self.stand.start():
                    return []
                self.stand.hold(HELD_RPM if held else None)
                before = self.stand.read(4.0).revs
                self.stand.short(side)
                after = self.stand.read(SHORT_S).revs
                self.stand.short(None)
                self.stand.hold(None)
                if before is not None:
                    said[side].append(f"{max(before - after, 0):.0f} rpm" if after else "stalls")
        line = " ".join(f"{side} {', '.join(figures)}" for side, figures in said.items() if figures)
        return spoken(name, line, self.base) if all(said.values()) else []


def play(
    bike: Bike,
    seed: int,
    advisor: Advisor,
    method: str = so_far.GAUGES,
    *,
    hidden: Hidden | None = None,
    goes_on: bool = False,
) -> Balance:
    """Play a led balance on a bike; `hidden` is what is truly wrong with it, if anything is.

    With `goes_on` the search that it goes over to is played on.
    """
    rng = np.random.default_rng([seed, 3])
    before = truly(bike)
    ready = hidden is None or (rng.random() < WENT_THROUGH and not _shows_before(bike, advisor.base))
    hand = Mechanic(bike, method, rng, advisor.base, ready=ready)
    asked = hand.play()
    over = hand.events[-1] if isinstance(hand.events[-1], WentOver) else None
    handed = over is not None and hidden is not None
    return Balance(
        seed=seed,
        method=method,
        cause=hidden.causes[0][0] if hidden else "",
        why="" if asked.kind == BALANCED else over.why if over else "too many steps",
        readings=hand.readings,
        before=before,
        after=truly(hand.stand.bike),
        place=_place(hidden.causes[0], fold(hand.events, advisor.base).case, advisor) if hidden and handed else 0,
        minutes=hand.stand.read(0.0).time_s / 60,
        search=_search(hand, hidden, seed, advisor) if hidden and handed and goes_on else None,
    )


def _shows_before(bike: Bike, base: Rulebase) -> bool:
    """Whether somebody who goes through what must be right before a balance finds something wrong."""
    seen = view(bike)
    signs = [sign for area in base.areas for one in area.ready.values() for sign in one if sign in SENSES]
    return any(sense(seen, sign, side) for sign in signs for side in sides_of(base.signs[sign].sided))


def _search(hand: Mechanic, hidden: Hidden, seed: int, advisor: Advisor) -> Played:
    """Return the search that a balance went over to, on the bike as the balance left it."""
    faults = [cause for cause, _ in hidden.causes]
    holder = Holder(
        advisor,
        hidden.causes,
        seed,
        words="",
        bike=as_built(advisor.base, faults),
        seen=view(hand.stand.bike),
        told=history(faults, np.random.default_rng([seed, 8])),
    )
    return played(advisor, holder, BENCH, str(seed), 0.0, before=hand.events)


def batch(task: Task) -> list[Balance]:
    """Return the balances of one batch: of each number a sound bike with gauges and by shorting, and a faulty one."""
    advisor, found = advisor_of(task.folders), list[Balance]()
    for number in range(task.start, task.start + task.count):
        seed = task.seed * 1_000_003 + number
        sound, hidden = healthy(seed), faulty(seed)
        found += [play(sound, seed, advisor, method) for method in (so_far.GAUGES, so_far.SHORTING)]
        found.append(play(hidden.bike, seed, advisor, hidden=hidden, goes_on=number < task.planned))
    return found


def _place(cause: Sided, case: Case, advisor: Advisor) -> int:
    """Return the place of a cause in the search on this case; 0 if it is not ranked."""
    report = advisor.diagnose(case, gone_into=0)
    return next((at for at, one in enumerate(report.causes, start=1) if (one.id, one.side) == cause), 0)
