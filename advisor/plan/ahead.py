"""Looks one step ahead: the minutes of a check, plus those from each of its results to the cause."""

from collections.abc import Collection, Sequence

import msgspec

from advisor.plan.candidates import Candidate, Scene, feasible
from advisor.plan.cost import RETEST, Search, open_after
from advisor.plan.deciding import deciding_check, settled
from advisor.plan.heat import cools
from advisor.plan.information import Told
from advisor.rank.joint import Joint
from advisor.rulebase.model import Rulebase
from advisor.sides import Side, Sided

SAME_CHANCE = 1e-9
LOOK_AGAIN = 0.1  # probability from which a part found sound is looked at once more: judgement
LEAST_CHANCE = 1e-6  # of a result, to be followed up


class Weighed(msgspec.Struct, frozen=True):
    """A check with the information it would give and the minutes it takes here.

    `price` is the minutes it is charged, `to_cause` those expected from its start to the cause. `answers` is how
    often checks of this way of knowing gave an answer here.
    """

    candidate: Candidate
    told: Told
    minutes: float
    price: float
    answers: float
    to_cause: float = 0.0


class Ahead:
    """Looks one step ahead: the work left on average after a check, before or after the best bargain.

    `look` is the bargain's deciding check; None if that has confirmed it.
    """

    def __init__(self, base: Rulebase, joint: Joint, here: Scene, possible: Collection[Sided]) -> None:
        self.base, self.joint, self.opened = base, joint, tuple(here.case.opened)
        self.causes = joint.ranking.network.causes
        self.said = [settled(*cause, here, base) for cause in self.causes]
        self.heat = cools(here.case)
        self._searches: dict[tuple[Sided, ...], Search] = {}
        self._after: dict[Sided, list[tuple[float, list[float]]]] = {}
        now, chances = self._search(self.opened), joint.ranking.posterior.causes
        self.chances = chances
        self.at_once = now.expected(chances)
        looks = [deciding_check(*cause, base) for cause in self.causes]
        self.possible, self.looks = possible, looks
        open_ones = [
            one
            for one, chance in enumerate(chances)
            if (chance > 0 if self.said[one] or looks[one] in possible else self._again(chance, looks[one], here))
        ]
        open_ones.sort(key=lambda one: (self.causes[one][0], here.turn(self.causes[one][1])))
        self.bargain = now.bargain(chances, open_ones) if open_ones else None
        self.price = now.price(self.bargain) if self.bargain is not None else 0.0
        proven = self.bargain is None or self.said[self.bargain]
        self.look: Sided | None = None if proven else looks[self.bargain]  # type: ignore[index]  # not None here

    def _again(self, chance: float, look: Sided, here: Scene) -> bool:
        """Whether to go for a cause that was checked in vain or cannot be checked: only if it is still likely.

        A cause likely enough to act on is gone for even if its deciding check cannot be done.
        """
        can = feasible(self.base.checks[look[0]], look[1], here, self.base)
        return chance >= self.base.words.act_at or (chance >= LOOK_AGAIN and can)

    def minutes(self, one: Weighed) -> float:
        """Return the minutes of a check plus those expected from there to the cause."""
        search = self._search(open_after(one.candidate.check, one.candidate.side, self.opened, self.base))
        return one.price + sum(chance * search.expected(after) for chance, after in self._results(one))

    def put_off(self, one: Weighed) -> float:
        """Return the minutes expected to the cause with the bargain first, and then this check."""
        if self.bargain is None:
            return self.at_once
        search = self._search(open_after(one.candidate.check, one.candidate.side, self.opened, self.base))
        total = self.price
        for chance, after in self._results(one):
            missed, minutes_left = search.expected_after(self.bargain, after)
            total += chance * missed * (one.price + minutes_left)
        return total

    def looks_of_likeliest(self, most: int) -> list[Sided]:
        """Return the deciding checks, not done yet and possible here, of the likeliest causes, left and right.

        Of equals all, or none if that would be more than two for each.
        """
        likely = sorted(self.chances, reverse=True)
        least = next((one for one in likely[most - 1 :: -1] if _at_least(one, likely) <= 2 * most), 1.0)
        pairs = zip(self.chances, self.said, self.looks, strict=True)
        return [
            look
            for chance, said, look in pairs
            if chance >= least - SAME_CHANCE and said is None and look in self.possible
        ]

    def changes_nothing(self, one: Weighed) -> bool:
        """Whether every result of a check leaves the same cause in the lead, none likely enough to act on."""
        return {self._leads(chances) for _, chances in self._results(one)} <= {self._leads(self.chances)}

    def acts_on(self, cause: Sided | None) -> bool:
        """Whether a cause to go for is proven or likely enough to act on."""
        if cause is None:
            return False
        return self.look is None or self.chances[self.causes.index(cause)] >= self.base.words.act_at

    def saves(self, one: Weighed, cause: int, repair: float) -> float:
        """Return the minutes that a check before a repair saves, less its own: the repair is left where it is in vain.

        `repair` is the minutes of the repair; a result after which the cause is not likely enough to act on stops it.
        """
        in_vain = RETEST + repair
        stopped = [
            (chance, after[cause]) for chance, after in self._results(one) if after[cause] < self.base.words.act_at
        ]
        return sum(chance * (1 - 2 * left) * in_vain for chance, left in stopped) - one.price

    def _leads(self, chances: Sequence[float]) -> tuple[str, Side, bool]:
        """Return the likeliest cause, without its side if both are equally likely, and whether to act on it."""
        most = max(chances)
        best = [self.causes[one] for one, chance in enumerate(chances) if most - chance < SAME_CHANCE]
        name, side = min(best, key=lambda one: one[0])
        return name, side if len(best) == 1 else None, most >= self.base.words.act_at

    def goes_for(self, at_once: float, best: Weighed | None) -> Sided | None:
        """Return the bargain if nothing is better than going for it at once."""
        if self.bargain is None:
            return None
        if (
            best is None
            or (best.candidate.check.id, best.candidate.side) == self.look
            or round(at_once, 6) <= round(best.to_cause, 6)
        ):
            return self.causes[self.bargain]
        return None

    def _results(self, one: Weighed) -> list[tuple[float, list[float]]]:
        """Return each result likely enough to be followed up: its chance, and the chances of the causes after it."""
        key = one.candidate.check.id, one.candidate.side
        if key not in self._after:
            pairs = zip(one.candidate.results, one.told.chances, strict=True)
            self._after[key] = [
                (one.answers * chance, self._causes(self.joint.after(result.findings)))
                for result, chance in pairs
                if chance > LEAST_CHANCE
            ]
            if one.answers < 1:
                self._after[key].append((1 - one.answers, list(self.chances)))
        return self._after[key]

    def _causes(self, after: dict[int, float]) -> list[float]:
        return [after[cause] for cause in range(len(self.causes))]

    def _search(self, opened: tuple[Sided, ...]) -> Search:
        if opened not in self._searches:
            self._searches[opened] = Search(self.base, self.causes, opened, self.said, self.heat)
        return self._searches[opened]


def _at_least(least: float, chances: Sequence[float]) -> int:
    return sum(one >= least - SAME_CHANCE for one in chances)
