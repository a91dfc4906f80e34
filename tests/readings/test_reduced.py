"""One reduced figure: where it may lie, and the words it came from."""

import math

import pytest

from advisor.case import Measured
from advisor.readings.reduced import Reduced, around, as_measured, derived
from advisor.rulebase import Rulebase
from advisor.sides import Side
from tests.small import reading, rulebase


@pytest.fixture(scope="module")
def base() -> Rulebase:
    """Return a tachometer that stalls say something of."""
    return rulebase(reading("drop", "rpm", instrument=6.0, stalls=400.0), reading("depth", "kPa", instrument=1.0))


def read(*values: float, give: float = 10.0, unit: str = "rpm", side: Side = "left", **more: object) -> Measured:
    name = "drop" if unit == "rpm" else "depth"
    return Measured(reading=name, side=side, values=values, give=give, given="as told", unit=unit, **more)  # type: ignore[arg-type]  # fields


def test_one_figure_is_trusted_as_it_is(base: Rulebase) -> None:
    assert as_measured(read(200.0), base) == Reduced(
        of="reading",
        reading="drop",
        side="left",
        value=200.0,
        low=190.0,
        high=210.0,
        unit="rpm",
        written="rpm",
        head="drop left",
        words="as told",
    )


def test_the_instrument_is_never_trusted_less_than_the_reading(base: Rulebase) -> None:
    """Somebody who trusts a reading within 2 rpm knows his tachometer: repeats are then no worse than one."""
    one = as_measured(read(200.0, 200.0, give=2.0), base)
    assert one.half <= 2.0


def test_repeats_say_their_mean_in_the_unit_they_were_written_in(base: Rulebase) -> None:
    assert as_measured(read(200.0, 210.0, side=None), base).said == "drop: as told (mean 205 rpm)"
    mercury = as_measured(read(10.0, 12.0, unit="mmHg"), base)
    assert mercury.value == 11.0
    assert mercury.said == "depth left: as told (mean 82.5 mmHg)"  # 11 kPa: NIST SP 811, appendix B.8
    assert (mercury.unit, mercury.written) == ("kPa", "mmHg")


def test_repeats_are_trusted_more_than_one(base: Rulebase) -> None:
    assert as_measured(read(200.0, 200.0, 200.0), base).half < as_measured(read(200.0), base).half


def test_a_gauge_pair_is_its_middle(base: Rulebase) -> None:
    one = as_measured(read(bounds=(150.0, 180.0)), base)
    assert (one.value, one.low, one.high, one.half) == (165.0, 150.0, 180.0, 15.0)


def test_nothing_but_stalls_is_a_lower_bound(base: Rulebase) -> None:
    one = as_measured(read(stalls=2), base)
    assert (one.value, one.low, one.high) == (math.inf, 400.0, math.inf)


def test_some_stalls_open_the_upper_end(base: Rulebase) -> None:
    one = as_measured(read(300.0, stalls=1), base)
    assert (one.value, one.low, one.high) == (300.0, 290.0, math.inf)


def test_what_is_made_of_a_figure_keeps_its_side_and_unit(base: Rulebase) -> None:
    one = as_measured(read(200.0), base)
    made = derived(one, "lead", 5.0, around(5.0, 2.0), "as told, right 195 rpm")
    assert (made.of, made.value, made.low, made.high) == ("lead", 5.0, 3.0, 7.0)
    assert (made.side, made.unit, made.reading, made.written) == ("left", "rpm", "drop", "rpm")
    assert made.words == "as told, right 195 rpm"
    assert one.words == "as told"
