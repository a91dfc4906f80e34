"""Figures in a family of units: against what measures are by definition, and left alone where they are none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Measured
from advisor.quantities import unit_table
from advisor.session.events import Change, Corrected, Read
from advisor.show.families import AS_TYPED, INCH, METRIC, events_in_family, in_family, page_in_family, unit_in

TABLE = unit_table()


@pytest.mark.parametrize(
    ("text", "family", "shown"),
    [
        # An inch is 25.4 mm by definition (international yard and pound agreement, 1959): a thou is 0.0254 mm.
        ("a gap of 0.254 mm", INCH, "a gap of 10 thou"),
        ("0.10, 0.15 mm", INCH, "3.9, 5.9 thou"),
        ("a fuel level of 25.4 mm", INCH, "a fuel level of 1 in"),
        ("6 thou", METRIC, "0.15 mm"),
        # 1 inHg is 3.386 389 kPa and 1 psi 6.894 757 kPa (NIST SP 811, B.8).
        ("left 34 kPa", INCH, "left 10 inHg"),
        ("10 inHg", METRIC, "34 kPa"),
        ("9 bar", INCH, "131 psi"),
        ("254 mmHg", INCH, "10 inHg"),
        ("35 mmHg higher", METRIC, "35 mmHg higher"),
        # Water freezes at 32 F and boils at 212 F; a difference has no offset.
        ("from 0 to 100 °C", INCH, "from 32 to 212 F"),
        ("20 C hotter", INCH, "36 F hotter"),
        ("300 +/- 20 C", INCH, "572 +/- 36 F"),
        ("left 254 mmHg higher, give or take 25; 130 rpm", INCH, "left 10 inHg higher, give or take 0.98; 130 rpm"),
        (
            "left 240, right 205 mmHg: left 35 mmHg higher (give or take 4.2)",
            INCH,
            "left 9.45, right 8.07 inHg: left 1.4 inHg higher (give or take 0.17)",
        ),
        ("give or take 25; 10 mmHg apart at most", INCH, "give or take 0.98; 0.39 inHg apart at most"),
        ("within 10 mmHg (1.3 kPa)", INCH, "within 0.39 inHg"),
        ("100 km/h", INCH, "62.1 mph"),
        ("0.15 mm", AS_TYPED, "0.15 mm"),
        # What is none of these.
        ("in 3/8 turn, 1,050 rpm, at 2,500 rpm", INCH, "in 3/8 turn, 1,050 rpm, at 2,500 rpm"),
        ("120 mm of oil, 30 mmH2O, 3 mm water", INCH, "120 mm of oil, 30 mmH2O, 3 mm water"),
        ("30 mm of 860 kg/m3", INCH, "30 mm of 860 kg/m3"),
        ("254 mmHg of it", INCH, "10 inHg of it"),
        ("M6 bolt, page 7 C4, [kPa]", INCH, "M6 bolt, page 7 C4, [kPa]"),
    ],
)
def test_a_figure_is_shown_in_the_family(text: str, family: str, shown: str) -> None:
    assert in_family(text, family, TABLE) == shown


@given(st.floats(0.01, 900).map(lambda one: f"{one:.3g}"), st.sampled_from(["mm", "kPa", "bar", "C", "km/h", "mmHg"]))
def test_there_and_back_is_the_same_but_for_its_digits(figure: str, unit: str) -> None:
    shown = in_family(f"{figure} {unit}", INCH, TABLE)
    value, other = shown.split()
    assert other != unit
    back = TABLE[other].factor * float(value) + TABLE[other].offset
    was = TABLE[unit].factor * float(figure) + TABLE[unit].offset
    assert back == pytest.approx(was, rel=0.06, abs=0.06 * TABLE[other].factor)
    assert in_family(shown, INCH, TABLE) == shown, "what is in the family stays"


def test_what_was_said_and_what_is_in_a_field_stays() -> None:
    page = '<p title="0.15 mm">0.15 mm</p><q>set to 0.15 mm <b>0.2 mm</b></q><textarea>1 mm</textarea><br><i>1 mm</i>'
    assert page_in_family(page, INCH, TABLE) == page.replace(">0.15 mm</p>", ">5.9 thou</p>").replace(
        "<i>1 mm</i>", "<i>39 thou</i>"
    )
    assert page_in_family(page, AS_TYPED, TABLE) == page


def test_events_read_as_if_they_had_been_typed_so() -> None:
    one = Measured(reading="x", side="left", values=(0.15,), give=0.0, given="0.15 mm", unit="mm", written=("0.15 mm",))
    read = Read((one,))
    found = events_in_family([read, Corrected((Change(0, read), Change(0, None)))], INCH, TABLE)
    as_inch = replace(one, given="5.9 thou", unit="thou", written=("5.9 thou",))
    assert found == [Read((as_inch,)), Corrected((Change(0, Read((as_inch,))), Change(0, None)))]
    assert events_in_family([read], METRIC, TABLE) == [read]


def test_a_field_asks_in_the_unit_of_the_family() -> None:
    assert [unit_in(INCH, one, [at], TABLE) for one, at in (("mm", 0.3), ("mm", 30), ("kPa", 90), ("kPa", 900))] == [
        "thou",
        "in",
        "inHg",
        "psi",
    ]
    assert [unit_in(METRIC, one, [1.0], TABLE) for one in ("mmHg", "inHg", "F", "rpm")] == ["mmHg", "kPa", "C", "rpm"]
