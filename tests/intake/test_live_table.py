"""A CSV table while an instrument writes it."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import CaseError
from advisor.intake.live_table import LiveTable, Row

HEADER = b"time s,revs rpm,left mmHg,right mmHg\n"
TEXT = HEADER + b"0.0,1000,240,205\n0.1,1010,241,206\n0.2,990,x,204\n0.3,1000,239,205\n"


def taken(*pieces: bytes) -> list[Row | str]:
    at = LiveTable("log.csv")
    return [one for piece in pieces for one in at.take(piece)]


@given(st.lists(st.integers(0, len(TEXT)), max_size=12))
def test_any_pieces_give_the_same_rows(cuts: list[int]) -> None:
    ends = [0, *sorted(cuts), len(TEXT)]
    assert taken(*(TEXT[one:two] for one, two in pairwise(ends))) == taken(TEXT)


def test_half_a_last_line_waits_for_its_end() -> None:
    at = LiveTable("log.csv")
    assert list(at.take(HEADER + b"0.0,1000,240,20")) == []
    assert list(at.take(b"5\r\n")) == [Row(0.0, 1000, 240, 205)]


@pytest.mark.parametrize(
    ("header", "row"),
    [
        (b"time ms;revs rpm;left kPa;right kPa\n", b"500;1000;-32,0;-27,3\n"),
        (b"right [inHg],rpm,t (s),left inHg\n", b"8.071,1000,0.5,9.449\n"),
        (b"Time s\tRevs rpm\tgear\tLeft cmHg\tRight mbar\n", b"0.5\t1000\t2\t24\t273.3\n"),
    ],
)
def test_other_units_orders_separators_and_signs(header: bytes, row: bytes) -> None:
    (found,) = taken(header + row)
    assert isinstance(found, Row)
    assert found.time == 0.5
    assert (found.left, found.right) == pytest.approx((240, 205), abs=0.3)


@pytest.mark.parametrize(
    "header",
    [b"time s,revs rpm,left mmHg\n", b"time s,revs rpm,left mmHg,right\n", b"left mmHg,left mmHg\n", b"\xff\0\n"],
)
def test_a_header_of_no_use_is_refused(header: bytes) -> None:
    with pytest.raises(CaseError):
        taken(header)


def test_bad_rows_are_said_now_and_then_and_not_each_time() -> None:
    bad = b"0.1,1000,240\n0.1,nan,1,1\n0.1,99999,1,1\nwhat,is,this,then\n" * 5
    assert len(taken(HEADER, bad, bad)) == 2
    assert taken(HEADER, bad, b"0.2,1000,240,205\n")[-1] == Row(0.2, 1000, 240, 205)


def test_a_header_again_with_the_columns_exchanged_is_read_on_by_it() -> None:
    *_, says, row = taken(TEXT, b"time s,revs rpm,right mmHg,left mmHg\n", b"0.4,1000,205,240\n")
    assert isinstance(says, str)
    assert "another order" in says
    assert row == Row(0.4, 1000, 240, 205)


def test_a_line_without_end_is_dropped() -> None:
    found = taken(HEADER, b"9" * 50_000, b"9\n0.2,1000,240,205\n")
    assert found[-1] == Row(0.2, 1000, 240, 205)
    assert sum(isinstance(one, str) for one in found) == 1
