"""The balance as it is drawn: to scale, the left side on the left."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.session.dialogue import Dialogue
from advisor.session.store import Journal
from advisor.web.two_columns import HIGH, WAY_HIGH, WAY_WIDE, Columns, columns
from advisor.web.worked_out import WorkedOut
from tests.web.forms import balance

GAUGES, SHORTING = ("1", "3", "2", "1"), ("1", "4", "1")


def drawn(kept: WorkedOut, *lines: str) -> Columns | None:
    at = balance(kept, *lines)
    return columns(at.session.question, at.session.state, kept.base)


@given(left=st.integers(20, 290), right=st.integers(20, 290))
@settings(max_examples=12, deadline=None)
def test_both_columns_are_to_one_scale(left: int, right: int, kept: WorkedOut) -> None:
    found = drawn(kept, *GAUGES, f"{left} {right} 1000")
    assume(found is not None)
    assert found
    assert (found.left, found.right) == pytest.approx((left, right))
    assert found.left_high / left == pytest.approx(found.right_high / right)
    assert max(found.left_high, found.right_high) <= HIGH
    top = float(found.marks[-1][1])
    assert [high for high, _ in found.marks] == pytest.approx([HIGH * float(says) / top for _, says in found.marks])
    assert found.left_high == pytest.approx(HIGH * left / top)
    expects = "level" if left == right else f"{'left' if left > right else 'right'} {abs(left - right)} mmHg higher"
    assert found.apart == expects


def test_more_than_the_scale_has_fills_it(kept: WorkedOut) -> None:
    found = drawn(kept, *GAUGES, "400 100 1000")
    assert found
    assert found.left_high == HIGH
    assert found.right_high == pytest.approx(HIGH / 4)


def test_the_way_is_drawn_from_the_first_reading_to_the_last(kept: WorkedOut) -> None:
    found = drawn(kept, *GAUGES, "240 205 980", "222 214 1010")
    assert found
    assert [one.says for one in found.way] == ["left 35 mmHg higher", "left 8 mmHg higher"]
    assert 0 < found.way[0].x < found.way[1].x < WAY_WIDE
    assert 0 <= found.way[0].y < found.way[1].y < WAY_HIGH / 2, "left higher is above the middle, and nears it"
    assert found.line.count(",") == 2


def test_the_way_of_the_right_side_is_below_the_middle(kept: WorkedOut) -> None:
    found = drawn(kept, *GAUGES, "205 240 980")
    assert found
    assert found.way[0].y > WAY_HIGH / 2


def test_what_each_plug_is_worth_is_drawn_as_it_is_read(kept: WorkedOut) -> None:
    found = drawn(kept, *SHORTING, "210 150 1000")
    assert found
    assert (found.left, found.right, found.unit, found.more) == (210, 150, "rpm", "more")
    assert found.left_high > found.right_high
    assert found.apart == "left 60 rpm more"


@given(left=st.integers(0, 3_000), right=st.integers(1, 3_000))
@settings(max_examples=20, deadline=None)
def test_the_scale_of_what_a_plug_is_worth_has_round_marks(left: int, right: int, kept: WorkedOut) -> None:
    found = drawn(kept, *SHORTING, f"{left} {right} 1000")
    assume(found is not None)
    assert found
    marks = [float(says) for _, says in found.marks]
    assert [high for high, _ in found.marks] == pytest.approx([HIGH * one / marks[-1] for one in marks])
    assert marks == [marks[0] * number for number in range(1, len(marks) + 1)]
    assert marks[0] < 10 or marks[0] % 5 == 0, "nobody reads a scale by 68, 136 and 205"
    assert HIGH / 2 < max(found.left_high, found.right_high) <= HIGH or max(left, right) < 10


def test_where_only_the_lead_was_read_no_columns_are_drawn(kept: WorkedOut) -> None:
    found = drawn(kept, *GAUGES, "left 30 mmHg higher, 1000")
    assert found
    assert (found.left, found.right) == (None, None)
    assert found.apart == "left 30 mmHg higher"


def test_nothing_is_drawn_before_a_reading_or_of_another_question(kept: WorkedOut) -> None:
    assert drawn(kept) is None
    assert drawn(kept, *GAUGES) is None
    at = Dialogue(kept, Journal(None))
    at.begin("bench", "it idles badly")
    at.take("workshop")
    at.take("1")
    assert columns(at.session.question, at.session.state, kept.base) is None
