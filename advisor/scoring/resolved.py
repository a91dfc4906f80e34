"""Resolved cases: faults whose cause was found, and the place that the advisor gives it, as first told and as checked.

A page holds `cause` (a list, each with its side if one was told), `confidence`, the stages `first` and `second` (each a
case), `words` (what the rider said first, in plain words) and `tells`: what the account says of checks, where {side} is
written if no side was told; it is read as left. These were coded with the cause known. `story alone` holds the same two
stages, coded by a person who had the story but not the cause.
"""

from collections.abc import Sequence
from pathlib import Path

import msgspec

from advisor.case import Case
from advisor.diagnose import Advisor
from advisor.errors import CaseError, Problem
from advisor.intake.casefile import parse_case
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, fill
from advisor.yaml_nodes import Node, read_file, refuse_unread

STAGES = ("first", "second")
ALONE = "story alone"
CODINGS = (*STAGES, *(f"{stage}, {ALONE}" for stage in STAGES))
NEED, MAY = ("cause", "confidence", *STAGES), ("words", "tells", ALONE)


class Account(msgspec.Struct, frozen=True):
    """One account: its causes (with a side where told), its stages, and the outcome of each check it tells of.

    `words` is what the rider said first (empty: that was not written down).

    The stages of a coding from the story alone have names of their own (`CODINGS`); not every account has one.
    """

    name: str
    causes: tuple[str, ...]
    stages: dict[str, Case]
    tells: dict[str, str]
    words: str = ""


def read_accounts(folder: Path, base: Rulebase, files_from: Sequence[Path] = ()) -> list[Account]:
    """Return every account in a folder. Raises CaseError with every mistake in any of them, or if there is none.

    Their sheets and logs are read from the folder and below, and from `files_from`, if given.
    """
    problems: list[Problem] = []
    paths = sorted(folder.glob("*.yaml")) if folder.is_dir() else []
    if not paths:
        problems.append(Problem(str(folder), 0, "no resolved case is here; it takes a folder of *.yaml files"))
    found = [_account(path, base, problems, files_from) for path in paths]
    if problems:
        raise CaseError(sorted(set(problems)))
    return [one for one in found if one is not None]


def _account(path: Path, base: Rulebase, problems: list[Problem], files_from: Sequence[Path]) -> Account | None:
    known_before = len(problems)
    root = read_file(path, problems)
    fields = root.fields(need=NEED, may=MAY, what="a resolved case") if root is not None else {}
    if root is None or not set(NEED) <= set(fields):
        return None
    fields["confidence"].text()
    causes = tuple(_cause(item, base) for item in fields["cause"].items())
    coded = {stage: fields[stage] for stage in STAGES}
    if ALONE in fields:
        again = fields[ALONE].fields(need=STAGES, what="the coding from the story alone")
        coded |= {f"{stage}, {ALONE}": node for stage, node in again.items()}
    stages = {stage: parse_case(node, base, files_from) for stage, node in coded.items()}
    told = fields["tells"].pairs() if "tells" in fields else {}
    tells = {name: fill(node.text(), BOTH[0]) for name, node in told.items()}
    words = fields["words"].text() if "words" in fields else ""
    if len(problems) == known_before:
        refuse_unread(root)
    read = {stage: case for stage, case in stages.items() if case is not None}
    return Account(path.stem, causes, read, tells, words)


def _cause(item: Node, base: Rulebase) -> str:
    name = item.text()
    known, _, side = name.partition(" ")
    if name and known not in base.causes:
        item.wrong(f"no cause is called '{known}'")
    elif side not in ("", *BOTH):
        item.wrong(f"'{side}' is not a side; write left or right after the name, or nothing")
    return name


def place(account: Account, stage: str, advisor: Advisor) -> int:
    """Return the best place of one of an account's causes, 1 for the first; both sides of a cause are one place."""
    chances: dict[str, float] = {}
    _, ranking = advisor.rank(account.stages[stage])
    for index, (name, _) in enumerate(ranking.network.causes):
        chances[name] = chances.get(name, 0.0) + ranking.probability(index)
    best = max(chances[cause.split()[0]] for cause in account.causes)
    return 1 + sum(chance > best for chance in chances.values())


def share(places: list[int], within: int) -> float:
    """Return the share of places that are at most `within`."""
    return sum(one <= within for one in places) / len(places)
