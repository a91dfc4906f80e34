"""Public accounts of real faults whose cause was found: how often the advisor puts it first, as told and as checked.

Paraphrased, facts only; their addresses are not kept, because they carry names. The second stage holds all
that was found, also what settled it where the rule base has a check for it, and some signs were first named by
these accounts: it is no blind test. Strengths were set for what is true of all such bikes.
`python -m tests.test_resolved` prints the table.
"""

from pathlib import Path

import msgspec
import pytest

from advisor.diagnose import Advisor
from advisor.intake.casefile import parse_case
from advisor.pages import Node, read_file
from advisor.places import shipped
from advisor.records import Case
from advisor.rulebase import Rulebase, load

FOLDER = Path(__file__).parent / "resolved"
FIELDS = ("cause", "confidence", "first", "second", "tells")
STAGES = ("first", "second")


class Account(msgspec.Struct, frozen=True):
    """One account: its causes (with a side where one was told), and where they came at each stage."""

    name: str
    causes: tuple[str, ...]
    places: dict[str, int]


def accounts(advisor: Advisor) -> list[Account]:
    """Return every account with the place of its cause at each stage; 1 is first."""
    return [_account(path, advisor) for path in sorted(FOLDER.glob("*.yaml"))]


def _account(path: Path, advisor: Advisor) -> Account:
    problems: list[object] = []
    root = read_file(path, problems)  # type: ignore[arg-type]  # a list of problems, none of which may come
    assert root is not None
    fields = root.fields(need=("cause", "confidence", "first", "second"), may=FIELDS, what="an account")
    causes = tuple(item.text() for item in fields["cause"].items())
    places = {stage: _place(fields[stage], causes, advisor) for stage in STAGES}
    assert not problems, problems
    return Account(path.stem, causes, places)


def stage_case(path: Path, stage: str, advisor: Advisor) -> Case:
    """Return an account's case at a stage."""
    root = read_file(path, [])
    assert root is not None
    case = parse_case(root.pairs()[stage], advisor.base)
    assert case is not None
    return case


def _place(stage: Node, causes: tuple[str, ...], advisor: Advisor) -> int:
    """Return the best place of one of the causes. Both sides of a cause are one place where no side was told."""
    case = parse_case(stage, advisor.base)
    assert case is not None
    place, seen = 0, set()
    for cause in advisor.diagnose(case).causes:
        if cause.id not in seen:
            place += 1
        seen.add(cause.id)
        if {cause.id, f"{cause.id} {cause.side}"} & set(causes):
            return place
    msg = f"none of {causes} is a cause"
    raise AssertionError(msg)


def share(found: list[Account], stage: str, within: int) -> float:
    """Return the share of accounts whose cause is among the first so many at a stage."""
    return sum(one.places[stage] <= within for one in found) / len(found)


@pytest.fixture(scope="module")
def found(advisor: Advisor) -> list[Account]:
    return accounts(advisor)


def test_there_are_enough(found: list[Account]) -> None:
    assert len(found) >= 20


def test_once_checked_the_cause_comes_first(found: list[Account]) -> None:
    assert share(found, "second", 1) >= 0.9
    assert share(found, "second", 3) == 1.0


def test_as_first_told_it_is_among_the_first(found: list[Account]) -> None:
    """What misses opens with one vague sign that many causes show, or has a rare cause."""
    assert share(found, "first", 3) >= 0.6


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.yaml")), ids=lambda path: path.stem)
def test_says_where_it_is_from(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# public account, paraphrased, address not kept because it carries names\n")
    assert "http" not in text


def test_their_causes_exist(base: Rulebase, found: list[Account]) -> None:
    named = {cause.split()[0] for one in found for cause in one.causes}
    assert named <= set(base.causes)


def main() -> None:
    """Print the table."""
    found = accounts(Advisor(load([shipped("rules")])))
    for one in found:
        print(f"{one.name:46} {one.places['first']:>3} {one.places['second']:>3}  {', '.join(one.causes)}")  # noqa: T201
    for stage in STAGES:
        print(f"{stage}: {share(found, stage, 1):.0%} first, {share(found, stage, 3):.0%} in the first three")  # noqa: T201


if __name__ == "__main__":
    main()
