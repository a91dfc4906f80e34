"""Resolved cases: faults whose cause was found, and where the advisor puts it, as first told and as checked.

A page holds `cause` (a list, each with its side where one was told), `confidence`, the stages `first` and `second`
(each a case), and `tells`, what the account says of checks.
"""

from pathlib import Path

import msgspec
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.errors import CaseError, Problem
from advisor.intake.casefile import parse_case
from advisor.pages import Node, read_file
from advisor.plan.candidates import real_outcomes, scene
from advisor.plan.choose import weighed
from advisor.plan.cost import deciding_check, minutes, open_after, worth_acting
from advisor.rank.joint import Joint
from advisor.records import Case, SignReport
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Side

STAGES = ("first", "second")
NEED, MAY = ("cause", "confidence", *STAGES), ("tells",)


class Account(msgspec.Struct, frozen=True):
    """One account: its causes (with a side where told), its stages, and the outcome of each check it tells of."""

    name: str
    causes: tuple[str, ...]
    stages: dict[str, Case]
    tells: dict[str, str]


def read_accounts(folder: Path, base: Rulebase) -> list[Account]:
    """Return every account in a folder. Raises CaseError with every mistake in any of them, or if there is none."""
    problems: list[Problem] = []
    paths = sorted(folder.glob("*.yaml")) if folder.is_dir() else []
    if not paths:
        problems.append(Problem(str(folder), 0, "no resolved case is here; it takes a folder of *.yaml files"))
    found = [_account(path, base, problems) for path in paths]
    if problems:
        raise CaseError(sorted(set(problems)))
    return [one for one in found if one is not None]


def _account(path: Path, base: Rulebase, problems: list[Problem]) -> Account | None:
    root = read_file(path, problems)
    fields = root.fields(need=NEED, may=MAY, what="a resolved case") if root is not None else {}
    if not set(NEED) <= set(fields):
        return None
    causes = tuple(_cause(item, base) for item in fields["cause"].items())
    stages = {stage: parse_case(fields[stage], base) for stage in STAGES}
    tells = {name: node.text() for name, node in fields["tells"].pairs().items()} if "tells" in fields else {}
    return Account(path.stem, causes, {stage: case for stage, case in stages.items() if case is not None}, tells)


def _cause(item: Node, base: Rulebase) -> str:
    name = item.text()
    if name and name.split()[0] not in base.causes:
        item.wrong(f"no cause is called '{name.split()[0]}'")
    return name


def place(account: Account, stage: str, advisor: Advisor) -> int:
    """Return the best place of one of an account's causes, 1 for the first; both sides of a cause are one place."""
    found, seen = 0, set()
    for cause in advisor.diagnose(account.stages[stage]).causes:
        if cause.id not in seen:
            found += 1
        seen.add(cause.id)
        if {cause.id, f"{cause.id} {cause.side}"} & set(account.causes):
            return found
    return found + 1


def share(places: list[int], within: int) -> float:
    """Return the share of places among the first so many."""
    return sum(one <= within for one in places) / len(places)


class Walk(msgspec.Struct, frozen=True):
    """How a policy came to the truth of an account: the checks it did on the way, and their minutes."""

    checks: tuple[str, ...]
    minutes: float
    found: bool


MOST_CHECKS = 150


def walk(account: Account, advisor: Advisor, *, planner: bool = True) -> Walk:
    """Return the way from an account's first words to its cause, by the planner or in the readiness order.

    The account answers where it tells a check's result; the deciding check of a true cause says yes, any other no.
    """
    return _Walker(account, advisor).walk(planner=planner)


class _Walker:
    def __init__(self, account: Account, advisor: Advisor) -> None:
        self.account, self.advisor, self.base = account, advisor, advisor.base
        self.truth = {_on_a_side(one, self.base) for one in account.causes}
        self.deciding = {deciding_check(*one, self.base) for one in self.truth}
        self.case = account.stages["first"]
        self.checks: list[str] = []
        self.minutes, self.found = 0.0, False

    def walk(self, *, planner: bool) -> Walk:
        while not self.found and len(self.checks) < MOST_CHECKS:
            step = self._planned() if planner else self._in_order()
            if step is None:
                break
            self._do(*step)
        return Walk(tuple(self.checks), self.minutes, self.found)

    def _planned(self) -> tuple[str, Side] | None:
        """Return the planner's next check; the deciding one of a cause that it would act on."""
        chained, ranking = self.advisor.rank(self.case)
        chances = dict(zip(ranking.network.causes, ranking.posterior.causes, strict=True))
        top = max(chances, key=lambda one: chances[one])
        here = scene(self.base, self.case, chained.signs, chained.forbidden)
        check, side = deciding_check(*top, self.base)
        if worth_acting(chances[top], minutes(self.base.checks[check], side, self.case.opened, self.base), self.base):
            if (check, side) not in self.case.not_again:
                return check, side
            self.case = replace(self.case, ruled_out=(*self.case.ruled_out, top))
            return self._planned()
        best = next(iter(weighed(self.base, Joint(ranking), here)), None)
        return (best.candidate.check.id, best.candidate.side) if best else None

    def _in_order(self) -> tuple[str, Side] | None:
        """Return the deciding check of the next cause: stage by stage, the likelier of a stage first."""
        _, ranking = self.advisor.rank(self.account.stages["first"])
        chances = zip(ranking.network.causes, ranking.posterior.causes, strict=True)
        order = sorted(chances, key=lambda one: (self.base.order_of(self.base.causes[one[0][0]].place), -one[1]))
        todo = (deciding_check(*cause, self.base) for cause, _ in order)
        return next((one for one in todo if one not in self.case.not_again), None)

    def _do(self, name: str, side: Side) -> None:
        check = self.base.checks[name]
        self.checks.append(name)
        self.minutes += minutes(check, side, self.case.opened, self.base)
        self.found = (name, side) in self.deciding
        settled = self._answer(check, side)
        reports = tuple(
            SignReport(sign=sign, side=at, seen=seen, how=check.how) for (sign, at), seen in settled.items()
        )
        kept = tuple(one for one in self.case.seen if (one.sign, one.side) not in settled)
        self.case = replace(
            self.case,
            seen=(*kept, *reports),
            opened=open_after(check, side, self.case.opened, self.base),
            not_again=(*self.case.not_again, (name, side)),
        )

    def _answer(self, check: Check, side: Side) -> dict[tuple[str, Side], bool]:
        """Return the signs of the outcome that the account tells, or of the one that shows least."""
        outcomes = [
            (outcome.says, settled)
            for outcome in check.outcomes
            for _, settled in real_outcomes(outcome, side, self.base)
        ]
        told = [settled for says, settled in outcomes if says == self.account.tells.get(check.id)]
        return told[0] if told else min((settled for _, settled in outcomes), key=lambda one: sum(one.values()))


def _on_a_side(cause: str, base: Rulebase) -> tuple[str, Side]:
    """Return a cause with its side; the left one where the account tells none."""
    name, _, side = cause.partition(" ")
    return name, ((side or "left") if base.causes[name].sided else None)  # type: ignore[return-value]  # one of BOTH
