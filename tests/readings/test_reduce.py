"""Readings get bounds; leads, sums, exchanged hoses and changes are made of them."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Measured
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.rulebase import Rulebase
from advisor.sides import BOTH, Side, other
from tests.small import reading, rulebase

Found = dict[tuple[str, str, Side], Reduced]
MMHG = 0.133322387415  # kPa


def measured(reading: str, side: Side, *values: float, give: float = 0.0) -> Measured:
    """Return a reading; given in its own unit."""
    given = ", ".join(f"{value:g}" for value in values)
    return Measured(reading=reading, side=side, values=values, give=give, given=given, unit="mm")


def found(base: Rulebase, *given: Measured, before: tuple[Measured, ...] = ()) -> Found:
    """Return all that is made of some readings."""
    return {(one.of, one.reading, one.side): one for one in reduce(given, before, base)}


def test_a_lead_has_the_uncertainties_of_both(base: Rulebase) -> None:
    """Independent uncertainties add as squares: JCGM 100:2008 (guide to the expression of uncertainty), 5.1.2."""
    pair = [measured("column-idle", side, value, give=0.3) for side, value in zip(BOTH, (30.0, 26.0), strict=True)]
    made = found(base, *pair)
    lead = made["lead", "column-idle", "left"]
    assert lead.value == pytest.approx(4.0)
    assert lead.high - lead.value == pytest.approx(math.hypot(0.3, 0.3))
    assert made["lead", "column-idle", "right"].value == pytest.approx(-4.0)
    assert made["lead %", "column-idle", "right"].value == pytest.approx(-100 * 4 / 30)


def test_one_side_alone_has_no_lead(base: Rulebase) -> None:
    assert {of for of, _, _ in found(base, measured("column-idle", "left", 30.0))} == {"reading"}


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 5))
def test_bounds_hold_the_value_and_sides_mirror(base: Rulebase, left: float, right: float, give: float) -> None:
    pair = [measured("column-idle", side, value, give=give) for side, value in zip(BOTH, (left, right), strict=True)]
    made = found(base, *pair)
    for one in made.values():
        assert one.low <= one.value <= one.high
    assert made["lead", "column-idle", "left"].value == -made["lead", "column-idle", "right"].value
    assert (("lead %", "column-idle", "left") in made) == (("lead %", "column-idle", "right") in made)


def test_a_gauge_pair_bounds_the_figure(base: Rulebase) -> None:
    made = found(base, replace(measured("clearance-inlet", "left"), bounds=(0.1524, 0.1778)))
    one = made["reading", "clearance-inlet", "left"]
    assert (one.low, one.high) == (0.1524, 0.1778)


def test_a_stall_is_a_bound_and_no_figure(base: Rulebase) -> None:
    least = base.readings["drop-idle"].stalls
    made = found(
        base, replace(measured("drop-idle", "left"), stalls=2), measured("drop-idle", "right", 150.0, give=20.0)
    )
    assert made["reading", "drop-idle", "left"].low == least
    lead = made["lead", "drop-idle", "right"]
    assert lead.high == pytest.approx(150 + 20 - least)
    assert lead.low == -math.inf


def test_a_stall_leaves_at_most_a_share(base: Rulebase) -> None:
    """Arithmetic: of a drop of more than 400 rpm, 100 rpm is less than a quarter."""
    bound = base.readings["drop-idle"].stalls
    stalled = {side: replace(measured("drop-idle", side), stalls=2) for side in BOTH}
    made = found(base, stalled["right"], measured("drop-idle", "left", bound / 4))
    assert made["lead %", "drop-idle", "right"].low == pytest.approx(75, abs=5)
    assert made["lead %", "drop-idle", "left"].high == -made["lead %", "drop-idle", "right"].low
    nearer = found(base, stalled["right"], measured("drop-idle", "left", bound + 10))
    assert ("lead %", "drop-idle", "left") not in {**nearer, **found(base, *stalled.values())}


def test_some_stalls_open_the_upper_end_only(base: Rulebase) -> None:
    one = found(base, replace(measured("drop-idle", "left", 300.0, 310.0, give=20.0), stalls=1))[
        "reading", "drop-idle", "left"
    ]
    assert one.high == math.inf
    assert one.low < 305


def test_a_difference_read_directly_is_both_leads(base: Rulebase) -> None:
    made = found(base, replace(measured("column-idle", "left", 3.0, give=0.4), over_other=True))
    assert made["lead", "column-idle", "left"].value == 3.0
    assert made["lead", "column-idle", "right"].value == -3.0
    assert made["lead", "column-idle", "right"].low == -3.4
    assert ("reading", "column-idle", "left") not in made


@given(st.floats(-10, 10), st.floats(-10, 10))
def test_exchanged_hoses_part_the_instrument_from_the_engine(base: Rulebase, error: float, true: float) -> None:
    """The left leg reads E too much, the left carburettor pulls T more: both come out, whatever they are."""
    legs = [measured("column-idle", "left", 30 + error + true), measured("column-idle", "right", 30.0)]
    legs += [measured("column-exchanged", "left", 30 + error), measured("column-exchanged", "right", 30.0 + true)]
    made = found(base, *legs)
    assert made["stays", "column-exchanged", None].value == pytest.approx(abs(error), abs=1e-9)
    assert made["lead", "column-idle", "left"].value == pytest.approx(true, abs=1e-9)
    assert made["lead", "column-idle", "right"].value == pytest.approx(-true, abs=1e-9)


def test_two_resistors_in_series_add_up(base: Rulebase) -> None:
    """Resistor plug of 5 kohm in a cap of 5 kohm: 10 kohm (Ohm's law)."""
    parts = [measured(name, "left", 5.0, give=0.2) for name in ("cap-resistance", "plug-resistance")]
    path = found(base, *parts)["reading", "plug-path-resistance", "left"]
    assert path.value == 10.0
    assert path.high == pytest.approx(10 + math.hypot(0.2, 0.2))
    direct = found(base, *parts, measured("plug-path-resistance", "left", 9.0))
    assert direct["reading", "plug-path-resistance", "left"].value == 9.0


def test_a_change_is_how_far_it_moved_either_way(base: Rulebase) -> None:
    for now in (2.0, 1.0):
        made = found(base, measured("stop-turns", "left", now), before=(measured("stop-turns", "left", 1.5),))
        assert made["change", "stop-turns", "left"].value == pytest.approx(0.5)
    assert ("change", "stop-turns", "left") not in found(base, measured("stop-turns", "left", 1.0))


# On a small rule base: each figure with its bounds and its words.

SMALL = rulebase(
    reading("column", "kPa", zeroed_by="rest"),
    reading("rest", "kPa"),
    reading("exchanged", "kPa", exchanges="column"),
    reading("drop", "rpm", stalls=400.0),
    reading("cap", "mm"),
    reading("plug", "mm"),
    reading("path", "mm", adds=("cap", "plug")),
)


def told(name: str, side: Side, *values: float, give: float = 1.0, **more: Any) -> Measured:
    """Return a reading of the small rule base as it was told."""
    unit = more.pop("unit", SMALL.readings[name].unit)
    given = " ".join(f"{value:g}" for value in values) or "a stall"
    return Measured(reading=name, side=side, values=values, give=give, given=given, unit=unit, **more)


def made(*given: Measured, before: tuple[Measured, ...] = ()) -> Found:
    return found(SMALL, *given, before=before)


@pytest.mark.parametrize("side", BOTH)
def test_each_lead_says_both_figures(side: Side) -> None:
    lead = made(told("drop", side, 300.0, give=30.0), told("drop", other(side), 200.0, give=40.0))["lead", "drop", side]
    assert (lead.value, lead.low, lead.high) == (100.0, 50.0, 150.0)  # 30 and 40 add as squares
    assert lead.said == f"drop {side}: 300, {other(side)} 200"
    assert (lead.side, lead.unit, lead.written) == (side, "rpm", "rpm")


def test_an_open_end_stays_open_in_the_lead() -> None:
    found_ = made(told("drop", "left", 300.0, give=30.0, stalls=1), told("drop", "right", 200.0, give=40.0))
    left, right = found_["lead", "drop", "left"], found_["lead", "drop", "right"]
    assert (left.low, left.high) == (50.0, math.inf)
    assert (right.low, right.high) == (-math.inf, -50.0)


@pytest.mark.parametrize("side", BOTH)
def test_a_lead_in_per_cent_of_the_higher(side: Side) -> None:
    found_ = made(told("drop", side, 300.0, give=30.0), told("drop", other(side), 200.0, give=40.0))
    share = found_["lead %", "drop", side]
    assert (share.value, share.low, share.high) == pytest.approx((100 / 3, 50 / 3, 50.0))
    assert (share.unit, share.written, share.said) == ("%", "%", f"drop {side}: 300, {other(side)} 200")
    assert found_["lead %", "drop", other(side)].value == pytest.approx(-100 / 3)


def test_a_share_of_what_may_be_nothing_is_no_figure() -> None:
    def shares(left: float, right: float, give: float) -> bool:
        return ("lead %", "drop", "left") in made(
            told("drop", "left", left, give=give), told("drop", "right", right, give=give)
        )

    assert shares(10.0, 0.0, 7.0)  # 7 and 7 make 9.9
    assert not shares(10.0, 0.0, 7.1)
    assert not shares(0.0, 0.0, 0.0)
    assert shares(-10.0, 0.0, 7.0)
    assert not shares(-10.0, 0.0, 7.1)


@pytest.mark.parametrize("side", BOTH)
def test_the_share_of_a_stall_is_bounded_by_what_it_says_at_least(side: Side) -> None:
    """Arithmetic: 100 rpm, at most 120, of 400 or more: 70 per cent less, or more."""
    found_ = made(told("drop", side, stalls=1), told("drop", other(side), 100.0, give=20.0))
    mine, theirs = found_["lead %", "drop", side], found_["lead %", "drop", other(side)]
    assert (mine.low, mine.high) == pytest.approx((70.0, math.inf))
    assert (theirs.low, theirs.high) == pytest.approx((-math.inf, -70.0))
    assert (mine.value, mine.unit, mine.written) == (math.inf, "%", "%")
    assert mine.said == f"drop {side}: a stall, {other(side)} 100"


def test_a_share_of_a_stall_needs_a_drop_clearly_below_it() -> None:
    def shares(left: float) -> bool:
        return ("lead %", "drop", "left") in made(
            told("drop", "left", left, give=20.0), told("drop", "right", stalls=1)
        )

    assert shares(379.0)
    assert not shares(380.0)
    assert not shares(500.0)
    least = made(told("drop", "left", -50.0, give=20.0), told("drop", "right", stalls=1))["lead %", "drop", "right"]
    assert least.low == 100.0  # no more than all of it


@pytest.mark.parametrize("side", BOTH)
def test_a_difference_told_is_both_leads_with_its_words(side: Side) -> None:
    found_ = made(told("column", side, 3.0, over_other=True))
    mine, theirs = found_["lead", "column", side], found_["lead", "column", other(side)]
    assert (mine.value, mine.low, mine.high) == (3.0, 2.0, 4.0)
    assert (theirs.value, theirs.low, theirs.high) == (-3.0, -4.0, -2.0)
    assert mine.said == theirs.said == f"column: {side} more by 3"
    assert len(found_) == 2
    bounds = made(told("column", side, over_other=True, bounds=(1.0, 4.0)))["lead", "column", other(side)]
    assert (bounds.low, bounds.high) == (-4.0, -1.0)


def test_several_differences_told_stand_beside_each_other() -> None:
    found_ = made(told("column", "left", 3.0, over_other=True), told("drop", "right", 20.0, over_other=True))
    assert {(reading_, side) for _, reading_, side in found_} == {(n, s) for n in ("column", "drop") for s in BOTH}


def test_what_stands_at_rest_is_taken_off_its_own_leg() -> None:
    found_ = made(
        told("column", "left", 30.0, give=3.0),
        told("column", "right", 28.0, give=3.0),
        told("rest", "left", 2.0, give=4.0),
    )
    left = found_["reading", "column", "left"]
    assert (left.value, left.low, left.high) == (28.0, 23.0, 33.0)  # 3 and 4 add as squares
    assert left.said == "column left: 30, at rest 2"
    assert found_["reading", "column", "right"].value == 28.0
    assert found_["lead", "column", "left"].value == 0.0


def test_a_sum_is_made_where_all_its_parts_are_there() -> None:
    parts = told("cap", "left", 5.0, give=3.0), told("plug", "left", 6.0, give=4.0)
    whole = made(*parts)["reading", "path", "left"]
    assert (whole.value, whole.low, whole.high) == (11.0, 6.0, 16.0)
    assert whole.said == "cap left: 5 + plug left: 6"
    assert whole.side == "left"
    assert ("reading", "path", "left") not in made(parts[0])
    assert ("reading", "path", "right") not in made(*parts)
    assert made(*parts, told("path", "left", 20.0))["reading", "path", "left"].value == 20.0
    assert ("reading", "path", "left") not in made(parts[0], told("plug", "right", 6.0))


def test_exchanged_hoses_say_what_stays_and_what_is_the_engines() -> None:
    """Legs differ by E + T as connected and by E - T exchanged: E is 2 and T is 3 here."""
    found_ = made(
        told("column", "left", 35.0, give=3.0),
        told("column", "right", 30.0, give=0.0),
        told("exchanged", "left", 29.0, give=4.0),
        told("exchanged", "right", 30.0, give=0.0),
    )
    stays = found_["stays", "exchanged", None]
    assert (stays.value, stays.low, stays.high) == (2.0, 0.0, 4.5)
    assert stays.said == "column left: 35, right 30; exchanged left: 29, right 30"
    left, right = found_["lead", "column", "left"], found_["lead", "column", "right"]
    assert (left.value, left.low, left.high) == (3.0, 0.5, 5.5)
    assert (right.value, right.low, right.high) == (-3.0, -5.5, -0.5)
    assert left.said == right.said == stays.said
    assert (left.side, right.side) == ("left", "right")
    alone = made(told("exchanged", "left", 29.0), told("exchanged", "right", 30.0))
    assert not any(of == "stays" for of, _, _ in alone)


def test_what_stays_is_bounded_away_from_nothing_where_it_is_clear() -> None:
    legs = [told("column", "left", 40.0, give=0.0), told("column", "right", 30.0, give=0.0)]
    legs += [told("exchanged", "left", 40.0, give=3.0), told("exchanged", "right", 30.0, give=4.0)]
    stays = made(*legs)["stays", "exchanged", None]
    assert (stays.value, stays.low, stays.high) == (10.0, 7.5, 12.5)


def test_a_change_says_what_it_was_last_time() -> None:
    now, last = told("cap", "left", 9.0, give=3.0), told("cap", "left", 2.0, give=4.0)
    change = made(now, before=(last, told("cap", "right", 1.0)))["change", "cap", "left"]
    assert (change.value, change.low, change.high) == (7.0, 2.0, 12.0)
    assert change.said == "cap left: 9, last time 2"
    near = made(told("cap", "left", 2.5, give=3.0), before=(last,))["change", "cap", "left"]
    assert (near.low, near.high) == (0.0, 5.5)
    assert ("change", "cap", "right") not in made(now, before=(last,))
    lead = told("cap", "left", 2.0, over_other=True)
    assert ("change", "cap", "left") not in made(now, before=(lead,))


# Of one U-tube.


def _tube(left: float, right: float, unit: str = "mm of water", name: str = "column") -> Found:
    """Return what is made of two legs that were read in a unit; the figures are in kPa."""
    return made(told(name, "left", left, give=0.1, unit=unit), told(name, "right", right, give=0.1, unit=unit))


def test_of_the_legs_of_one_tube_only_the_difference_is_a_figure() -> None:
    found_ = _tube(5.0, 4.0)
    assert set(found_) == {("lead", "column", "left"), ("lead", "column", "right")}
    assert found_["lead", "column", "left"].value == 1.0


def test_a_fluid_is_known_by_each_of_its_names() -> None:
    for unit in ("mmH2O", "inH2O", '" of water', "mm of water"):
        assert ("reading", "column", "left") not in _tube(5.0, 4.0, unit)


def test_gauges_are_no_tube() -> None:
    for others in (
        _tube(5.0, 4.0, "kPa"),
        _tube(20.0, 19.0),
        _tube(5.0, 4.0, "mmHg"),
        _tube(5.0, 4.0, name="exchanged"),
    ):
        assert {of for of, _, _ in others} == {"reading", "lead", "lead %"}
    mixed = made(told("column", "left", 5.0, unit="mm of water"), told("column", "right", 4.0, unit="in of water"))
    assert ("reading", "column", "left") in mixed
    one_leg = made(told("column", "left", 5.0, unit="mm of water"))
    assert set(one_leg) == {("reading", "column", "left")}


def test_a_stated_density_decides_which_fluids_are_light() -> None:
    assert ("reading", "column", "left") not in _tube(5.0, 4.0, "mm of 860 kg/m3")
    assert ("reading", "column", "left") in _tube(5.0, 4.0, "mm of 2000 kg/m3")
    assert ("reading", "column", "left") not in _tube(5.0, 4.0, "in of water")
