"""Readings that come by themselves while a balance asks for them."""

from collections.abc import Iterator
from itertools import islice

import numpy as np
import pytest

from advisor.diagnose import Advisor
from advisor.intake.live_table import Row
from advisor.readings.watched import SWAPPED
from advisor.session.answer_in_words import in_words
from advisor.session.dialogue import Dialogue
from advisor.session.events import Read
from advisor.session.following import CAME_BACK, IS_READY, IS_TURNED, READY, SEEN_TO_MOVE, Follower, Says, Taken, serves
from advisor.session.next_question import BALANCED, CHECK, LED, Question, check_asked
from advisor.virtual_bike.misset import misset
from advisor.virtual_bike.on_the_stand import OnTheStand
from advisor.virtual_bike.serviced import serviced
from tests.session.test_balance_asked import gauges

EVERY_S = 0.25


class Bench:
    """A balance that follows rows: each is taken, and what settles is typed."""

    def __init__(self, advisor: Advisor) -> None:
        self.at: Dialogue = gauges(advisor, cross=False)
        self.follower = Follower(advisor.base)
        self.said: list[str] = []
        self.lines: list[str] = []

    def see(self, row: Row) -> bool:
        """Take in a row; return whether it made a reading."""
        for one in self.follower.take(row, self.at.session.question):
            match one:
                case Says():
                    self.said.append(one.says)
                case Taken():
                    self.lines.append(one.line)
                    self.at.take(one.line)
                    return True
        return False

    def until_taken(self, rows: Iterator[Row], most: int = 400) -> bool:
        """Take in rows until one makes a reading; return whether one of so many did."""
        return any(self.see(next(rows)) for _ in range(most))


def rows(revs: float, left: float, right: float, start: float = 0.0) -> Iterator[Row]:
    rng, time = np.random.default_rng(5), start
    while True:
        time += EVERY_S
        yield Row(time, *(np.array([revs, left, right]) + rng.normal(size=3) * [8, 2, 2]).tolist())


def test_a_settled_reading_is_taken_with_its_own_spread_as_if_typed(advisor: Advisor) -> None:
    bench = Bench(advisor)
    assert bench.until_taken(rows(1_000, 240, 205))
    event = bench.at.session.journal.events[-1]
    assert isinstance(event, Read)
    units = advisor.base.units
    by_side = {one.side: one for one in event.readings if one.reading == "column-idle"}
    assert by_side["left"].values[0] / units["mmHg"].factor * units["kPa"].factor == pytest.approx(240, abs=4)
    assert 0 < by_side["left"].give < 0.6  # kPa
    assert bench.at.session.question.turns


def test_after_a_turn_it_waits_for_word_of_it(advisor: Advisor) -> None:
    bench = Bench(advisor)
    bench.until_taken(rows(1_000, 240, 205))
    assert not bench.until_taken(rows(1_000, 240, 205, 100))
    assert bench.follower.typed("", bench.at.session.question) == IS_TURNED
    assert bench.until_taken(rows(1_010, 238, 205, 300), 60)
    event = bench.at.session.journal.events[-1]
    assert isinstance(event, Read)
    assert event.turned


def test_a_clear_movement_is_taken_as_the_turn_and_said(advisor: Advisor) -> None:
    bench = Bench(advisor)
    bench.until_taken(rows(1_000, 240, 205))
    assert bench.until_taken(rows(1_040, 215, 212, 100), 100)
    assert bench.said[-1] == SEEN_TO_MOVE.says


def test_a_blip_alone_is_no_turn(advisor: Advisor) -> None:
    bench = Bench(advisor)
    bench.until_taken(rows(1_000, 240, 205))
    assert not bench.until_taken(rows(1_000, 240, 205, 100), 60)
    assert not bench.until_taken(rows(3_000, 150, 140, 115.1), 8)
    assert not bench.until_taken(rows(1_000, 240, 205, 117.2), 100)
    assert CAME_BACK.says in bench.said


def test_what_is_not_asked_for_is_not_taken(advisor: Advisor) -> None:
    bench = Bench(advisor)
    assert not bench.until_taken(rows(2_500, 190, 150), 100)
    assert not bench.until_taken(rows(1_000, 2, 3, 50), 100)
    assert len(bench.said) == len(set(bench.said)) >= 2
    assert bench.until_taken(rows(1_000, 240, 205, 100))


