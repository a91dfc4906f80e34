"""Units at the edge, against the units library's own definitions and published constants."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.quantities import (
    ENGINE_SPEED,
    Quantity,
    convert,
    parse,
    parse_within,
    show,
    unit_table,
    units_like,
    widen,
)

TABLE = unit_table()

# (figure, unit, in unit, value, where from)
CONSTANTS = [
    (1, "mmHg", "kPa", 0.133322387415, "ISO 80000-4: conventional millimetre of mercury; pint"),
    (1, "inHg", "kPa", 3.38638864, "NIST SP 811, inch of mercury, conventional; pint"),
    (1, "in", "mm", 25.4, "NIST SP 811, inch"),
    (1, "thou", "mm", 0.0254, "one thousandth of the inch"),
    (1, "bar", "kPa", 100, "BIPM SI brochure, bar"),
    (1, "psi", "kPa", 6.894757, "NIST SP 811, pound-force per square inch"),
    (1, "mph", "km/h", 1.609344, "NIST SP 811, mile"),
    (32, "F", "C", 0, "NIST SP 811, degree Fahrenheit"),
    (212, "F", "C", 100, "NIST SP 811, degree Fahrenheit"),
    (1, "kohm", "ohm", 1000, "SI prefix"),
    (1, "Mohm", "kohm", 1000, "SI prefix"),
    (10, "cmHg", "mmHg", 100, "SI prefix"),
    (10, "cm", "mm", 100, "SI prefix"),
    (1, "ft", "m", 0.3048, "NIST SP 811, foot"),
    (1, "in of water", "kPa", 0.24908891, "pint, inch_H2O"),
    (1, "mm of mercury", "kPa", 0.133322387415, "ISO 80000-4, conventional millimetre of mercury"),
    (
        117.208760,
        "mm of oil",
        "kPa",
        1.0,
        "1000 Pa / (870 kg/m3 x 9.80665 m/s2); the density: common practice, no source",
    ),
    (11.7208760, "cm oil", "kPa", 1.0, "the same"),
    (101.971621, "mm water", "kPa", 1.0, "ISO 80000-4, conventional millimetre of water: 9.80665 Pa"),
    (118.571653, "mm of 860 kg/m3", "kPa", 1.0, "fluids.core.head_from_P(1000, 860)"),
    (118.571653, "mm of 0.86 g/cm3", "kPa", 1.0, "fluids.core.head_from_P(1000, 860)"),
    (20, "°C", "F", 68, "NIST SP 811, degree Fahrenheit"),
]


@pytest.mark.parametrize(("figure", "unit", "to", "value", "source"), CONSTANTS)
def test_conversions(figure: float, unit: str, to: str, value: float, source: str) -> None:
    assert convert(figure, unit, to, TABLE) == pytest.approx(value, rel=1e-6, abs=1e-9), source


@pytest.mark.parametrize(
    ("text", "unit", "wanted"),
    [
        ("0.15 mm", "mm", Quantity(0.15, 0.0, "mm")),
        ("6 thou", "mm", Quantity(0.1524, 0.0, "thou")),
        ("300 +/- 10 rpm", "rpm", Quantity(300, 10, "rpm")),
        ("300 ± 10 rpm", "rpm", Quantity(300, 10, "rpm")),
        ("-5 mm", "mm", Quantity(-5, 0, "mm")),
        ("12.5 %", "%", Quantity(12.5, 0, "%")),
        ("0.15mm", "mm", Quantity(0.15, 0, "mm")),
        ("20 to 30 mmHg", "mmHg", Quantity(25, 0, "mmHg", 5)),
        ("20 °C", "C", Quantity(20, 0, "C")),
        ("120 mm of 860 kg/m3", "kPa", Quantity(1.0120, 0.0843, "mm of 860 kg/m3")),  # by eye, to 10 mm of its fluid
        ("120 +/- 5 mm of 860 kg/m3", "kPa", Quantity(1.0120, 0.0422, "mm of 860 kg/m3")),
        ("12 cm of water", "kPa", Quantity(1.1768, 0.0981, "cm of water")),
        ("9 mm of mercury", "kPa", Quantity(1.1999, 0, "mm of mercury")),
        ("0.86 cm of 1 g/cm3", "kPa", Quantity(0.084337, 0.0981, "cm of 1 g/cm3")),
        ("1 turn", "turns", Quantity(1, 0, "turns")),
    ],
)
def test_reads_a_figure_with_its_unit(text: str, unit: str, wanted: Quantity) -> None:
    found = parse(text, unit, TABLE)
    assert isinstance(found, Quantity)
    assert found.value == pytest.approx(wanted.value, rel=1e-4)
    assert found.give == pytest.approx(wanted.give, rel=1e-3)
    assert found.written == wanted.written
    assert found.swing == pytest.approx(wanted.swing)


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("12", "mm", "'12' has no unit; write it like '12 mm'"),
        ("12 rmp", "rpm", "'rmp' is not a unit known here (did you mean 'rpm'?); write it like '12 rpm'"),
        ("12 rpm", "mm", "'rpm' is the wrong kind of unit; one of: mm, cm, m, in, thou, ft"),
        (
            "90,000 rpm",
            "rpm",
            "'90,000 rpm' has a comma; write figures with a point and no thousands mark, like 0.15 mm or 1050 rpm",
        ),
        (
            "0,15 mm",
            "mm",
            "'0,15 mm' has a comma; write figures with a point and no thousands mark, like 0.15 mm or 1050 rpm",
        ),
        ("30 to 20 rpm", "rpm", "'30 to 20 rpm' runs backwards; write the smaller figure first"),
        (
            "5 mm of brine",
            "kPa",
            "'mm of brine' is not a column of fluid; write it like '120 mm of oil' or '120 mm of 860 kg/m3'",
        ),
        ("1" * 101, "mm", f"'{'1' * 80}...' is not a figure with a unit; write it like '12 mm'"),
        ("1" * 90 + " mm", "mm", f"'{'1' * 80}...' cannot be right; no figure here is that large"),
        ("1 +/- 1000000000001 mm", "mm", "'1 +/- 1000000000001 mm' cannot be right; no figure here is that large"),
        ("0 to 9000000000000 mm", "mm", "'0 to 9000000000000 mm' cannot be right; no figure here is that large"),
        (
            "5 mm of 25001 kg/m3",
            "kPa",
            "'mm of 25001 kg/m3' is not a column of fluid; write it like '120 mm of oil' or '120 mm of 860 kg/m3'",
        ),
        ("much", "mm", "'much' is not a figure with a unit; write it like '12 mm'"),
    ],
)
def test_refuses(text: str, unit: str, message: str) -> None:
    assert parse(text, unit, TABLE) == message


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("100 rpm", Quantity(100, written="rpm")),
        ("20000 rpm", Quantity(20_000, written="rpm")),
        ("99 rpm", "'99 rpm' cannot be right; it lies between 100 rpm and 20000 rpm"),
        ("20001 rpm", "'20001 rpm' cannot be right; it lies between 100 rpm and 20000 rpm"),
        ("fast", "'fast' is not a figure with a unit; write it like '12 rpm'"),
    ],
)
def test_a_figure_lies_within_its_bounds(text: str, found: Quantity | str) -> None:
    assert parse_within(text, ENGINE_SPEED, TABLE) == found


@given(st.text(max_size=40), st.sampled_from(sorted(TABLE)))
def test_any_text_is_a_quantity_or_a_sentence(text: str, unit: str) -> None:
    found = parse(text, unit, TABLE)
    assert isinstance(found, Quantity) or len(found) > 10


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted(TABLE)))
def test_there_and_back(figure: float, unit: str) -> None:
    for to in units_like(unit, TABLE):
        assert convert(convert(figure, unit, to, TABLE), to, unit, TABLE) == pytest.approx(figure, rel=1e-9, abs=1e-6)
        assert widen(widen(figure, unit, to, TABLE), to, unit, TABLE) == pytest.approx(figure, rel=1e-9, abs=1e-6)


def test_a_turn_is_no_angle_and_a_share_is_no_number() -> None:
    assert units_like("turns", TABLE) == ["turns"]
    assert units_like("%", TABLE) == ["%"]
    assert units_like("deg", TABLE) == ["deg"]
    assert units_like("rpm", TABLE) == ["rpm"]


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (1050.4, "rpm", "1050 rpm"),
        (0.15, "mm", "0.15 mm"),
        (10.0, "mmHg", "10 mmHg"),
        (-0.000001, "mm", "0 mm"),
        (4.667, "kPa", "4.67 kPa"),
        (12.35, "V", "12.35 V"),
    ],
)
def test_shows_three_figures_that_count(value: float, unit: str, text: str) -> None:
    assert show(value, unit) == text
