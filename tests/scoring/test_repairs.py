"""What one repair cures besides, and on which sides."""

import pytest

from advisor.rulebase import Rulebase
from advisor.scoring.repairs import ALSO_CURES, ON_BOTH_SIDES, PARTS_OF, cured, cures, done_on_both_sides, parts_needed
from advisor.sides import Sided


def test_the_tables_speak_of_causes_and_parts_of_the_rule_base(base: Rulebase) -> None:
    others = {other for also in ALSO_CURES.values() for other in also}
    assert {*ALSO_CURES, *others, *ON_BOTH_SIDES, *PARTS_OF} <= set(base.causes)
    for needed in PARTS_OF.values():
        assert all(kind in base.parts[part].kinds for part, kind in needed.items())


def test_what_is_done_on_both_sides_has_sides(base: Rulebase) -> None:
    assert all(base.causes[cause].sided for cause in ON_BOTH_SIDES)


@pytest.mark.parametrize(
    ("repair", "fault"),
    [
        (("plug-dead", "left"), ("plug-fouled", "left")),
        (("points-burnt", None), ("timing-wrong", None)),
        (("compression-lost", "right"), ("clearance-wide", "right")),
        (("set-too-cold", None), ("out-of-adjustment", None)),
        (("lead-damaged", "left"), ("cap-or-lead-failing", "left")),
    ],
)
def test_a_repair_cures_what_is_renewed_or_set_with_it(repair: Sided, fault: Sided) -> None:
    assert cured(repair, {fault, ("intake-joint-leak", "left")}) == {fault}


def test_a_repair_cures_no_more_than_that() -> None:
    assert cured(("plug-fouled", "left"), {("plug-dead", "left")}) == set()  # a plug that is only cleaned stays dead
    assert cured(("timing-wrong", None), {("points-burnt", None)}) == set()
    assert cures("intake-joint-leak") == {"intake-joint-leak"}
    assert cured(("intake-joint-leak", "left"), {("intake-joint-leak", "right")}) == set()
    assert cured(("clearance-wide", "left"), {("clearance-wide", "right")}) == set()


def test_a_new_pair_of_plugs_cures_either_side() -> None:
    there: set[Sided] = {("plug-dead", "right"), ("plug-fouled", "left"), ("lead-damaged", "right")}
    assert done_on_both_sides("plug-dead")
    assert cured(("plug-dead", "left"), there) == {("plug-dead", "right"), ("plug-fouled", "left")}
    assert not done_on_both_sides("cap-or-lead-failing")


def test_only_some_faults_need_a_part() -> None:
    assert parts_needed("too-much-resistance") == {"plugs": "resistor"}
    assert parts_needed("plug-dead") == {}
