"""Where a led balance or tune-up stands, and why it asks what it asks."""

import re

from advisor.diagnose import Advisor
from advisor.session.dialogue import Dialogue
from advisor.session.events import TUNE_UP
from advisor.session.shown import LedStands
from advisor.session.store import Journal
from tests.session.test_balance_asked import begun, gauges


def said(at: Dialogue, line: str) -> str:
    (one, *_) = at.take(line)
    assert isinstance(one, LedStands)
    return "\n".join(one.says)


def test_where_says_what_stands_level_what_is_to_come_and_what_was_turned(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 980", "222 214 1010", "216 215 1020", "190 150")
    where = said(at, "where")
    assert re.search(r"At idle: .* give or take \d+; 10 mmHg apart at most", where)
    assert "At 2,500 rpm: left 40 mmHg higher" in where
    assert "Now: Cables, at 2,500 rpm." in where
    assert "Still to come: stops once more, at idle; after a blip; without the gauge, as a check." in where
    assert "Turned: left idle stop: in" in where


def test_where_says_which_side_does_nothing_and_that_it_is_tried_higher_up(advisor: Advisor) -> None:
    where = said(begun(advisor, "1", "3", "1", "1", "720 5"), "where")
    assert "the right plug costs hardly anything at idle" in where
    assert "Now: Whether it joins in higher up." in where


def test_why_says_what_a_turn_was_seen_to_do_and_closer_the_more_was_turned(advisor: Advisor) -> None:
    def known(*lines: str) -> tuple[float, float]:
        why = said(gauges(advisor, *lines), "why")
        found = re.search(r"A turn of the left stop moves it (\d+) \+/- (\d+) mmHg", why)
        assert found
        return float(found[1]), float(found[2])

    turns = ("240 205 980", "left in 1/4", "222 204 1040", "left out 1/4", "240 205 980", "left in 1/4", "222 205 1040")
    first, last = known(*turns[:1]), known(*turns)
    assert last[1] < first[1] / 2
    assert abs(last[0] - 72) < last[1]
    assert "not turned yet" in said(gauges(advisor, turns[0]), "why")


def test_before_anything_was_read_both_say_so_or_nothing(advisor: Advisor) -> None:
    at = begun(advisor)
    assert said(at, "where") == ""
    assert said(at, "why") == "Nothing was read yet."
    at = begun(advisor, "1", "3", "2", "2", "1")
    assert "the mixture screw of the left side" in said(at, "where")


def test_a_tune_up_says_how_far_each_stage_is(advisor: Advisor) -> None:
    at = Dialogue(advisor, Journal(None))
    at.begin(TUNE_UP)
    at.take("1")
    at.take("1")  # traces at the left head joint
    where = said(at, "where").splitlines()
    assert len(where) == sum(bool(area.items) for area in advisor.base.areas)
    assert where[0].startswith("valves and compression: 0 of ")
    assert where[0].endswith(", 1 wrong")
