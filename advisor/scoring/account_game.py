"""A resolved case as a game: the policy asks, and the account answers what it tells.

It is over once the deciding check of a true cause has been done, whatever led there.
"""

import math

import msgspec

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.plan.candidates import real_outcomes, scene
from advisor.plan.deciding import deciding_check
from advisor.rulebase.model import Check, Rulebase
from advisor.scoring.game import WithCase, planner, play
from advisor.scoring.policies import in_readiness_order
from advisor.scoring.resolved import Account
from advisor.session.events import Answered, RuledOut
from advisor.sides import BOTH, Side, Sided, fill, sides_of

MOST_CHECKS = 400  # after this many checks the policy has lost; the pages hold fewer, so an order goes through all


class Walk(msgspec.Struct, frozen=True):
    """How a policy came to the truth of an account: the checks it did on the way, and their minutes."""

    checks: tuple[str, ...]
    minutes: float
    found: bool


def walk(account: Account, advisor: Advisor, *, planner_plays: bool = True, unsaid: bool = False) -> Walk:
    """Return the way from an account's first words to its cause, by the planner or in the readiness order.

    `unsaid` is explained at `AccountGame`.
    """
    game = AccountGame(account, advisor, unsaid=unsaid)
    policy = planner if planner_plays else in_readiness_order(game)
    play(game, policy, most_minutes=math.inf, most_moves=math.inf)
    return Walk(tuple(game.checks), game.minutes, game.found)


class AccountGame(WithCase):
    """An account that answers if it tells a check's result.

    Otherwise the deciding check of a true cause ends the game, and any other check shows nothing. With `unsaid`, a
    check that the account does not mention has no answer at all, unless it decides some other cause.
    """

    def __init__(self, account: Account, advisor: Advisor, *, unsaid: bool) -> None:
        """Begin with what was told first."""
        super().__init__(advisor, begun=account.stages["first"])
        self.account, self.unsaid = account, unsaid
        truth = [one for cause in account.causes for one in _on_sides(cause, self.base)]
        self.deciding = {look for one in truth for look in self._looks(*one)}
        self.decide = {page.settled_by for page in self.base.causes.values()}
        self.later = self._told_later()
        self.checks: list[str] = []
        self.found = False

    def _told_later(self) -> dict[Sided, bool]:
        case = self.account.stages["second"]
        chained, _ = self.advisor.rank(case)
        return scene(self.base, case, chained.signs, chained.forbidden).known

    @property
    def over(self) -> bool:
        """Whether the cause was found, or was not found within the checks that are allowed."""
        return self.found or len(self.checks) >= MOST_CHECKS

    def done_with(self) -> set[Sided]:
        """Return the causes whose deciding check has been done."""
        done = set(self.case.not_again)
        causes = ((page.id, side) for page in self.base.causes.values() for side in sides_of(page.sided))
        return {one for one in causes if done.issuperset(self._looks(*one))}

    def _looks(self, cause: str, side: Side) -> list[Sided]:
        """Return the deciding check of a cause; on both sides, if it is done on each and the cause is of the bike."""
        check, at = deciding_check(cause, side, self.base)
        return [(check, one) for one in (BOTH if self.base.checks[check].sided and at is None else (at,))]

    def do(self, check: str, side: Side) -> None:
        """Do a check; a later answer on the same signs replaces an earlier one."""
        page = self.base.checks[check]
        self.checks.append(check)
        self.minutes += self._price(check, side)
        self.found = self.found or (check, side) in self.deciding
        answer = self._answer(page, side)
        reports = tuple(
            SignReport(sign=sign, side=at, seen=seen, how=page.known_by(seen)) for (sign, at), seen in answer.items()
        )
        self.events.append(Answered(check, side, "", reports))

    def settle(self, cause: str, side: Side, *, seen: bool = False) -> bool:
        """Do a cause's deciding check; return whether that was the cause. A second look is in vain and rules it out.

        A cause that a check has spoken for is put right without another look.
        """
        if seen:
            return True
        left = [one for one in self._looks(cause, side) if one not in self.case.not_again]
        if not left:
            self.minutes += self.base.checks[self.base.causes[cause].settled_by].minutes
            self.events.append(RuledOut(cause, side))
            return False
        for look in left:
            self.do(*look)
        return self.found

    def repair(self, cause: str, side: Side) -> bool:
        """Put a cause right in vain: with the true one the game would have been over."""
        self._spend_on_repair(cause)
        self.events.append(RuledOut(cause, side))
        return False

    def _answer(self, check: Check, side: Side) -> dict[Sided, bool]:
        """Return the signs of the outcome that the account tells; else of the one that shows least, or none."""
        outcomes = [
            ({outcome.says, fill(outcome.says, at)}, settled)
            for outcome in check.outcomes
            for at, settled in real_outcomes(outcome, side, self.base)
        ]
        told = [settled for says, settled in outcomes if self.account.tells.get(check.id) in says]
        told += sorted((one for _, one in outcomes if self._tells(one)), key=lambda one: -sum(one.values()))
        if told:
            return told[0]
        if self.unsaid and check.id not in self.decide:
            return {}
        return min((settled for _, settled in outcomes), key=lambda one: sum(one.values()))

    def _tells(self, settled: dict[Sided, bool]) -> bool:
        """Whether the account's second stage tells an outcome: something that it shows, or else all of it."""
        known = {key: self.later[key] for key in settled if key in self.later}
        agrees = all(settled[key] == seen for key, seen in known.items())
        return agrees and (any(known.values()) or 0 < len(settled) == len(known))


def _on_sides(cause: str, base: Rulebase) -> list[Sided]:
    """Return a cause with its side; with either if the account tells none."""
    name, _, side = cause.partition(" ")
    return [(name, one) for one in sides_of(base.causes[name].sided) if side in {"", one}]
