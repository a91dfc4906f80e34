"""Resolved cases: faults whose cause was found, and where the advisor puts it, as first told and as checked.

A page holds `cause` (a list, each with its side where one was told), `confidence`, the stages `first` and `second`
(each a case), and `tells`, what the account says of checks.
"""

from pathlib import Path

import msgspec

from advisor.diagnose import Advisor
from advisor.errors import CaseError, Problem
from advisor.intake.casefile import parse_case
from advisor.pages import Node, read_file
from advisor.records import Case
from advisor.rulebase.model import Rulebase

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
