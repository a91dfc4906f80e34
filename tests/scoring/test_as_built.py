"""What is known of the virtual bike before it is touched."""

import pytest

from advisor.rulebase import Rulebase
from advisor.scoring.as_built import PARTS, as_built, parts, sheet


def test_the_virtual_bikes_sheet_is_read_in_the_rules_units(base: Rulebase) -> None:
    assert sheet(base)["idle-speed"] == pytest.approx((1000.0, 1100.0))
    assert set(sheet(base)) <= set(base.figures)


def test_parts_are_those_that_the_rule_base_knows(base: Rulebase) -> None:
    assert all(kind in base.parts[part].kinds for part, kind in PARTS.items())
    assert parts(["plug-dead"]) == PARTS
    assert parts(["plug-dead", "coil-common-failing"]) == PARTS | {"coils": "double-ended"}
    assert as_built(base, ["too-much-resistance"]).parts["plugs"] == "resistor"
