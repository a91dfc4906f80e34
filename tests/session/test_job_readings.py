"""What was measured on a job: as it was typed, and both sides in one unit for a drawing to scale."""

import pytest

from advisor.case import Bike, Case, Means
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.rulebase import Rulebase
from advisor.session.job_readings import Pair, pairs, rows

INCH, KPA = 25.4, 7.50062  # mmHg (conventional millimetre of mercury, ISO 80000-4)


def pair(base: Rulebase, reading: str, words: str) -> Pair:
    (found,) = pairs(spoken(reading, words, base), base)
    return found


def test_two_units_are_drawn_in_the_first_and_said_as_typed(base: Rulebase) -> None:
    found = pair(base, "column-idle", "left 8 inHg right 27 kPa")
    assert found.unit == "inHg"
    assert found.left is not None
    assert found.right is not None
    assert found.left.value == pytest.approx(8)
    assert found.right.value == pytest.approx(27 * KPA / INCH, rel=1e-4)
    assert found.given == "left 8 inHg, right 27 kPa"
    assert (found.left.typed, found.right.typed) == ("", "27 kPa")


def test_repeats_are_kept_one_by_one(base: Rulebase) -> None:
    found = pair(base, "drop-idle", "left 250 rpm, 260 rpm, 255 rpm right 200 rpm, 210 rpm")
    assert found.left is not None
    assert found.left.values == (250.0, 260.0, 255.0)
    assert found.left.value == pytest.approx(255)
    assert found.left.low is not None
    assert found.left.low < 255
    assert found.lead is not None
    assert found.lead.side == "left"
    assert found.lead.value == pytest.approx(50)


def test_a_stall_has_a_least_and_no_most_and_leaves_the_lead_open(base: Rulebase) -> None:
    found = pair(base, "drop-idle", "left 250 rpm right stalls")
    assert found.right is not None
    assert (found.right.value, found.right.high, found.right.stalls) == (None, None, 1)
    assert found.right.low == base.readings["drop-idle"].stalls
    assert found.lead is None


def test_a_difference_alone_has_no_sides(base: Rulebase) -> None:
    found = pair(base, "column-idle", "right more by 12 mmHg")
    assert (found.left, found.right) == (None, None)
    assert found.lead is not None
    assert found.lead.side == "right"
    assert found.lead.value == pytest.approx(12)


def test_one_side_alone_is_not_drawn(base: Rulebase) -> None:
    assert list(pairs(spoken("column-idle", "left 240 mmHg", base), base)) == []


def test_the_rest_of_the_instrument_is_taken_off_the_lead(base: Rulebase) -> None:
    read = [
        *spoken("column-at-rest", "left 2 mmHg right 0 mmHg", base),
        *spoken("column-idle", "left 226 mmHg right 205 mmHg", base),
    ]
    (found,) = pairs(read, base)
    assert found.lead is not None
    assert found.lead.value == pytest.approx(19)
    assert found.left is not None
    assert found.left.value == 226


def test_a_row_has_each_side_as_it_was_typed_and_what_it_says(advisor: Advisor) -> None:
    base = advisor.base
    read = [
        *spoken("column-at-rest", "left 2 mmHg right 0 mmHg", base),
        *spoken("column-idle", "left 226 mmHg right 205 mmHg", base),
        *spoken("idle-speed", "1050 rpm", base),
        *spoken("column-off-idle", "left more by 30 mmHg", base),
    ]
    means = Means(person="workshop", tools=None, engine="")
    case = Case(title="", bike=Bike(), complaint="", seen=(), measured=tuple(read), means=means)
    found = {one.title: one for one in rows(case, advisor.diagnose(case), advisor)}
    idle = found["Depression at idle"]
    assert (idle.left, idle.right, idle.whole) == ("226 mmHg", "205 mmHg", "")
    assert idle.found.startswith("left more by 19 mmHg (14")  # with the bounds of this lead, not of the one at rest
    assert found["Idle speed"].whole == "1050 rpm"
    assert found[base.readings["column-off-idle"].title].whole == "left more by 30 mmHg"
