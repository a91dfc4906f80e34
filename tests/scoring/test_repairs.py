"""What one repair cures besides, and on which sides, as the causes' pages say; and the parts that a fault needs."""

import pytest
from msgspec.structs import replace

from advisor.rulebase import Rulebase
from advisor.scoring.repairs import PARTS_OF, cured, parts_needed
from advisor.sides import Side, Sided


def test_the_table_speaks_of_causes_and_parts_of_the_rule_base(base: Rulebase) -> None:
    assert set(PARTS_OF) <= set(base.causes)
    for needed in PARTS_OF.values():
        assert all(kind in base.parts[part].kinds for part, kind in needed.items())


@pytest.mark.parametrize(
    ("cause", "side", "fault"),
    [
        ("plug-dead", "left", ("plug-fouled", "left")),
        ("points-burnt", None, ("timing-wrong", None)),
        ("compression-lost", "right", ("clearance-wide", "right")),
        ("set-too-cold", None, ("out-of-adjustment", None)),
        ("lead-damaged", "left", ("cap-or-lead-failing", "left")),
    ],
)
def test_a_repair_cures_what_is_renewed_or_set_with_it(base: Rulebase, cause: str, side: Side, fault: Sided) -> None:
    assert cured(base.causes[cause], side, {fault, ("idle-jet-loose", "left")}) == {fault}


@pytest.mark.parametrize(
    ("cause", "side", "fault"),
    [
        ("plug-fouled", "left", ("plug-dead", "left")),  # a plug that is only cleaned stays dead
        ("timing-wrong", None, ("points-burnt", None)),
        ("compression-lost", "right", ("clearance-wide", "left")),
        ("clearance-wide", "left", ("clearance-wide", "right")),
    ],
)
def test_a_repair_cures_no_more_than_that(base: Rulebase, cause: str, side: Side, fault: Sided) -> None:
    assert cured(base.causes[cause], side, {fault}) == set()


def test_what_is_done_to_both_sides_cures_either(base: Rulebase) -> None:
    there: set[Sided] = {("plug-dead", "right"), ("plug-fouled", "left"), ("lead-damaged", "right")}
    page = base.causes["plug-dead"]
    assert cured(page, "left", there) == {("plug-dead", "right"), ("plug-fouled", "left")}
    assert cured(replace(page, both_sides=False), "left", there) == {("plug-fouled", "left")}


def test_only_some_faults_need_a_part() -> None:
    assert parts_needed("too-much-resistance") == {"plugs": "resistor"}
    assert parts_needed("plug-dead") == {}
