"""One bike on the stand: what was told and done so far as a session's events, and the minutes it took."""

from collections.abc import Collection, Mapping

import msgspec
import numpy as np
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured, SignReport
from advisor.chain.run import MEASURED
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.observer.beginnings import history
from advisor.observer.bike_view import Pair, View, view
from advisor.observer.complaint import complaint
from advisor.observer.readings_taken import FIGURES, NOT_READ, SHEET, take
from advisor.observer.taken_reading import Taken
from advisor.observer.turning import SETTINGS, put_back, stands, turned
from advisor.plan.candidates import Scene, scene
from advisor.plan.choose import plan
from advisor.plan.cost import RETEST, minutes
from advisor.plan.deciding import settling
from advisor.quantities import convert
from advisor.rank.joint import Joint
from advisor.rulebase.model import Check, Rulebase
from advisor.scoring.check_result import NOBODY, SLIPS, Answer, answer
from advisor.scoring.draw import MISSET, Hidden, cause_of, planted
from advisor.session.events import Answered, AtHand, Began, Event, OfBike, PutRight, Read, RuledOut, Skipped, Told
from advisor.session.state import fold
from advisor.sides import BOTH, Side, Sided, sides_of
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike as Engine

# What the virtual bike is built with, by the rule base's parts.
PARTS = {
    "plugs": "plain",
    "caps": "resistor",
    "mixture-screw": "fuel",
    "vacuum-ports": "fitted",
    "secondary-air": "none",
    "ignition": "points",
    "coils": "separate",
}
# What a fault itself tells of the parts: without it there would be no such fault.
PARTS_OF = {"too-much-resistance": {"plugs": "resistor"}, "coil-common-failing": {"coils": "double-ended"}}
# What one repair puts right besides, on its side: a new plug is neither fouled nor wrong in its gap, points are set
# with the timing, settings are made anew as a whole.
ALSO_CURES = {
    "plug-dead": {"plug-fouled", "plug-gap-wrong"},
    "lead-damaged": {"cap-or-lead-failing"},
    "cable-slack-unequal": {"no-cable-slack"},
    "no-cable-slack": {"cable-slack-unequal"},
    "points-burnt": {"points-gap-wrong", "timing-wrong"},
    "points-gap-wrong": {"timing-wrong"},
    "timing-wrong": {"points-gap-wrong"},
    "compression-lost": {"clearance-tight", "clearance-wide"},  # they are set first, and again with the head back on
    "clearance-wide": {"clearance-tight"},
    "clearance-tight": {"clearance-wide"},
    "set-too-cold": {"set-too-hot", "out-of-adjustment"},
    "set-too-hot": {"set-too-cold", "out-of-adjustment"},
    "out-of-adjustment": {"set-too-cold", "set-too-hot"},
}
# Repairs done to both sides, as their pages say: a new pair of plugs, both gaps, all clearances, both cables alike.
ON_BOTH_SIDES = frozenset({"plug-dead", "plug-gap-wrong", "clearance-tight", "cable-slack-unequal", "no-cable-slack"})
SET_AGAIN = 15.0  # minutes for stops and cables that had been set around a fault: judgement
# The readings that a mechanic may bring along, and how often: judgement.
OPENING = {"idle-speed": 0.9, "column-idle": 0.7, "column-off-idle": 0.6, "drop-idle": 0.6, "drop-off-idle": 0.3}


class Planned(msgspec.Struct, frozen=True):
    """The cause to go for, or else the check that comes first.

    A cause that is `proven` is put right; any other one is gone for by its deciding check.
    """

    goes_for: Sided | None
    proven: bool
    check: Sided | None


class Level(msgspec.Struct, frozen=True):
    """A screw that was left where it brought the sides level: on which side, and where it had stood, left and right."""

    side: Side
    stood: Pair


