"""A bike of the engine model on the stand: what was told and done so far as a session's events, and the minutes spent.

A person answers, who now and then misses a sign or imagines one (`slips`). So a fault is looked at twice before it is
put right, and twice in vain before it is ruled out.
"""

from collections.abc import Collection, Mapping

import numpy as np
from msgspec.structs import replace

from advisor.case import Means, Measured, SignReport
from advisor.chain.run import MEASURED
from advisor.diagnose import Advisor
from advisor.observer.beginnings import history
from advisor.observer.bike_view import View, view
from advisor.observer.complaint import complaint
from advisor.observer.readings_taken import FIGURES, take
from advisor.observer.taken_reading import Taken
from advisor.plan.candidates import Scene, scene
from advisor.plan.deciding import settling
from advisor.scoring.as_built import as_built
from advisor.scoring.check_result import NOBODY, SLIPS, Answer, answer
from advisor.scoring.game import WithCase
from advisor.scoring.hidden_bikes import MISSET, Hidden, cause_of, planted
from advisor.scoring.repairs import cured
from advisor.scoring.screws import Screws, left_level, turn
from advisor.scoring.typed_reading import typed
from advisor.session.events import Answered, AtHand, Began, OfBike, PutRight, Read, RuledOut, Skipped, Told
from advisor.sides import Side, Sided, sides_of
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike

SET_AGAIN = 15.0  # minutes to set stops and cables again that had been set around a fault: judgement
# The readings that a mechanic may bring along, and how often: judgement.
OPENING = {"idle-speed": 0.9, "column-idle": 0.7, "column-off-idle": 0.6, "drop-idle": 0.6, "drop-off-idle": 0.3}


