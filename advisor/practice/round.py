"""One practice round: a bike with a hidden fault, what was done to find it, and how it ended. Draws nothing.

The same bike and the same steps give the same answers.
"""

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np

from advisor.case import SignReport
from advisor.chain.run import Chained
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.bike_view import View, view
from advisor.observer.complaint import UNASKED
from advisor.observer.senses import sensed
from advisor.observer.severity import trouble
from advisor.observer.taken_reading import Taken
from advisor.plan.candidates import Scene, feasible, scene
from advisor.plan.cost import RETEST
from advisor.plan.deciding import settling
from advisor.practice.levels import LEVELS, NOTICED, BikeId, draw_bike, faults_of
from advisor.practice.stages import place_meant
from advisor.rulebase.model import Check
from advisor.scoring.check_result import Answer
from advisor.scoring.hidden_bikes import Hidden
from advisor.scoring.log_odds import given, raised
from advisor.scoring.stand import Stand
from advisor.session.events import Told
from advisor.sides import BOTH, Side, Sided, fill, other, sides_of

RIGHT, HALF, WRONG, GIVEN_UP = "right", "half right", "wrong", "given up"  # how a round ends
CHECK, FIX = "check", "fix"  # kinds of steps
GONE, NOT_GONE, UNNOTICED, ROUGH = "gone", "not gone", "unnoticed", "rough"  # what a repair did
MOST_STILL = 4  # signs that the rider tells after a repair
SPOKE = 0.5  # bits by which checks must have raised a cause's odds to have spoken for it: judgement
WHAT_CAN = "'list' shows what can be done"
LIKELY = 0.5  # a cause this likely is reason enough for a repair: judgement


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """A check or a repair that was done, with its minutes.

    `cautions` are those not shown before, `as_before` the others.
    Of a check: `chances` is the probability that the ranking gave to the likeliest fault before and after it,
    `settled` whether it was a fault's deciding check and spoke for it.
    Of a repair: on `both` sides it has its first side in `side`. `outcome` is GONE (no fault is left), NOT_GONE (the
    rider still notices what is in `still`), UNNOTICED or ROUGH (he does not, yet it does not run as it should);
    `set_again` says whether stops and cables had been set around the fault. `likely` is the probability of the cause
    before it, `spoken_for` whether anything known spoke for the cause, `in_vain` the minutes spent on what was sound.
    """

    kind: str
    id: str
    side: Side
    minutes: float
    says: str = ""
    readings: dict[str, Taken] = {}
    cautions: tuple[str, ...] = ()
    as_before: tuple[str, ...] = ()
    chances: tuple[float, float] = (0.0, 0.0)
    settled: bool = False
    both: bool = False
    outcome: str = ""
    cured: tuple[Sided, ...] = ()
    still: tuple[Sided, ...] = ()
    set_again: bool = False
    likely: float = 0.0
    spoken_for: bool = False
    in_vain: float = 0.0

    @property
    def right(self) -> bool:
        """Whether a repair put a fault right."""
        return bool(self.cured)

    @property
    def blind(self) -> bool:
        """Whether a cause was put right for which nothing had spoken."""
        return self.kind == FIX and not self.spoken_for

    @property
    def wrong_side(self) -> bool:
        """Whether a repair cured something, but only on the side that was not said."""
        said = self.side is not None and not self.both
        return said and bool(self.cured) and all(side == other(self.side) for _, side in self.cured)


class Recorded(Stand):
    """A stand that keeps what each check said, by the minutes on the clock when it was done."""

    def __init__(self, advisor: Advisor, hidden: Hidden, seen: View, rng: np.random.Generator) -> None:
        """Put the bike on the stand; `seen` is its view."""
        super().__init__(advisor, hidden, seen, rng)
        self.heard: dict[float, str] = {}

    def do(self, check: str, side: Side) -> Answer:
        """Do a check, and keep its words."""
        found = super().do(check, side)
        self.heard[self.minutes] = found.says
        return found


