"""Resolved cases: faults whose cause was found, and where the advisor puts it, as first told and as checked.

A page holds `cause` (a list, each with its side where one was told), `confidence`, the stages `first` and `second`
(each a case), and `tells`, what the account says of checks. These were coded with the cause known; `story alone` holds
the same two stages as somebody coded them who had the story and not the cause.
"""

from pathlib import Path

import msgspec
from msgspec.structs import replace

from advisor.case import Case, SignReport
from advisor.diagnose import Advisor
from advisor.errors import CaseError, Problem
from advisor.intake.casefile import parse_case
from advisor.plan.candidates import real_outcomes, scene
from advisor.plan.choose import plan
from advisor.plan.cost import RETEST, minutes, open_after
from advisor.plan.deciding import deciding_check
from advisor.rank.joint import Joint
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Side, Sided, sides_of
from advisor.yaml_nodes import Node, read_file

STAGES = ("first", "second")
ALONE = "story alone"
CODINGS = (*STAGES, *(f"{stage}, {ALONE}" for stage in STAGES))
NEED, MAY = ("cause", "confidence", *STAGES), ("tells", ALONE)


class Account(msgspec.Struct, frozen=True):
    """One account: its causes (with a side where told), its stages, and the outcome of each check it tells of.

    The stages of a coding from the story alone have names of their own (`CODINGS`); not every account has one.
    """

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
    coded = {stage: fields[stage] for stage in STAGES}
    if ALONE in fields:
        again = fields[ALONE].fields(need=STAGES, what="the coding from the story alone")
        coded |= {f"{stage}, {ALONE}": node for stage, node in again.items()}
    stages = {stage: parse_case(node, base) for stage, node in coded.items()}
    tells = {name: node.text() for name, node in fields["tells"].pairs().items()} if "tells" in fields else {}
    return Account(path.stem, causes, {stage: case for stage, case in stages.items() if case is not None}, tells)


def _cause(item: Node, base: Rulebase) -> str:
    name = item.text()
    if name and name.split()[0] not in base.causes:
        item.wrong(f"no cause is called '{name.split()[0]}'")
    return name


def place(account: Account, stage: str, advisor: Advisor) -> int:
    """Return the best place of one of an account's causes, 1 for the first; both sides of a cause are one place."""
    chances: dict[str, float] = {}
    for cause in advisor.diagnose(account.stages[stage]).causes:
        chances[cause.id] = chances.get(cause.id, 0.0) + cause.probability
    best = max(chances[cause.split()[0]] for cause in account.causes)
    return 1 + sum(chance > best for chance in chances.values())


def share(places: list[int], within: int) -> float:
    """Return the share of places among the first so many."""
    return sum(one <= within for one in places) / len(places)


class Walk(msgspec.Struct, frozen=True):
    """How a policy came to the truth of an account: the checks it did on the way, and their minutes."""

    checks: tuple[str, ...]
    minutes: float
    found: bool


MOST_CHECKS = 150


def walk(account: Account, advisor: Advisor, *, planner: bool = True, unsaid: bool = False) -> Walk:
    """Return the way from an account's first words to its cause, by the planner or in the readiness order.

    The account answers where it tells a check's result; the deciding check of a true cause says yes, any other no.
    With `unsaid` a check of which the account says nothing tells nothing, unless it is some other cause's deciding one.
    """
    return _Walker(account, advisor, unsaid=unsaid).walk(planner=planner)


class _Walker:
    def __init__(self, account: Account, advisor: Advisor, *, unsaid: bool) -> None:
        self.account, self.advisor, self.base, self.unsaid = account, advisor, advisor.base, unsaid
        truth = [one for cause in account.causes for one in _on_sides(cause, self.base)]
        self.deciding = {deciding_check(*one, self.base) for one in truth}
        self.decide = {page.settled_by for page in self.base.causes.values()}
        self.known = self._known(account.stages["second"])
        self.case = account.stages["first"]
        self.checks: list[str] = []
        self.minutes, self.found = 0.0, False

    def _known(self, case: Case) -> dict[Sided, bool]:
        chained, _ = self.advisor.rank(case)
        return scene(self.base, case, chained.signs, chained.forbidden).known

    def walk(self, *, planner: bool) -> Walk:
        while not self.found and len(self.checks) < MOST_CHECKS:
            step = self._planned() if planner else self._in_order()
            if step is None:
                break
            self._do(*step)
        return Walk(tuple(self.checks), self.minutes, self.found)

    def _planned(self) -> Sided | None:
        """Return the planner's next check; the deciding one of a cause that it goes for."""
        chained, ranking = self.advisor.rank(self.case)
        here = scene(self.base, self.case, chained.signs, chained.forbidden)
        found = plan(self.base, Joint(ranking), here)
        if found.goes_for:
            look = deciding_check(*found.goes_for, self.base)
            if not found.proven and look not in self.case.not_again:
                return look
            # put right in vain, or looked at a second time in vain
            page = self.base.causes[found.goes_for[0]]
            self.minutes += page.minutes + RETEST if found.proven else self.base.checks[look[0]].minutes
            self.case = replace(self.case, ruled_out=(*self.case.ruled_out, found.goes_for))
            return self._planned()
        first = found.checks[0].candidate if found.checks else None
        return (first.check.id, first.side) if first else None

    def _in_order(self) -> Sided | None:
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

    def _answer(self, check: Check, side: Side) -> dict[Sided, bool]:
        """Return the signs of the outcome that the account tells; else of the one that shows least, or none.

        A deciding check of another cause says no. So does any other check, or (`unsaid`) nobody knows.
        """
        outcomes = [
            (outcome.says, settled)
            for outcome in check.outcomes
            for _, settled in real_outcomes(outcome, side, self.base)
        ]
        told = [settled for says, settled in outcomes if says == self.account.tells.get(check.id)]
        told += sorted((one for _, one in outcomes if self._tells(one)), key=lambda one: -sum(one.values()))
        if told:
            return told[0]
        if self.unsaid and check.id not in self.decide:
            return {}
        return min((settled for _, settled in outcomes), key=lambda one: sum(one.values()))

    def _tells(self, settled: dict[Sided, bool]) -> bool:
        """Whether the account's second stage tells an outcome: something that it shows, or else all of it."""
        known = {key: self.known[key] for key in settled if key in self.known}
        agrees = all(settled[key] == seen for key, seen in known.items())
        return agrees and (any(known.values()) or 0 < len(settled) == len(known))


def _on_sides(cause: str, base: Rulebase) -> list[Sided]:
    """Return a cause with its side; with either where the account tells none."""
    name, _, side = cause.partition(" ")
    return [(name, one) for one in sides_of(base.causes[name].sided) if side in {"", one}]
