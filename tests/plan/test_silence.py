"""What a sign would silence, were it seen."""

import pytest

from advisor.plan.silence import silenced, silences
from advisor.report import Evidence
from advisor.rulebase import Rulebase
from advisor.rulebase.model import PartIs
from tests.small import area, blank, limit, over, reading, rule, rulebase, sign

SIGNS = ("tight", "leak", "higher", "swings", "stays", "gone")


@pytest.fixture(scope="module")
def base() -> Rulebase:
    """Return three stages, the last of which relies on the two before, and rules that set aside."""
    return rulebase(
        *(sign(one, sided=one == "higher") for one in SIGNS),
        reading("column", "kPa"),
        limit("apart", 10.0, "mmHg"),
        rule("reads", over("column", "apart", of="lead"), shows=["higher this"]),
        rule("instrument", "stays", sets_aside=("column",)),
        rule("unless", "swings", unless=["gone"], sets_aside=("column",)),
        rule("two", "swings", "gone", sets_aside=("column",)),
        rule("absent", "not gone", sets_aside=("column",)),
        rule("part", PartIs("ignition", "points"), sets_aside=("column",)),
        rule("nothing", "gone"),
        area("valves", ("tight",)),
        area("air", ("leak",), relies=("swings",)),
        area("balance", ("higher",), relies=("column", "higher")),
    )


def test_what_is_wrong_before_silences_what_relies_on_it(base: Rulebase) -> None:
    found = silences(base)
    assert found["tight"].signs == {"higher", "swings"}
    assert found["tight"].read_off == {"higher"}
    assert found["leak"].signs == {"higher"}  # not what its own stage relies on


def test_a_rule_with_one_seen_sign_silences(base: Rulebase) -> None:
    found = silences(base)
    assert found["stays"].read_off == {"higher"}
    assert not found["stays"].signs
    assert set(found) == {"tight", "leak", "stays"}  # no absence, no part, nothing that asks for more than one thing


def _known(name: str, *rules: str) -> Evidence:
    return blank(Evidence, sign=name, side="left" if name == "higher" else None, rules=rules)


def test_only_what_was_read_off_a_figure_goes_with_the_figure(base: Rulebase) -> None:
    quiet = silences(base)
    read, told = [_known("higher", "reads left")], [_known("higher")]
    assert silenced(["stays"], read, quiet) == {("higher", "left")}
    assert silenced(["stays"], told, quiet) == set()
    assert silenced(["tight"], told, quiet) == {("higher", "left")}
    assert silenced(["tight"], [_known("swings"), _known("leak")], quiet) == {("swings", None)}


def test_what_silences_nothing_silences_nothing(base: Rulebase) -> None:
    assert silenced([], [_known("higher")], silences(base)) == set()
    assert silenced(["gone", "swings"], [_known("higher", "reads left")], silences(base)) == set()