class Round:
    """A bike to practise on. `over` is empty until its faults are put right or named, or the user gives up."""

    def __init__(self, advisor: Advisor, bike: BikeId, hidden: Hidden, seen: View | None = None) -> None:
        """Take a bike with its hidden faults, and let the rider complain; `seen` is its view, if known."""
        self.advisor, self.base, self.bike, self.hidden = advisor, advisor.base, bike, hidden
        self.brought_in = seen or view(hidden.bike)
        self.stand = self.fresh_stand()
        self.complaint = self.stand.complain()
        self.steps: list[Step] = []
        self.named: tuple[Sided, ...] = ()
        self.over = ""
        self._cautioned: set[str] = set()
        self._known: tuple[Chained, dict[Sided, float]] | None = None
        self._decided: set[Sided] = set()  # causes whose deciding check spoke for them
        self._opening: dict[Sided, float] = {}  # the ranking on the complaint alone

    @classmethod
    def drawn(cls, advisor: Advisor, seed: int, level: str, area: str = "") -> "Round":
        """Draw the bike. Raises AdvisorError for an area without a fault to plant."""
        bike = BikeId(seed=seed, level=level, area=place_meant(area, advisor.base))
        hidden, seen = draw_bike(bike, faults_of(bike.area, advisor.base))
        return cls(advisor, bike, hidden, seen)

    def fresh_stand(self) -> Recorded:
        """Return the same bike as it came in, nothing told or done."""
        rng = np.random.default_rng([self.bike.seed, len(LEVELS)])
        return Recorded(self.advisor, self.hidden, self.brought_in, rng)

    @property
    def minutes(self) -> float:
        """The clock."""
        return self.stand.minutes

    def ranked(self) -> dict[Sided, float]:
        """Return every cause's probability on all that is known."""
        chances = self._ranking()[1]
        if not self.steps:
            self._opening = chances
        return chances

    def _ranking(self) -> tuple[Chained, dict[Sided, float]]:
        if self._known is None:
            chained, ranking = self.advisor.rank(self.stand.case)
            self._known = chained, dict(zip(ranking.network.causes, ranking.posterior.causes, strict=True))
        return self._known

    def scene(self) -> Scene:
        """Return what decides which checks can be done now."""
        chained, _ = self._ranking()
        return scene(self.base, self.stand.case, chained.signs, chained.forbidden)

    def done(self, check: str, side: Side) -> bool:
        """Whether this check was done, and nothing was put right since."""
        return self.earlier(CHECK, check, side) is not None

    def earlier(self, kind: str, name: str, side: Side) -> Step | None:
        """Return the step that did this before: a check since the last repair, a repair at any time; None for none."""
        for one in reversed(self.steps):
            if (one.kind, one.id) == (kind, name) and (one.both or one.side == side):
                return one
            if kind == CHECK and one.kind == FIX:
                return None
        return None

    def do(self, check: str, side: Side) -> Step:
        """Do a check. Raises AdvisorError, and takes no time, if it cannot be done."""
        page, here = self.base.checks[check], self.scene()
        if not feasible(page, side, here, self.base):
            raise AdvisorError(_why_not(page, side, here), WHAT_CAN)
        before, clock = given(self.ranked(), self.stand.left), self.minutes
        found = self.stand.do(check, side)
        self._known = None
        self._decided |= self._speaks_for(check, found.findings)
        cautions, as_before = self._cautions(page.cautions)
        step = Step(
            kind=CHECK,
            id=check,
            side=side,
            minutes=self.minutes - clock,
            says=found.says,
            readings=found.readings,
            cautions=cautions,
            as_before=as_before,
            chances=(before, given(self.ranked(), self.stand.left)),
            settled=any(self._settles(one, check, found.findings) for one in self.stand.left),
        )
        self.steps.append(step)
        return step

    def _speaks_for(self, check: str, findings: Mapping[Sided, bool]) -> set[Sided]:
        """Return the causes that a check decides, and spoke for."""
        pages = [one for one in self.base.causes.values() if one.settled_by == check]
        sided = [(one.id, side) for one in pages for side in sides_of(one.sided)]
        return {one for one in sided if self._settles(one, check, findings)}

    def _settles(self, fault: Sided, check: str, findings: Mapping[Sided, bool]) -> bool:
        """Whether a check is the one that decides this fault, and spoke for it."""
        page = self.base.causes[fault[0]]
        return page.settled_by == check and any(findings.get(key) for key in settling(page, fault[1], self.base))

    def fix(self, cause: str, side: Side, *, both: bool = False) -> Step:
        """Put a cause right, run the bike and ask the rider. The round is over once no fault is left.

        On `both` sides it is one job with one trial run.
        """
        clock, were, around = self.minutes, tuple(self.stand.left), self.stand.set_around
        sides = BOTH if both else (side,)
        likely, spoken_for = self._spoken_for(cause, sides)
        on_sound = self._put_right(cause, sides)
        self._known = None
        cured = tuple(one for one in were if one not in self.stand.left)
        cautions, as_before = self._cautions(self.base.causes[cause].cautions)
        still = self._still()
        step = Step(
            kind=FIX,
            id=cause,
            side=sides[0],
            both=both,
            minutes=self.minutes - clock,
            cautions=cautions,
            as_before=as_before,
            outcome=self._outcome(still),
            cured=cured,
            still=still[:MOST_STILL],
            set_again=bool(cured) and around,
            likely=likely,
            spoken_for=spoken_for,
            in_vain=on_sound if cured else self.minutes - clock,
        )
        self.steps.append(step)
        if not self.stand.left:
            self.over = RIGHT
        return step

    def _spoken_for(self, cause: str, sides: Sequence[Side]) -> tuple[float, bool]:
        """Return how likely a cause is on the likeliest of these sides, and whether anything spoke for it there."""
        chances = self.ranked()
        found = [(chances[cause, side], raised(self._opening[cause, side], chances[cause, side])) for side in sides]
        likely = max(chance for chance, _ in found)
        decided = any((cause, side) in self._decided for side in sides)
        return likely, decided or likely >= LIKELY or any(bits >= SPOKE for _, bits in found)

    def _put_right(self, cause: str, sides: Sequence[Side]) -> float:
        """Put a cause right on these sides in one job; return the minutes of the work on a side that was sound."""
        page, on_sound = self.base.causes[cause], 0.0
        at_once = page.both_sides
        for number, side in enumerate(sides):
            cured = self.stand.put_right(cause, side)
            if number:  # no second trial run, and no second job where the page's minutes are for both
                self.stand.minutes -= RETEST + (page.minutes if at_once else 0.0)
            on_sound += 0.0 if cured or at_once else page.minutes
        return on_sound

    def _outcome(self, still: Sequence[Sided]) -> str:
        """Return what a repair did, by what is left and what the rider still notices."""
        if not self.stand.left:
            return GONE
        if still:
            return NOT_GONE
        return UNNOTICED if trouble(self.stand.view) < NOTICED else ROUGH

    def _still(self) -> tuple[Sided, ...]:
        """Return what the rider notices now, complaints first; it is known from then on."""
        base = self.base
        rides = {sign.id for sign in base.signs.values() if sign.seen_by == base.persons[0]} & UNASKED
        seen = sensed(self.stand.view, rides | {sign for sign, _ in self.complaint})
        asked = [key for key in self.complaint if key in seen]
        how = base.words.opening
        reports = tuple(
            SignReport(sign=sign, side=side, seen=seen[sign, side] is True, how=how) for sign, side in asked
        )
        if reports:
            self.stand.events.append(Told(reports))
        there = [key for key, yes in seen.items() if yes]
        return tuple(sorted(there, key=lambda key: key not in asked))

    def name(self, causes: Sequence[Sided]) -> str:
        """Say what it is, and end; return how right that was."""
        left, said = set(self.stand.left), set(causes)
        self.named = tuple(dict.fromkeys(causes))
        self.over = RIGHT if said == left else HALF if said & left or len(left) < len(self.hidden.faults) else WRONG
        return self.over

    def give_up(self) -> None:
        """End without a cause."""
        self.over = GIVEN_UP

    def caution_again(self) -> None:
        """Show every caution in full once more: a user who goes on another day has not just read it."""
        self._cautioned.clear()

    def _cautions(self, names: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the cautions that were not shown before, and the others."""
        fresh = tuple(one for one in names if one not in self._cautioned)
        self._cautioned.update(fresh)
        return fresh, tuple(one for one in names if one not in fresh)


def _why_not(check: Check, side: Side, here: Scene) -> str:
    title = fill(check.title, side)
    if here.forbidden & set(check.involves):
        return f"'{title}': not now, by what is known the engine must not be {' or '.join(sorted(here.forbidden))}"
    return f"'{title}': not on this bike as it is known now"
