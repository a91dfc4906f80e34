"""Public accounts of real faults whose cause was found: how often the advisor puts it first, as told and as checked.

Paraphrased, facts only; their addresses are not kept, because they carry names. The second stage holds all
that was found, also what settled it where the rule base has a check for it, and some signs were first named by
these accounts: it is no blind test. Strengths were set for what is true of all such bikes.
`advisor score tests/resolved` prints the table.
"""

from pathlib import Path

import pytest

from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.scoring.resolved import STAGES, Account, place, read_accounts, share
from advisor.sides import BOTH, fill

FOLDER = Path(__file__).parent / "resolved"


@pytest.fixture(scope="module")
def found(base: Rulebase) -> list[Account]:
    return read_accounts(FOLDER, base)


@pytest.fixture(scope="module")
def places(advisor: Advisor, found: list[Account]) -> dict[str, list[int]]:
    return {stage: [place(one, stage, advisor) for one in found] for stage in STAGES}


def test_there_are_enough(found: list[Account]) -> None:
    assert len(found) >= 20


def test_once_checked_the_cause_comes_first(places: dict[str, list[int]]) -> None:
    assert share(places["second"], 1) >= 0.9
    assert share(places["second"], 3) == 1.0


def test_as_first_told_it_is_among_the_first(places: dict[str, list[int]]) -> None:
    """What misses opens with one vague sign that many causes show, or has a rare cause."""
    assert share(places["first"], 3) >= 0.6


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.yaml")), ids=lambda path: path.stem)
def test_says_where_it_is_from(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# public account, paraphrased, address not kept because it carries names\n")
    assert "http" not in text


def test_what_they_tell_of_checks_are_outcomes_of_these_checks(base: Rulebase, found: list[Account]) -> None:
    for one in found:
        for check, says in one.tells.items():
            as_written = {outcome.says for outcome in base.checks[check].outcomes}
            assert says in as_written | {fill(one, side) for one in as_written for side in BOTH}, (one.name, check)
