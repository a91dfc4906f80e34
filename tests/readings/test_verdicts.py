"""Figures against limits, on a small rule base; `test_verdicts_shipped` holds the limits of the trade."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike
from advisor.readings.reduced import Reduced
from advisor.readings.verdicts import (
    Judged,
    figure_of,
    judge,
    limit_for,
    of_sides,
    question,
    questions,
    unknown_figures,
)
from advisor.rulebase import Rulebase
from advisor.sides import Side
from tests.small import blank, limit, over, reading, rule, rulebase, sign

LEAD, FAR_LEAD = over("column", "wide", of="lead"), over("column", "half", of="lead")
FINE = over("column", "fine", of="lead")
UNDER = over("drop", "behind", of="lead", above=False)
FAST, SLOW = over("idle", "fastest", bearing="none"), over("idle", "slowest", bearing="none", above=False)
MOVED, HOT = over("slack", "moved", of="change"), over("heat", "hottest", bearing="none")
BASE = rulebase(
    reading("column", "kPa"),
    reading("drop", "rpm"),
    reading("idle", "rpm", sided=False),
    reading("slack", "mm"),
    reading("heat", "C", sided=False),
    reading("co", "%", sided=False),
    limit("wide", 10.0, "mmHg", far=20.0),
    limit("fine", 3.0, "mmHg"),
    limit("half", 50.0, "%", far=25.0),
    limit("behind", 50.0, "rpm", far=100.0),
    limit("fastest", 1100.0, "rpm", figure="idle", end="high", far=200.0),
    limit("slowest", 900.0, "rpm", figure="idle", end="low", far=100.0),
    limit("moved", 0.5, "mm"),
    limit("hottest", 86.0, "F"),
    limit("richest", 4.0, "%"),
    rule("apart", LEAD, shows=["higher this"]),
    rule("far", FAR_LEAD, shows=["higher this"]),
    rule("fine", FINE, shows=["higher this"]),
    rule("under", UNDER, shows=["weak this"]),
    rule("fast", FAST, "weak this", shows=["fast"]),
    rule("slow", SLOW, shows=["fast"]),
    rule("moved", MOVED, shows=["weak this"]),
    rule("hot", HOT, shows=["fast"]),
    sign("higher", sided=True),
    sign("weak", sided=True),
    sign("fast"),
)
KPA = 0.133322387415  # of 1 mmHg: NIST SP 811, appendix B.8


def figure(of: str, name: str, side: Side, low: float, high: float, written: str = "") -> Reduced:
    unit = "%" if of == "lead %" else BASE.readings[name].unit
    value = (low + high) / 2 if math.isfinite(low) and math.isfinite(high) else math.inf
    return Reduced(
        of=of,
        reading=name,
        side=side,
        value=value,
        low=low,
        high=high,
        unit=unit,
        written=written or unit,
        head=name,
        words="as told",
    )


def held(*figures: Reduced, bike: Bike | None = None, base: Rulebase = BASE) -> dict[tuple[str, Side], Judged]:
    return {(one.name, one.side): one for one in judge(figures, bike or Bike(), base)}


def only(one: Reduced, bike: Bike | None = None) -> dict[str, bool | None]:
    return {name: found.held for (name, _), found in held(one, bike=bike).items()}


def test_each_question_has_a_name() -> None:
    assert question(LEAD) == "column lead above wide"
    assert question(UNDER) == "drop lead below behind"
    assert question(FAST) == "idle above fastest"
    assert question(SLOW) == "idle below slowest"
    assert question(MOVED) == "slack change above moved"
    assert questions(BASE)["idle above fastest"] is FAST
    assert len(questions(BASE)) == 8


@pytest.mark.parametrize(
    ("low", "high", "fast", "slow"),
    [
        (1101.0, 1120.0, True, False),
        (1100.0, 1120.0, None, False),
        (1080.0, 1100.0, False, False),
        (900.0, 1000.0, False, False),
        (899.0, 1000.0, False, None),
        (880.0, 899.0, False, True),
        (880.0, 900.0, False, None),
    ],
)
def test_a_limit_is_passed_only_where_the_whole_figure_lies_beyond(
    low: float, high: float, fast: bool | None, slow: bool | None
) -> None:
    """ISO 14253-1:2017; on the limit itself is neither above nor below it."""
    assert only(figure("reading", "idle", None, low, high)) == {"idle above fastest": fast, "idle below slowest": slow}


def test_a_lead_below_the_other_side_is_the_other_sides_lead_above() -> None:
    name = "drop lead below behind"
    found = held(figure("lead", "drop", "left", -80.0, -60.0), figure("lead", "drop", "right", 60.0, 80.0))
    assert (found[name, "left"].held, found[name, "right"].held) == (True, False)
    assert (found[name, "left"].by, found[name, "right"].by) == (70.0, -70.0)
    assert held(figure("lead", "drop", "left", -80.0, -50.0))[name, "left"].held is None
    assert held(figure("lead", "drop", "left", -50.0, -40.0))[name, "left"].held is False


@given(st.floats(-200, 200), st.floats(0, 49))
def test_both_sides_are_never_behind(lead: float, half: float) -> None:
    pair = (
        figure("lead", "drop", "left", lead - half, lead + half),
        figure("lead", "drop", "right", -lead - half, half - lead),
    )
    found = [one.held for one in held(*pair).values()]
    assert len(found) == 2
    assert found.count(True) <= 1


def test_a_limit_is_held_in_the_unit_of_the_reading() -> None:
    assert limit_for(LEAD, Bike(), BASE) == pytest.approx(10 * KPA)
    assert limit_for(FAR_LEAD, Bike(), BASE) == 50.0
    assert limit_for(HOT, Bike(), BASE) == pytest.approx(30.0)  # 86 F
    warmer = replace(HOT, of="lead")
    assert limit_for(warmer, Bike(), BASE) == pytest.approx(86 * 5 / 9)  # a difference has no zero point


def test_the_bikes_own_figure_goes_before_the_default() -> None:
    bike = Bike(figures={"idle": (700.0, 800.0)})
    assert limit_for(FAST, bike, BASE) == 800.0
    assert limit_for(SLOW, bike, BASE) == 700.0
    assert only(figure("reading", "idle", None, 780.0, 790.0), bike)["idle below slowest"] is False
    assert limit_for(MOVED, bike, BASE) == 0.5


def test_a_lead_is_taken_in_per_cent_where_its_limit_is() -> None:
    assert figure_of(FAR_LEAD, BASE) == "lead %"
    assert figure_of(LEAD, BASE) == "lead"
    assert figure_of(MOVED, BASE) == "change"
    assert figure_of(over("column", "half"), BASE) == "reading"
    assert figure_of(over("co", "richest", of="lead"), BASE) == "lead"  # a reading that is itself a share
    found = held(figure("lead %", "column", "left", 55.0, 60.0))
    assert {name: one.held for (name, _), one in found.items()} == {"column lead above half": True}


@pytest.mark.parametrize(
    ("low", "high", "grade"),
    [
        (1301.0, 1320.0, "far"),
        (1300.0, 1320.0, ""),
        (1280.0, 1300.0, "a little"),
        (1101.0, 1120.0, "a little"),
        (1000.0, 1010.0, ""),
    ],
)
def test_how_far_over_its_limit(low: float, high: float, grade: str) -> None:
    found = held(figure("reading", "idle", None, low, high))["idle above fastest", None]
    assert found.grade == grade
    assert found.said.endswith(", far over") is (grade == "far")


@pytest.mark.parametrize(
    ("low", "high", "grade"), [(780.0, 799.0, "far"), (790.0, 810.0, ""), (800.0, 850.0, "a little")]
)
def test_how_far_under_its_limit(low: float, high: float, grade: str) -> None:
    assert held(figure("reading", "idle", None, low, high))["idle below slowest", None].grade == grade


@pytest.mark.parametrize(("low", "grade"), [(151.0, "far"), (150.0, ""), (60.0, "a little")])
def test_how_far_a_lead_is_over_its_limit(low: float, grade: str) -> None:
    high = 160.0 if low > 100 else 80.0
    assert held(figure("lead", "drop", "left", -high, -low))["drop lead below behind", "left"].grade == grade
    apart = held(figure("lead", "column", "left", 31 * KPA, 32 * KPA))["column lead above wide", "left"]
    assert apart.grade == "far"  # ten, and twenty beyond
    share = held(figure("lead %", "column", "left", 76.0, 80.0))["column lead above half", "left"]
    assert share.grade == "far"


def test_a_limit_that_does_not_say_what_is_far_has_no_grade() -> None:
    assert held(figure("change", "slack", "left", 50.0, 60.0))["slack change above moved", "left"].grade == ""


def test_the_figure_and_its_limit_are_said_in_the_mechanics_unit() -> None:
    def said(one: Reduced) -> list[str]:
        return [found.said for found in held(one).values()]

    assert said(figure("reading", "idle", None, 1110.0, 1130.0))[0] == "idle: as told; 1120 rpm against 1100 rpm"
    lead = said(figure("lead", "column", "left", 15 * KPA, 25 * KPA, written="mmHg"))[0]
    assert lead == "column: as told; 20 mmHg against 10 mmHg"
    own = said(figure("lead", "column", "left", 4.0, 6.0))[0]
    assert own == "column: as told; 5 kPa against 1.33 kPa (10 mmHg), far over"
    assert said(figure("reading", "heat", None, 34.0, 36.0)) == ["heat: as told; 35 C against 30 C (86 F)"]
    assert said(figure("reading", "heat", None, 34.0, 36.0, written="F")) == ["heat: as told; 95 F against 86 F"]
    share = said(figure("lead %", "column", "left", 55.0, 65.0))
    assert share == ["column: as told; 60 % against 50 %"]
    behind = said(figure("lead", "drop", "left", -90.0, -70.0))
    assert behind == ["drop: as told; 80 rpm against 50 rpm"]


def test_what_was_held_says_what_it_is_of_and_by_how_much() -> None:
    (lead,) = held(figure("lead", "drop", "left", -90.0, -70.0)).values()
    assert (lead.reading, lead.of, lead.limit, lead.by) == ("drop", "lead", "behind", 80.0)
    assert lead.against == "80 rpm against 50 rpm"
    change = held(figure("change", "slack", "left", 0.6, 0.8))["slack change above moved", "left"]
    assert change.of == "change"
    assert change.by == pytest.approx(0.7)
    fast = held(figure("reading", "idle", None, 1310.0, 1330.0))
    assert (fast["idle above fastest", None].of, fast["idle above fastest", None].by) == ("reading", 1320.0)
    assert fast["idle below slowest", None].by == 1320.0
    assert fast["idle above fastest", None].against == "1320 rpm against 1100 rpm, far over"
    more = held(figure("lead", "column", "left", 15 * KPA, 25 * KPA))["column lead above wide", "left"]
    assert more.by == pytest.approx(20 * KPA)


def test_a_lead_of_temperatures_has_no_zero_point() -> None:
    """Ten degrees C apart are eighteen degrees F apart: arithmetic."""
    base = rulebase(
        reading("head", "C"),
        limit("apart", 18.0, "F"),
        rule("r", over("head", "apart", of="lead"), shows=["hot this"]),
        sign("hot", sided=True),
    )
    one = replace(figure("lead", "column", "left", 11.0, 13.0), reading="head", unit="C", written="C")
    (found,) = held(one, base=base).values()
    assert (found.held, found.against) == (True, "12 C against 10 C (18 F)")


def test_a_share_is_said_once() -> None:
    """A reading that is a share itself: its limit is in its own unit, and not said in brackets once more."""
    base = rulebase(
        reading("co", "%", sided=False),
        limit("richest", 4.0, "%"),
        rule("r", over("co", "richest", bearing="none"), shows=["rich"]),
        sign("rich"),
    )
    one = replace(figure("reading", "idle", None, 5.0, 7.0), reading="co", unit="%", written="%")
    (found,) = held(one, base=base).values()
    assert found.against == "6 % against 4 %"


def test_a_stall_is_said_as_such() -> None:
    (one,) = held(figure("lead", "drop", "right", 100.0, math.inf)).values()
    assert one.said == "drop: as told; a stall against 50 rpm"
    assert one.held is False
    assert (one.reading, one.limit) == ("drop", "behind")


def test_what_the_instrument_cannot_tell_is_not_asked_where_a_coarser_question_is() -> None:
    """Within 4 mmHg, a lead of 3 cannot be told; whether it is 10 still is the question, even too close to call."""
    rough = held(figure("lead", "column", "left", -4 * KPA, 4 * KPA))
    assert {name: one.held for (name, _), one in rough.items()} == {"column lead above wide": False}
    wild = held(figure("lead", "column", "left", -11 * KPA, 11 * KPA))
    assert {name: one.held for (name, _), one in wild.items()} == {"column lead above wide": None}
    good = held(figure("lead", "column", "left", 2 * KPA, 5 * KPA))
    assert {name: one.held for (name, _), one in good.items()} == {
        "column lead above wide": False,
        "column lead above fine": None,
    }
    clear = held(figure("lead", "column", "left", 4 * KPA, 12 * KPA))
    assert clear["column lead above fine", "left"].held is True  # what is decided stands, however read


def test_too_fine_is_what_level_sides_could_not_settle_either() -> None:
    on_it = figure("lead", "column", "left", 0.0, 6.001 * KPA)
    assert ("column lead above fine", "left") not in held(on_it)
    just = figure("lead", "column", "left", 0.5 * KPA, 6 * KPA)
    assert held(just)["column lead above fine", "left"].held is None
    open_end = figure("lead", "column", "left", 1 * KPA, math.inf)
    assert ("column lead above fine", "left") in held(open_end)
    reading_only = figure("reading", "idle", None, -2000.0, 4000.0)
    assert only(reading_only) == {"idle above fastest": None, "idle below slowest": None}


def test_of_the_questions_whether_the_sides_differ_the_coarsest_comes_first() -> None:
    assert of_sides(BASE) == {
        "column": ["column lead above wide", "column lead above fine", "column lead above half"],
        "drop": ["drop lead below behind"],
    }
    silent = replace(BASE, rules=BASE.rules | {"apart": replace(BASE.rules["apart"], shows=())})
    assert of_sides(silent)["column"] == ["column lead above fine", "column lead above half"]


def test_figures_of_the_bike_that_were_needed_and_are_not_on_its_sheet() -> None:
    judged = [blank(Judged, limit=name, held=None) for name in ("fastest", "slowest", "moved")]
    assert unknown_figures(judged, Bike(), BASE) == ["idle"]
    assert unknown_figures(judged, Bike(figures={"idle": (1.0, 2.0)}), BASE) == []
    assert unknown_figures(judged[2:], Bike(), BASE) == []


def test_a_figure_that_nobody_asks_about_is_not_judged() -> None:
    assert held(figure("stays", "column", None, 1.0, 2.0)) == {}
    assert held(figure("reading", "column", "left", 1.0, 2.0)) == {}