def test_exchanged_sides_are_not_taken_before_somebody_has_looked(advisor: Advisor) -> None:
    bench = Bench(advisor)
    assert not bench.until_taken(rows(1_000, 240, 205), 12)
    assert not bench.until_taken(rows(1_000, 205, 240, 3.1), 100)
    assert bench.said == [SWAPPED]
    assert bench.follower.typed("", bench.at.session.question) is not None
    assert bench.until_taken(rows(1_000, 205, 240, 50))


def test_a_line_that_is_meant_for_the_question_is_left_to_it(advisor: Advisor) -> None:
    bench = Bench(advisor)
    assert bench.follower.typed("240 205 1000", bench.at.session.question) is None
    assert bench.follower.typed("", bench.at.session.question) is None


@pytest.mark.parametrize("seed", [3, 8])
def test_a_bike_on_its_stand_is_balanced_without_a_figure_typed(advisor: Advisor, seed: int) -> None:
    rng = np.random.default_rng(seed)
    stand = OnTheStand(misset(serviced([rng])[0], rng), rng)
    zero = stand.at_rest()
    bench = Bench(advisor)

    def shown() -> Iterator[Row]:
        while True:
            one = stand.read(EVERY_S)
            hooked = not bench.at.session.question.unhooked  # the gauge falls to nothing once its hoses are off
            left, right = (
                max(value - at_rest, 0) * hooked for value, at_rest in zip((one.left, one.right), zero, strict=True)
            )
            yield Row(one.time_s, one.revs or 0.0, left, right)

    for _ in range(40):
        asked = bench.at.session.question
        if asked.kind == BALANCED:
            break
        for turn in asked.turns:
            stand.turn(turn.side, turn.screw, turn.turns)
        stand.hook(on=not asked.unhooked)
        stand.hold(2_500 if "column-off-idle" in asked.takes else None)
        if asked.turns:
            bench.follower.typed("turned", asked)
        if not asked.takes:
            stand.blip()
            bench.at.take("1")
        else:
            assert bench.until_taken(shown()), (asked.title, bench.said)
    assert bench.at.session.question.kind == BALANCED, (bench.at.session.question.title, bench.lines)


def test_a_check_of_the_search_takes_its_columns_once_it_is_ready(advisor: Advisor) -> None:
    check = next(one for one in advisor.base.checks.values() if "column-idle" in one.takes)
    asked = check_asked(check, None, "", None, advisor.base)
    follower, came, states = Follower(advisor.base), rows(1_000, 240, 205), set()

    def taken(many: int) -> list[str]:
        found = []
        for _ in range(many):
            found += [one.line for one in follower.take(next(came), asked) if isinstance(one, Taken)]
            states.add(follower.state)
        return found

    assert taken(100) == []
    assert READY in states
    assert follower.typed("", asked) == IS_READY
    said = in_words(taken(100)[0], asked, advisor.base)
    assert {(one.reading, one.side) for one in said.readings} >= {("column-idle", "left"), ("column-idle", "right")}


def test_columns_are_not_taken_for_what_a_shorted_plug_is_worth(advisor: Advisor) -> None:
    asked = Question(kind=LED, title="", steps=(), takes=("drop-idle", "idle-speed"), unit="rpm")
    assert not serves(asked)
    follower = Follower(advisor.base)
    assert not [one for row in islice(rows(1_000, 240, 205), 60) for one in follower.take(row, asked)]


def test_revs_that_are_not_asked_for_are_said_once_however_long_they_last(advisor: Advisor) -> None:
    bench = Bench(advisor)
    assert not bench.until_taken(rows(2_500, 205, 201))
    assert bench.said == ["It runs too fast: let it idle."]


def test_revs_alone_need_no_hoses(advisor: Advisor) -> None:
    asked = Question(kind=CHECK, title="", steps=(), takes=("idle-speed", "idle-drift"))
    follower = Follower(advisor.base)
    follower.typed("", asked)
    found = [one for row in islice(rows(1_000, 0, 0), 60) for one in follower.take(row, asked)]
    lines = [one.line for one in found if isinstance(one, Taken)]
    assert lines[0].startswith("idle-speed 9") or lines[0].startswith("idle-speed 1")
    assert not serves(Question(kind=CHECK, title="", steps=(), takes=("compression",)))
