"""The scope of 'not' and of 'well': from a word on, within its clause and its part of it."""

import pytest

from advisor.intake.clauses import clauses
from advisor.intake.denial import denied, refuser
from advisor.intake.window import Window, window_of
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasebook import phrasebook_of
from advisor.rulebase.phrasings import Phrasing

HANGS = Phrasing("x", "hangs", frozenset(["hang"]), denies=False, well=False, sided=False, weight=1.0)


def of(base: Rulebase, clause: str) -> Window:
    return window_of(*clauses(clause, phrasebook_of(base)))


@pytest.mark.parametrize(
    ("clause", "no"),
    [
        ("it hangs", False),
        ("it does not hang", True),
        ("no hanging", True),
        ("it never hangs when hot", True),
        ("it hangs when not hot", False),
        ("hanging? none", True),
        ("it hangs not only when hot", False),
        ("not without hanging", False),
        ("without hanging", True),
        ("nice hanging", True),
        ("it hardly hangs", True),
        ("it does not hang until it is hot", False),
    ],
)
def test_what_a_clause_denies(base: Rulebase, clause: str, no: bool) -> None:
    window = of(base, clause)
    assert denied(HANGS, window.at["hang"], window) is no


def test_a_phrasing_finds_its_own_not(base: Rulebase) -> None:
    window = of(base, "it won't hang")
    assert refuser(HANGS, window.at["hang"], window) is window.nots[0]
    after = of(base, "hanging? none")
    assert refuser(HANGS, after.at["hang"], after) is after.nots[0]
    assert refuser(HANGS, after.at["hang"], of(base, "it hangs")) is None
