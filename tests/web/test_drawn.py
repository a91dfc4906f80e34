"""What the templates say of a record."""

import time

from hypothesis import given
from hypothesis import strategies as st

from advisor.case import Means
from advisor.rulebase import Rulebase
from advisor.session.hearing import MayMean
from advisor.session.room import in_short
from advisor.web import drawn

WORDS = st.lists(st.sampled_from(["left", "Right", "plug", "right", "dry", "Left"]), min_size=1, max_size=4)


@given(st.lists(WORDS.map(" ".join), max_size=8))
def test_every_answer_stands_once_and_left_stands_on_the_left(says: list[str]) -> None:
    rows = drawn.in_pairs(says)
    flat = sorted((number, text) for row in rows for number, text, _ in row)
    assert flat == list(enumerate(says, start=1))
    for row in rows:
        assert len(row) in {1, 2}
        if len(row) == 2:
            assert [side for *_, side in row] == ["left", "right"]
            assert sorted(row[0][1].lower().replace("left", "right")) == sorted(
                row[1][1].lower().replace("left", "right")
            )


def test_a_right_answer_before_its_left_one_changes_places_but_keeps_its_number() -> None:
    assert drawn.in_pairs(["Right.", "Left."]) == [[(2, "Left.", "left"), (1, "Right.", "right")]]


def test_two_answers_about_both_sides_stand_alone() -> None:
    says = ["Left more than right.", "Left and right.", "Both."]
    assert [len(row) for row in drawn.in_pairs(says)] == [1, 1, 1]


def test_no_word_of_a_caution_is_lost(base: Rulebase) -> None:
    for one in base.cautions.values():
        assert f"{in_short(one.says)} {drawn.rest_of(one.says)}".strip() == one.says


def test_what_may_be_meant_says_what_is_not_there_and_what_is_only_suspected() -> None:
    assert drawn.offered(MayMean(side=None, title="Bad idle")) == "Bad idle"
    assert drawn.offered(MayMean(side=None, title="Bad idle", seen=False)) == "not: Bad idle"
    assert drawn.offered(MayMean(side=None, title="A leak", cause="leak")) == "suspected: A leak"


def test_times_and_bars() -> None:
    assert drawn.since(None) == "" == drawn.date(None)
    assert drawn.since(time.time() - 7300) == "2 hours ago"
    assert drawn.since(time.time() + 100) == "just now"
    assert [drawn.bar(one) for one in (-1.0, 0.0, 0.456, 1.0, 2.0)] == [0, 0, 46, 100, 100]


def test_who_is_there_is_said_with_what_is_known_to_be_there() -> None:
    means = Means(person="mechanic", tools=frozenset({"a", "b"}), engine="")
    assert drawn.remembered(means, frozenset({"a"})) == "mechanic, 1 of the tools known to be there"
    assert drawn.remembered(means, frozenset()) == "mechanic"
    assert drawn.remembered(Means(person="workshop", tools=None, engine=""), None) == "workshop, all tools"
