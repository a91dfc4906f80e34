"""One practice round: a bike with a hidden fault, the moves of whoever looks for it, and how it ended. Draws nothing.

The same seed, level and area with the same moves give the same answers.
"""

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np

from advisor.case import SignReport
from advisor.chain.run import Chained
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.bike_view import View
from advisor.observer.complaint import UNASKED
from advisor.observer.senses import sensed
from advisor.observer.severity import trouble
from advisor.observer.taken_reading import Taken
from advisor.plan.candidates import Scene, feasible, scene
from advisor.plan.cost import RETEST
from advisor.plan.deciding import settling
from advisor.practice.levels import GONE, LEVELS, drawn, faults, place_of
from advisor.rulebase.model import Check
from advisor.scoring.check_result import Answer
from advisor.scoring.hidden_bikes import Hidden
from advisor.scoring.log_odds import given, raised
from advisor.scoring.stand import Stand
from advisor.session.events import Told
from advisor.sides import BOTH, Side, Sided, fill, other, sides_of

RIGHT, HALF, WRONG, GIVEN_UP = "right", "half right", "wrong", "given up"
DO, FIX = "check", "fix"
MOST_STILL = 4  # signs that the rider tells after a repair
SPOKE = 0.5  # bits of odds by which checks that do not decide a cause must have raised it to speak for it: judgement
LIKELY = 0.5  # a cause that is as likely as this was not put right blindly: judgement


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """A check or a repair that was done. `given` is what the ranking gave to the likeliest fault, before and after.

    `settled` says whether it was a fault's deciding check and spoke for it; `still` what the rider perceives after a
    repair, `set_anew` whether stops and cables had been set around the fault. A repair on `both` sides has its first
    side in `side`; `likely` is what the ranking gave to its cause before it, `in_vain` its minutes on what was sound.
    """

    kind: str
    id: str
    side: Side
    minutes: float
    says: str = ""
    readings: dict[str, Taken] = {}
    cautions: tuple[str, ...] = ()  # those not shown before
    as_before: tuple[str, ...] = ()  # the other ones
    given: tuple[float, float] = (0.0, 0.0)
    settled: bool = False
    stages: tuple[int, ...] = ()  # stages in which something had been done before
    right: bool = False
    still: tuple[Sided, ...] = ()
    quiet: bool = False  # whether the rider perceives nothing, and no trouble is clearly there
    set_anew: bool = False
    cured: tuple[Sided, ...] = ()
    both: bool = False
    likely: float = 0.0
    spoken: bool = False  # whether anything known had spoken for the cause that was put right
    in_vain: float = 0.0

    @property
    def blind(self) -> bool:
        """Whether a cause was put right for which nothing had spoken."""
        return self.kind == FIX and not self.spoken

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
    """A bike to practise on. `over` is empty until it was fixed, named or given up."""

    def __init__(self, advisor: Advisor, seed: int, level: str, area: str = "") -> None:
        """Draw the bike and let the rider tell. Raises AdvisorError for an area without a fault to plant."""
        self.advisor, self.base, self.seed, self.level = advisor, advisor.base, seed, level
        self.area = place_of(area, self.base)
        self.hidden, self.first = drawn(seed, level, faults(self.base, self.area))
        self.stand = self.fresh_stand()
        self.complaint = self.stand.complain()
        self.steps: list[Step] = []
        self.named: tuple[Sided, ...] = ()
        self.over = ""
        self._cautioned: set[str] = set()
        self._known: tuple[Chained, dict[Sided, float]] | None = None
        self._decided: set[Sided] = set()  # causes whose deciding check spoke for them
        self._opening: dict[Sided, float] = {}  # what the ranking made of the complaint alone

    def fresh_stand(self) -> Recorded:
        """Return the same bike as it came in, nothing told or done."""
        return Recorded(self.advisor, self.hidden, self.first, np.random.default_rng([self.seed, len(LEVELS)]))

    @property
    def minutes(self) -> float:
        """The clock."""
        return self.stand.minutes

    def ranked(self) -> dict[Sided, float]:
        """Return what the ranking makes of all that is known: every cause's probability."""
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
        """Whether this check was done already, and nothing was put right since."""
        return self.earlier(DO, check, side) is not None

    def earlier(self, kind: str, name: str, side: Side) -> Step | None:
        """Return when this was done already: a check since the last repair, a repair at any time. None for not yet."""
        for one in reversed(self.steps):
            if (one.kind, one.id) == (kind, name) and (one.both or one.side == side):
                return one
            if kind == DO and one.kind == FIX:
                return None
        return None

    def do(self, check: str, side: Side) -> Step:
        """Do a check. Raises AdvisorError, and takes no time, where it cannot be done."""
        page, here = self.base.checks[check], self.scene()
        if not feasible(page, side, here, self.base):
            raise AdvisorError(_why_not(page, side, here))
        before, stages, clock = given(self.ranked(), self.stand.left), self._stages(), self.minutes
        found = self.stand.do(check, side)
        self._known = None
        self._decided |= self._speaks_for(check, found.findings)
        fresh, again = self._new(page.cautions)
        step = Step(
            kind=DO,
            id=check,
            side=side,
            minutes=self.minutes - clock,
            says=found.says,
            readings=found.readings,
            cautions=fresh,
            as_before=again,
            given=(before, given(self.ranked(), self.stand.left)),
            settled=any(self._settles(one, check, found.findings) for one in self.stand.left),
            stages=stages,
        )
        self.steps.append(step)
        return step

    def _speaks_for(self, check: str, findings: Mapping[Sided, bool]) -> set[Sided]:
        """Return the causes which a check decides, and for which it spoke."""
        pages = [one for one in self.base.causes.values() if one.settled_by == check]
        return {
            (one.id, side)
            for one in pages
            for side in sides_of(one.sided)
            if self._settles((one.id, side), check, findings)
        }

    def _settles(self, fault: Sided, check: str, findings: Mapping[Sided, bool]) -> bool:
        """Whether a check is the one that decides this fault, and spoke for it."""
        page = self.base.causes[fault[0]]
        return page.settled_by == check and any(findings.get(key) for key in settling(page, fault[1], self.base))

    def fix(self, cause: str, side: Side, *, both: bool = False) -> Step:
        """Put a cause right, run the bike again and ask the rider. It is over once no fault is left.

        On `both` sides it is one job with one trial run.
        """
        clock, stages, were, around = self.minutes, self._stages(), dict(self.stand.left), self.stand.set_around
        sides = BOTH if both else (side,)
        likely, spoken = self._spoken(cause, sides)
        sound = self._put_right(cause, sides)
        self._known = None
        cured = tuple(one for one in were if one not in self.stand.left)
        fresh, again = self._new(self.base.causes[cause].cautions)
        still = self._still()
        step = Step(
            kind=FIX,
            id=cause,
            side=sides[0],
            both=both,
            minutes=self.minutes - clock,
            cautions=fresh,
            as_before=again,
            stages=stages,
            right=bool(cured),
            set_anew=bool(cured) and around,
            cured=cured,
            still=still[:MOST_STILL],
            quiet=not still and trouble(self.stand.view) < GONE,
            likely=likely,
            spoken=spoken,
            in_vain=sound if cured else self.minutes - clock,
        )
        self.steps.append(step)
        if not self.stand.left:
            self.over = RIGHT
        return step

    def _spoken(self, cause: str, sides: Sequence[Side]) -> tuple[float, bool]:
        """Return how likely a cause is on the likeliest of these sides, and whether anything spoke for it there."""
        chances = self.ranked()
        found = [(chances[cause, side], raised(self._opening[cause, side], chances[cause, side])) for side in sides]
        likely = max(chance for chance, _ in found)
        decided = any((cause, side) in self._decided for side in sides)
        return likely, decided or likely >= LIKELY or any(bits >= SPOKE for _, bits in found)

    def _put_right(self, cause: str, sides: Sequence[Side]) -> float:
        """Put a cause right on these sides in one job; return the minutes of the work on a side that was sound."""
        work, at_once, sound = self.base.causes[cause].minutes, self.base.causes[cause].both_sides, 0.0
        for number, side in enumerate(sides):
            cured = self.stand.put_right(cause, side)
            if number:
                self.stand.minutes -= RETEST + (work if at_once else 0.0)
            sound += 0.0 if cured or at_once else work
        return sound

    def _still(self) -> tuple[Sided, ...]:
        """Return what the rider perceives now, what he complained of first; it is known from then on."""
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

    def told(self, key: Sided) -> str:
        """Return a sign in a rider's plain words."""
        return fill(self.base.signs[key[0]].plain, key[1])

    def _stages(self) -> tuple[int, ...]:
        return tuple(
            sorted({self.base.order_of(self.base.checks[one.id].place) for one in self.steps if one.kind == DO})
        )

    def warn_anew(self) -> None:
        """Show every caution in full once more: who goes on another day has not just read it."""
        self._cautioned.clear()

    def _new(self, cautions: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the cautions that were not shown before, and the others."""
        fresh = tuple(one for one in cautions if one not in self._cautioned)
        self._cautioned.update(fresh)
        return fresh, tuple(one for one in cautions if one not in fresh)


def _why_not(check: Check, side: Side, here: Scene) -> str:
    title = fill(check.title, side)
    if here.forbidden & set(check.involves):
        return f"'{title}': not now, by what is known the engine must not be {' or '.join(sorted(here.forbidden))}"
    return f"'{title}': not on this bike as it is known now; 'list' shows what can be done"