class Stand:
    """A hidden bike and all that is known of it. Answers come from the model, never from the rules."""

    def __init__(
        self, advisor: Advisor, hidden: Hidden, seen: View, rng: np.random.Generator, *, slips: float = SLIPS
    ) -> None:
        """Put the bike on the stand; `seen` is its view."""
        self.advisor, self.hidden, self.view, self.rng, self.slips = advisor, hidden, seen, rng, slips
        self.told = history([cause for cause, _ in hidden.causes], rng)
        self.events: list[Event] = [
            Began("bench", ""),
            AtHand(Means(person=advisor.base.persons[-1], tools=None, engine="")),
            OfBike(Bike(parts=parts(hidden), figures=sheet(advisor.base))),
        ]
        self.minutes = 0.0
        self.left = dict.fromkeys(hidden.causes)
        self.in_vain: set[Sided] = set()  # causes looked at once in vain
        self.set_around = hidden.set_around
        self.turned: dict[str, Level] = {}  # screws that were left where they brought it level, by their signs

    @property
    def case(self) -> Case:
        """All that is known so far, as a case."""
        return fold(self.events, self.advisor.base).case

    def complain(self) -> tuple[Sided, ...]:
        """Let the rider tell what is wrong; return the signs."""
        base = self.advisor.base
        by_rider = [sign.id for sign in base.signs.values() if sign.seen_by == base.persons[0]]
        settles = {sign for one in self.left for sign, _ in settling(base.causes[one[0]], one[1], base)}
        signs = tuple(complaint(self.view, self.told, self.rng, by_rider, settles))
        how = base.words.opening
        self.events.append(Told(tuple(SignReport(sign=sign, side=side, seen=True, how=how) for sign, side in signs)))
        return signs

    def measure(self, chances: Mapping[str, float] = OPENING) -> tuple[str, ...]:
        """Take some readings, each as often as its chance says; return which."""
        names = tuple(name for name, chance in chances.items() if self.rng.random() < chance)
        readings = [
            one for name in names for one in _measured(self.advisor.base, name, take(self.view, name, self.rng))
        ]
        if readings:
            self.events.append(Read(tuple(readings)))
        return names

    def scene(self) -> Scene:
        """Return what decides which checks can be done on this bike as it stands."""
        chained = self.advisor.chained(self.case)
        return scene(self.advisor.base, self.case, chained.signs, chained.forbidden)

    def do(self, check: str, side: Side) -> Answer:
        """Do a check; what it shows and reads is known from then on, and its minutes are gone."""
        base = self.advisor.base
        self.minutes += minutes(base.checks[check], side, self.case.opened, base)
        by_hand, after = self._turned(base.checks[check])
        if by_hand is None:
            return self._nobody(check, side)
        readings = self._taken(check, side)
        measured = [one for name, taken in readings.items() for one in _measured(base, name, taken)]
        told = self.told | self._read_off(measured) | by_hand
        found = answer(base, check, side, self.view, self.rng, slips=self.slips, told=told, readings=readings)
        how = base.checks[check].how
        reports = tuple(
            SignReport(sign=sign, side=at, seen=seen, how=how) for (sign, at), seen in found.findings.items()
        )
        if found.says == NOBODY:
            self.events.append(Skipped(check, side, "not known"))
        else:
            self.events.append(Answered(check, side, found.says, reports))
        if measured:
            self.events.append(Read(tuple(measured)))
        self.view = view(after) if after != self.view.bike else self.view
        return found

    def _nobody(self, check: str, side: Side) -> Answer:
        self.events.append(Skipped(check, side, "not known"))
        return Answer(NOBODY, side, {})

    def _turned(self, check: Check) -> tuple[dict[Sided, bool] | None, Engine]:
        """Turn the screw that a check turns, if any; return what comes of it, and the bike as it is left.

        It begins where the screw stood when the bike was brought. Where shorting shows no difference, nobody can tell.
        """
        bike = self.view.bike
        sign = next((one.sign for outcome in check.outcomes for one in outcome.shows if one.sign in SETTINGS), "")
        if not sign:
            return {}, bike
        stood = self.turned[sign].stood if sign in self.turned else stands(bike, sign)
        by_columns = "manometer" in check.tools
        found = turned(put_back(bike, sign, stood), sign, self.rng, columns=by_columns)
        if found.nothing and not by_columns:
            return None, bike
        kept = {name: one for name, one in self.turned.items() if name != sign}
        self.turned = kept | {sign: Level(found.side, stood)} if found.side else kept
        return {(sign, at): at == found.side for at in BOTH}, found.bike

    def _taken(self, check: str, side: Side) -> dict[str, Taken]:
        """Return the readings of a check: of the one side, where it is done on one."""
        taken = {
            name: take(self.view, name, self.rng) for name in self.advisor.base.checks[check].takes if name in FIGURES
        }
        return {name: one.on(side) for name, one in taken.items()} if side else taken

    def _read_off(self, measured: list[Measured]) -> dict[Sided, bool]:
        """Return what these readings say of signs by themselves: nobody says otherwise who has read them."""
        if not measured:
            return {}
        chained = self.advisor.chained(replace(self.case, seen=(), measured=tuple(measured)))
        return {(one.id, one.side): one.state == "seen" for one in chained.signs if one.how == MEASURED}

    def settle(self, cause: str, side: Side, *, seen: bool = False) -> bool:
        """Do a cause's deciding check; return whether it says that this is one. A second look in vain rules it out.

        Who found a fault (`seen`: in an earlier check) looks again before anything is put right, and once more where
        the two looks differ. A screw that brought it level was read again after a blip, and stands as it was left.
        """
        if seen and self._left_level(cause, side):
            return True
        says = self._look(cause, side)
        if seen and not says:
            says = self._look(cause, side)
        if not says:
            if seen or (cause, side) in self.in_vain:
                self.events.append(RuledOut(cause, side))
            self.in_vain.add((cause, side))
        return says

    def _left_level(self, cause: str, side: Side) -> bool:
        """Whether a screw that decides this cause was turned and left so."""
        page = self.advisor.base.causes[cause]
        keys = settling(page, side, self.advisor.base)
        return any(sign in self.turned and self.turned[sign].side == at for sign, at in keys)

    def _look(self, cause: str, side: Side) -> bool:
        """Do a cause's deciding check; return whether it speaks for it."""
        base = self.advisor.base
        page = base.causes[cause]
        check = base.checks[page.settled_by]
        found = self.do(check.id, side if check.sided else None)
        return any(found.findings.get(key) for key in settling(page, side, base))

    def put_right(self, cause: str, side: Side) -> bool:
        """Put a cause right; return whether that put one of the faults right. What was set around it is set anew."""
        self.minutes += self.advisor.base.causes[cause].minutes + RETEST
        self.events.append(PutRight(cause, side))
        cures = {cause, *ALSO_CURES.get(cause, ())}
        cured = {one for one in self.left if one[0] in cures and (one[1] == side or cause in ON_BOTH_SIDES)}
        if not cured:
            return False
        self.left = {one: None for one in self.left if one not in cured}
        own = {key[0] for key in settling(self.advisor.base.causes[cause], side, self.advisor.base)}
        around = self.set_around or not own.issuperset(self.turned)  # or a screw was turned around it meanwhile
        self.minutes += SET_AGAIN if around else 0.0
        bike = without(self.hidden, self.left)
        self.view = view(operate.tune(bike) if around and self.left and not self._misset() else bike)
        self.set_around, self.turned = False, {}
        return True

    def _misset(self) -> bool:
        """Whether stops or cables are among what is still wrong: setting them would be the cure."""
        return not MISSET.isdisjoint(cause for cause, _ in self.left)

    def chances(self, among: Collection[str] = ()) -> dict[Sided, float]:
        """Return every cause's probability on all that is known, or as it is where only those `among` can be there."""
        case = self.case
        if among:
            others = (one for one in self.advisor.base.causes.values() if one.id not in among)
            absent = tuple((one.id, side) for one in others for side in sides_of(one.sided))
            case = replace(case, ruled_out=(*case.ruled_out, *absent))
        _, ranking = self.advisor.rank(case)
        return dict(zip(ranking.network.causes, ranking.posterior.causes, strict=True))

    def planned(self) -> Planned:
        """Return what the planner makes of all that is known: the likeliest cause, and the check to do next."""
        case = self.case
        chained, ranking = self.advisor.rank(case)
        here = scene(self.advisor.base, case, chained.signs, chained.forbidden)
        found = plan(self.advisor.base, Joint(ranking), here)
        first = found.checks[0].candidate if found.checks and not found.goes_for else None
        return Planned(found.goes_for, found.proven, (first.check.id, first.side) if first else None)


