"""Both sides to scale: as high as they were read, left on the left."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.balance.course_steps import COLUMNS, DROPS
from advisor.pages.pairs_drawn import highest, lead_said, pair_drawn
from advisor.session.job_readings import Bar, Lead, Pair
from advisor.sides import Side
from tests.pages.markup import svg_of


def bar(*values: float, give: float = 3.0) -> Bar:
    mean = sum(values) / len(values)
    return Bar(values=values, value=mean, low=mean - give, high=mean + give, stalls=0)


def pair(left: Bar | None, right: Bar | None, by: str = COLUMNS, lead: Lead | None = None) -> Pair:
    return Pair(title="Depression", by=by, unit="mmHg", left=left, right=right, lead=lead, given="as typed")


def boxes(svg: str) -> list[tuple[float, float, float]]:
    """Return the left edge, the bottom and the height of each column drawn."""
    found = []
    for one in svg_of(svg).iter("path"):
        if "var(--fill)" in one.get("style", ""):
            points = [(float(x), float(y)) for x, y in re.findall(r"[ML] ([-\d.]+) ([-\d.]+)", one.get("d", ""))]
            across, down = [x for x, _ in points], [y for _, y in points]
            found.append((min(across), max(down), max(down) - min(down)))
    return sorted(found)


@settings(max_examples=15, deadline=None)
@given(st.floats(20, 400), st.floats(20, 400))
def test_columns_are_as_high_as_they_were_read(left: float, right: float) -> None:
    (_, bottom, one), (_, other, two) = boxes(pair_drawn(pair(bar(left), bar(right)), "p").svg)
    assert bottom == pytest.approx(other)  # both stand on one line, which is zero
    assert one / two == pytest.approx(left / right, rel=0.01)


def test_one_scale_for_two_pictures_of_a_reading() -> None:
    low, high = pair(bar(100), bar(110)), pair(bar(200), bar(220))
    one, two = (boxes(pair_drawn(each, "p", highest(high)).svg)[0][2] for each in (low, high))
    assert one / two == pytest.approx(100 / 200, rel=0.01)


def test_a_side_in_another_unit_is_said_as_it_was_typed() -> None:
    kpa = Bar(values=(7.97,), value=7.97, low=7.85, high=8.09, stalls=0, typed="27 kPa")
    found = pair_drawn(pair(bar(8.1, give=0.1), kpa), "p")
    assert found.lines[1] == "Right 27 kPa, that is 7.97 mmHg (trusted from 7.85 to 8.09)."
    assert "27 kPa" in [one.text for one in svg_of(found.svg).iter("text")]


def test_trials_are_drawn_and_said_one_by_one() -> None:
    found = pair_drawn(pair(bar(250, 260, 255), bar(180, 200), by=DROPS), "p")
    assert found.lines[0] == "Left 255 mmHg (the mean of 250, 260, 255; trusted from 252 to 258)."
    assert len(list(svg_of(found.svg).iter("use"))) >= 5


def test_a_stall_is_no_figure() -> None:
    stall = Bar(values=(), value=None, low=None, high=None, stalls=2)
    found = pair_drawn(pair(bar(250), stall, by=DROPS), "p")
    assert found.lines[1] == "Right a stall (it stalled 2 times)."
    assert "a stall" in [one.text for one in svg_of(found.svg).iter("text")]


@pytest.mark.parametrize(("side", "on_the_left"), [("left", True), ("right", False)])
def test_a_difference_alone_goes_to_the_side_that_has_more(side: Side, on_the_left: bool) -> None:
    lead = Lead(side=side, value=12.0, low=9.0, high=15.0)
    found = pair_drawn(pair(None, None, lead=lead), "p")
    ((edge, _, _),) = boxes(found.svg)
    middle = 5.0 * 72 / 2
    assert (edge < middle - 20) is on_the_left
    assert found.lines == (f"{str(side).capitalize()} more by 12 mmHg (give or take 3).",)


def test_level_is_said_so() -> None:
    assert lead_said(Lead(side="left", value=0.0, low=-2.0, high=2.0), "mmHg") == "Level (give or take 2)"
