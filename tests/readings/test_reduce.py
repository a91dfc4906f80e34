"""Readings get bounds; leads, sums, exchanged hoses and changes are made of them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Measured
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.rulebase import Rulebase
from advisor.sides import BOTH, Side

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