class Stand(WithCase):
    """A hidden bike and all that is known of it. Answers come from the engine model, never from the rules.

    `left` are the faults that are still there, `view` is what the senses go by now, `set_around` says whether stops and
    cables were set to hide a fault, `turned` are the screws that a check left where they helped.
    """

    def __init__(
        self, advisor: Advisor, hidden: Hidden, seen: View, rng: np.random.Generator, *, slips: float = SLIPS
    ) -> None:
        """Put the bike on the stand; `seen` is its view."""
        faults = [cause for cause, _ in hidden.causes]
        means = Means(person=advisor.base.persons[-1], tools=None, engine="")
        super().__init__(advisor, [Began("bench", ""), AtHand(means), OfBike(as_built(advisor.base, faults))])
        self.hidden, self.view, self.rng, self.slips = hidden, seen, rng, slips
        self.told = history(faults, rng)
        self.left = dict.fromkeys(hidden.causes)
        self.in_vain: set[Sided] = set()  # causes looked at once in vain
        self.set_around = hidden.set_around
        self.turned: Screws = {}

    @property
    def over(self) -> bool:
        """Whether every fault has been put right."""
        return not self.left

    def done_with(self) -> set[Sided]:
        """Return the causes that were put right or ruled out."""
        case = self.case
        return {*case.put_right, *case.ruled_out}

    def complain(self) -> tuple[Sided, ...]:
        """Let the rider tell what is wrong; return the signs."""
        base = self.base
        by_rider = [sign.id for sign in base.signs.values() if sign.seen_by == base.persons[0]]
        settles = {sign for one in self.left for sign, _ in settling(base.causes[one[0]], one[1], base)}
        signs = tuple(complaint(self.view, self.told, self.rng, by_rider, settles))
        how = base.words.opening
        self.events.append(Told(tuple(SignReport(sign=sign, side=side, seen=True, how=how) for sign, side in signs)))
        return signs

    def measure(self, chances: Mapping[str, float] = OPENING) -> tuple[str, ...]:
        """Take some readings, each as often as its chance says; return which."""
        names = tuple(name for name, chance in chances.items() if self.rng.random() < chance)
        readings = [one for name in names for one in typed(self.base, name, take(self.view, name, self.rng))]
        if readings:
            self.events.append(Read(tuple(readings)))
        return names

    def scene(self) -> Scene:
        """Return what decides which checks can be done on this bike as it stands."""
        chained = self.advisor.chained(self.case)
        return scene(self.base, self.case, chained.signs, chained.forbidden)

    def do(self, check: str, side: Side) -> Answer:
        """Do a check; what it shows and reads is known from then on, and its minutes are spent."""
        base = self.base
        self.minutes += self._price(check, side)
        hand = turn(base.checks[check], self.view.bike, self.turned, self.rng)
        self.turned = hand.left
        if hand.signs is None:
            self.events.append(Skipped(check, side, "not known"))
            return Answer(NOBODY, side, {})
        readings = self._taken(check, side)
        measured = [one for name, taken in readings.items() for one in typed(base, name, taken)]
        told = self.told | self._read_off(measured) | hand.signs
        found = answer(base, check, side, self.view, self.rng, slips=self.slips, told=told, readings=readings)
        self._note(check, side, found, measured)
        self.view = view(hand.bike) if hand.bike != self.view.bike else self.view
        return found

    def _note(self, check: str, side: Side, found: Answer, measured: list[Measured]) -> None:
        """Keep what a check said and read."""
        page = self.base.checks[check]
        reports = tuple(
            SignReport(sign=sign, side=at, seen=seen, how=page.known_by(seen))
            for (sign, at), seen in found.findings.items()
        )
        if found.says == NOBODY:
            self.events.append(Skipped(check, side, "not known"))
        else:
            self.events.append(Answered(check, side, found.says, reports))
        if measured:
            self.events.append(Read(tuple(measured)))

    def _taken(self, check: str, side: Side) -> dict[str, Taken]:
        """Return the readings of a check: of one side only, if it is done on one."""
        taken = {name: take(self.view, name, self.rng) for name in self.base.checks[check].takes if name in FIGURES}
        return {name: one.on(side) for name, one in taken.items()} if side else taken

    def _read_off(self, measured: list[Measured]) -> dict[Sided, bool]:
        """Return what these readings alone say about signs: the person who took them says nothing else."""
        if not measured:
            return {}
        chained = self.advisor.chained(replace(self.case, seen=(), measured=tuple(measured)))
        return {(one.id, one.side): one.state == "seen" for one in chained.signs if one.how == MEASURED}

    def settle(self, cause: str, side: Side, *, seen: bool = False) -> bool:
        """Do a cause's deciding check; return whether it says that this is one. A second look in vain rules it out.

        A person who found a fault in an earlier check (`seen`) looks again before putting it right, and once more if
        the two looks differ. A screw that brought the sides level was read again after a blip, and stays as it is.
        """
        keys = settling(self.base.causes[cause], side, self.base)
        if seen and left_level(self.turned, keys):
            return True
        says = self._look(cause, side)
        if seen and not says:
            says = self._look(cause, side)
        if not says:
            if seen or (cause, side) in self.in_vain:
                self.events.append(RuledOut(cause, side))
            self.in_vain.add((cause, side))
        return says

    def _look(self, cause: str, side: Side) -> bool:
        """Do a cause's deciding check; return whether it speaks for it."""
        page = self.base.causes[cause]
        check = self.base.checks[page.settled_by]
        found = self.do(check.id, side if check.sided else None)
        return any(found.findings.get(key) for key in settling(page, side, self.base))

    def repair(self, cause: str, side: Side) -> bool:
        """Put a cause right; the rider tells what he still feels on the trial run."""
        right = self.put_right(cause, side)
        if self.left:
            self.complain()
        return right

    def put_right(self, cause: str, side: Side) -> bool:
        """Put a cause right; return whether that cured a fault.

        Stops, cables and screws that had been set around the fault go back to where they were before. If faults are
        left, they are set around these, unless they are themselves what is wrong.
        """
        self._spend_on_repair(cause)
        self.events.append(PutRight(cause, side))
        gone = cured(self.base.causes[cause], side, self.left)
        if not gone:
            return False
        self.left = {one: None for one in self.left if one not in gone}
        own = {sign for sign, _ in settling(self.base.causes[cause], side, self.base)}
        around = self.set_around or not own.issuperset(self.turned)  # or a screw was turned around it meanwhile
        self.minutes += SET_AGAIN if around else 0.0
        bike = _only(self.hidden, self.left)
        self.view = view(operate.tune(bike) if around and self.left and not self._misset() else bike)
        self.set_around, self.turned = False, {}
        return True

    def _misset(self) -> bool:
        """Whether stops or cables are among what is still wrong: to set them would be the cure."""
        return not MISSET.isdisjoint(cause for cause, _ in self.left)

    def chances(self, among: Collection[str] = ()) -> dict[Sided, float]:
        """Return every cause's probability on all that is known, or as it is where only those `among` can be there."""
        case = self.case
        if among:
            others = (one for one in self.base.causes.values() if one.id not in among)
            absent = tuple((one.id, side) for one in others for side in sides_of(one.sided))
            case = replace(case, ruled_out=(*case.ruled_out, *absent))
        _, ranking = self.advisor.rank(case)
        return dict(zip(ranking.network.causes, ranking.posterior.causes, strict=True))


def _only(hidden: Hidden, left: Collection[Sided]) -> Bike:
    """Return the bike as it was before the faults, with only these of them."""
    return planted([one for one in hidden.faults if cause_of(one) in left], hidden.sound).bike
