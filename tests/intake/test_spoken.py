"""What is typed on a line: what can be meant in one way only is taken, whatever its form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import AdvisorError
from advisor.intake.spoken import spoken
from advisor.rulebase import Rulebase
from advisor.sides import Side


def values(base: Rulebase, name: str, words: str) -> dict[Side, tuple[float, ...]]:
    return {one.side: tuple(round(value, 6) for value in one.values) for one in spoken(name, words, base)}


@pytest.mark.parametrize(
    ("name", "words", "plain"),
    [
        ("drop-idle", "left 200, 210 rpm right 250", "left 200 rpm, 210 rpm right 250 rpm"),
        ("drop-idle", "LEFT 200 Right: 250", "left 200 rpm right 250 rpm"),
        ("drop-idle", "l=200 r=250", "left 200 rpm right 250 rpm"),
        ("column-idle", "l more by 12 mmHg", "left more by 12 mmHg"),
        ("column-idle", "left 240, 242 right 205 mmHg", "left 240 mmHg, 242 mmHg right 205 mmHg"),
        ("coil-secondary", "left open right 12 kohm", "left 10000 kohm right 12 kohm"),
        ("coil-primary", "l OL, infinite", "left 100000 ohm, 100000 ohm"),
        ("fuel-level", "24 mm left, 22 mm right", "left 24 mm right 22 mm"),
        ("fuel-level", "24 mm on the left and 22 on the right side", "left 24 mm right 22 mm"),
        ("fuel-level", "24 left 22 mm right", "left 24 mm right 22 mm"),
        ("fuel-level", "22 mm r, 24 mm l", "left 24 mm right 22 mm"),
        ("fuel-level", "24 and 22 mm left and right", "left 24 mm right 22 mm"),
        ("fuel-level", "both 24 mm", "left 24 mm right 24 mm"),
        ("fuel-level", "24 mm on both sides", "left 24 mm right 24 mm"),
        ("fuel-level", "24 mm left", "left 24 mm"),
        ("drop-idle", "200 rpm, 210 rpm left, 250 rpm right", "left 200 rpm, 210 rpm right 250 rpm"),
        ("idle-speed", "1,050 rpm, 1,060 rpm", "1050 rpm, 1060 rpm"),
        ("idle-speed", "1000 - 1100 rpm", "1000 to 1100 rpm"),
        ("idle-speed", "1000\u20131100 rpm", "1000 to 1100 rpm"),
        ("mixture-turns", "left 2 1/4 right 1-3/4", "left 2.25 turns right 1.75 turns"),
        ("column-at-rest", "left -3 mmHg right 2 mmHg", "left -3 mmHg, right 2 mmHg"),
        (
            "column-idle",
            "left 120 mm of 860 kg/m3 right 3/16 in of water",
            "left 120 mm of 860 kg/m3 right 0.1875 in of water",
        ),
    ],
)
def test_two_forms_of_one_thing(base: Rulebase, name: str, words: str, plain: str) -> None:
    assert values(base, name, words) == values(base, name, plain)
    assert any(values(base, name, plain).values())


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("column-idle", "left 240 mmHg, 32 right 205 kPa"),  # of two units, nobody knows which
        ("column-idle", "left 240 right 205"),
        ("cable-slack", "left 0,5 mm right 1 mm"),
        ("idle-speed", "1000 rpm 1010 rpm"),
        ("idle-speed", "1100-1000 rpm"),
        ("drop-idle", "left 200 l 210"),
    ],
)
def test_what_can_be_meant_in_two_ways_is_refused(base: Rulebase, name: str, words: str) -> None:
    with pytest.raises(AdvisorError):
        spoken(name, words, base)


@given(left=st.integers(0, 2000), right=st.integers(0, 2000))
def test_thousands_are_read_as_they_are_shown(base: Rulebase, left: int, right: int) -> None:
    assert values(base, "drop-idle", f"left {left:,} rpm right {right:,}") == {"left": (left,), "right": (right,)}