def without(hidden: Hidden, left: Mapping[Sided, object]) -> Engine:
    """Return the bike with only these of its faults, set anew."""
    return planted([one for one in hidden.faults if cause_of(one) in left], hidden.sound).bike


def parts(hidden: Hidden) -> dict[str, str]:
    """Return what the bike is built with: kinds of parts by the rule base's names."""
    found = dict(PARTS)
    for cause, _ in hidden.causes:
        found |= PARTS_OF.get(cause, {})
    return found


def sheet(base: Rulebase) -> dict[str, tuple[float, float]]:
    """Return the virtual bike's own figures as the rule base takes them."""
    found = {}
    for name, (low, high, unit) in SHEET.items():
        to = base.figures[name].unit
        found[name] = (convert(low, unit, to, base.units), convert(high, unit, to, base.units))
    return found


def _measured(base: Rulebase, reading: str, taken: Taken) -> list[Measured]:
    """Return a reading as it would be typed in; nothing where it gave no figure."""
    texts = {side: _typed(taken, side) for side in (taken.values or {None: ()})}
    words = " ".join(f"{side or ''} {text}" for side, text in texts.items() if text).strip()
    return spoken(reading, words, base) if words else []


def _typed(taken: Taken, side: Side) -> str:
    stalls = ["stalls"] * taken.stalls.get(side, 0)
    within = f" ± {taken.trusted:.3f}" if taken.trusted else ""
    return ", ".join([*(f"{value:.6f}{within} {taken.unit}" for value in taken.at(side)), *stalls])


__all__ = ["NOT_READ", "OPENING", "PARTS", "Stand", "sheet", "without"]
