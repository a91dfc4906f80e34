"""Readings get bounds, and leads where both sides are known."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.readings.reduce import reduce
from advisor.records import Measured
from advisor.rulebase import Rulebase


def _pair(left: float, right: float, give: float, unit: str = "mmHg") -> tuple[Measured, ...]:
    def one(side: str, value: float) -> Measured:
        given = f"{value / 0.133322387415:.0f} mmHg"
        return Measured(reading="column-idle", side=side, value=value, give=give, given=given, unit=unit)  # type: ignore[arg-type]  # a side

    return one("left", left), one("right", right)


def test_a_lead_has_the_uncertainties_of_both(base: Rulebase) -> None:
    """Independent uncertainties add as squares: JCGM 100:2008 (guide to the expression of uncertainty), 5.1.2."""
    found = {(one.of, one.side): one for one in reduce(_pair(30.0, 26.0, 0.3), base)}
    lead = found["lead", "left"]
    assert lead.value == pytest.approx(4.0)
    assert lead.high - lead.value == pytest.approx(math.hypot(0.3, 0.3))
    assert found["lead", "right"].value == pytest.approx(-4.0)
    assert found["lead %", "right"].value == pytest.approx(-100 * 4 / 30)
    assert lead.said == "column-idle: left 225 mmHg, right 195 mmHg (left 30 mmHg more)"


def test_one_side_alone_has_no_lead(base: Rulebase) -> None:
    assert {one.of for one in reduce(_pair(30.0, 26.0, 0.3)[:1], base)} == {"reading"}


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 5))
def test_bounds_hold_the_value_and_sides_mirror(base: Rulebase, left: float, right: float, give: float) -> None:
    found = {(one.of, one.side): one for one in reduce(_pair(left, right, give), base)}
    for one in found.values():
        assert one.low <= one.value <= one.high
    assert found["lead", "left"].value == -found["lead", "right"].value
    assert (("lead %", "left") in found) == (("lead %", "right") in found)
