"""Tyre sizes, gears and turns: arithmetic by the printed designations."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.readings.road import engine_speed, tyre_diameter, wheel_rate


@pytest.mark.parametrize(
    ("size", "millimetres"),
    [
        ("120/90-18", 457.2 + 216),
        ("120/90B18", 457.2 + 216),
        ("120/90 VB18", 457.2 + 216),
        ("90/100 18", None),
        ("4.00-18", 457.2 + 203.2),
        ("3.25 H19", 482.6 + 165.1),
        ("4.0-18", None),
        ("x120/90-18", None),
        ("", None),
        ("000/00-00", None),
        ("0.00-00", None),
        ("999/99-18", None),
        ("120/10-18", None),
        ("120/90-07", None),
        ("120/90-31", None),
        ("120/90-180", None),
        ("9.99-18", None),
        ("١٢٠/90-18", None),
    ],
)
def test_tyre_sizes_as_they_are_printed(size: str, millimetres: float | None) -> None:
    """Rim and twice the section height (ISO 5751-1); an inch size is as high as it is wide. Others fit no wheel."""
    found = tyre_diameter(size)
    assert found == (None if millimetres is None else pytest.approx(millimetres / 1000))


def test_tyre_and_gearing() -> None:
    """Size arithmetic (ISO 5751-1 designations): 120/90-18 is 673.2 mm; 100 km/h at 4.5:1 is 3,546 rpm."""
    diameter = tyre_diameter("120/90-18")
    assert diameter is not None
    assert diameter == pytest.approx(0.6732, abs=1e-4)
    assert engine_speed(100 / 3.6, diameter, 4.5) == pytest.approx(3546, abs=1)
    assert tyre_diameter("4.00-18") == pytest.approx(0.6604)
    assert tyre_diameter("120/90 B 18") == tyre_diameter("120/90-18")
    assert tyre_diameter("big") is None


@given(speed=st.floats(1, 80), diameter=st.floats(0.5, 0.8), ratio=st.floats(3, 20))
def test_wheel_and_engine_keep_their_ratio(speed: float, diameter: float, ratio: float) -> None:
    assert engine_speed(speed, diameter, ratio) / 60 == pytest.approx(wheel_rate(speed, diameter) * ratio)
    assert wheel_rate(speed, diameter) * math.pi * diameter == pytest.approx(speed)
