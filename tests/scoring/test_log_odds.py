"""How far a check raised the odds of a fault, in bits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.scoring.log_odds import given as chance_of
from advisor.scoring.log_odds import raised
from advisor.sides import Sided

CHANCES = st.floats(0.01, 0.99)


def test_twice_the_odds_is_one_bit() -> None:
    assert raised(0.5, 2 / 3) == pytest.approx(1)
    assert raised(2 / 3, 0.5) == pytest.approx(-1)


@given(CHANCES, CHANCES, CHANCES)
def test_bits_of_two_checks_add_up(first: float, second: float, third: float) -> None:
    assert raised(first, second) + raised(second, third) == pytest.approx(raised(first, third), abs=1e-9)
    assert math.copysign(1, raised(first, third)) == math.copysign(1, third - first) or first == third


def test_the_likeliest_fault_counts() -> None:
    chances: dict[Sided, float] = {("leak", "left"): 0.1, ("leak", "right"): 0.4, ("jet", None): 0.9}
    assert chance_of(chances, [("leak", "left"), ("leak", "right")]) == 0.4
    assert chance_of(chances, []) == 0.0
