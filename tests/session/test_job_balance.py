"""A balance as it is drawn: readings numbered through, in the unit that was typed, each balance on its own."""

import pytest

from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, SEARCH, Read, WentOver
from advisor.session.job_balance import Balance, Point, balances_drawn, give_or_take, point_said
from advisor.session.store import Journal
from tests.session.test_balance_asked import begun, gauges, played


def drawn(at: Dialogue) -> list[Balance]:
    return list(balances_drawn(at.session.state, at.session.base))


def test_readings_are_numbered_through_and_turns_stand_between(advisor: Advisor) -> None:
    (found,) = drawn(played(advisor))
    numbers = sorted(point.number for way in found.ways for point in way.points)
    assert numbers == list(range(1, 10))
    assert [step.split(":")[0] for step in found.steps if step[0].isdigit()] == [str(one) for one in numbers]
    place = found.steps.index("turned left idle stop in 3/8 turn, right idle stop out 1/4 turn")
    assert found.steps[place - 1].startswith("2: at idle, left 240, right 205 mmHg: left 35 mmHg higher")
    assert found.steps[place + 1].startswith("3: at idle, left 222, right 214 mmHg")


def test_the_unit_is_the_one_that_was_typed(advisor: Advisor) -> None:
    """1 cmHg is 10 mmHg: the same columns, the same way, and the same limit, in another unit."""
    (found,) = drawn(gauges(advisor, "24.0 20.5 cmHg, 980", cross=False))
    (way,) = found.ways
    assert way.unit == "cmHg"
    assert way.points[0].left_more == pytest.approx(3.5)
    assert way.points[0].sides == pytest.approx((24.0, 20.5))
    assert way.alike == pytest.approx(1.0)
    (plain,) = drawn(gauges(advisor, "240 205 980", cross=False))
    assert plain.ways[0].points[0].left_more == pytest.approx(35)
    assert plain.ways[0].points[0].within == pytest.approx(10 * way.points[0].within)


def test_a_drop_that_is_less_is_the_other_sides_more(advisor: Advisor) -> None:
    (found,) = drawn(begun(advisor, "1", "4", "1", "210 260"))
    (way,) = found.ways
    assert way.by == "drops"
    assert way.points[0].left_more == pytest.approx(-50)


def test_a_balance_that_began_anew_is_another_one(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 980", cross=False)
    at.session._keep(WentOver(BALANCE))
    at.take("220 218 1000")
    first, second = drawn(at)
    assert [point.left_more for point in first.ways[0].points] == [pytest.approx(35)]
    assert [point.left_more for point in second.ways[0].points] == [pytest.approx(2)]


def test_what_is_read_in_a_search_is_no_balance(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 980", cross=False)
    at.session._keep(WentOver(SEARCH))
    at.session._keep(Read(tuple(spoken("column-idle", "left 230 mmHg right 205 mmHg", advisor.base))))
    assert [len(way.points) for one in drawn(at) for way in one.ways] == [1]
    searched = Dialogue(advisor, Journal(None))
    searched.begin("bench", "the balance is out")
    searched.session._keep(Read(tuple(spoken("column-idle", "left 230 mmHg right 205 mmHg", advisor.base))))
    assert drawn(searched) == []


def test_without_a_reading_there_is_none(advisor: Advisor) -> None:
    assert drawn(gauges(advisor, cross=False)) == []


def test_a_mixture_screw_is_told_by_its_places(advisor: Advisor) -> None:
    at = begun(advisor, "1", "3", "2", "2", "1", "1000", "1010", "1015")
    (found,) = drawn(at)
    assert found.mixture[0].startswith("left mixture screw: as found 1000 rpm, ")


def test_level_is_said_so() -> None:
    point = Point(number=1, left_more=0.0, within=4.24, sides=None, revs=None)
    assert point_said(point, "columns", "mmHg") == "level (give or take 4.2)"
    assert give_or_take(28.28) == "give or take 28"
