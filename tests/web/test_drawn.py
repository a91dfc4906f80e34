"""What the templates say of a record."""

import time

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.report import Why
from advisor.rulebase import Rulebase
from advisor.session.hearing import MayMean
from advisor.session.room import in_short
from advisor.session.state import fold
from advisor.sides import fill
from advisor.web import drawn
from advisor.web.worked_out import WorkedOut
from tests.session.sessions import question_of
from tests.web.forms import balance

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


def test_what_a_sign_rests_on_is_said_in_words(base: Rulebase) -> None:
    """A sign that was told is no ground for itself; a figure has its title; a rule that gives no reason is left out."""
    name = "column-higher-idle"
    why = Why(
        sign=name,
        side="left",
        state="seen",
        title="",
        factor=3.0,
        rules=("more-depression-at-idle left", "a-rule (not so)", f"cable-end-sticking/{name}"),
        facts=("column-idle left: 231 mmHg, right 214 mmHg; 17 mmHg against 10 mmHg", f"{name} left: seen (told)"),
    )
    reasons = {"more-depression-at-idle left": "more on the left", f"cable-end-sticking/{name}": "often"}
    assert drawn.grounds(why, reasons, base) == [
        f"{base.readings['column-idle'].title}: left 231 mmHg, right 214 mmHg; 17 mmHg against 10 mmHg",
        "More on the left",
        "This fault shows it: often.",
    ]
    plug = msgspec.structs.replace(why, facts=("plug-pale left: seen (told)", "mixture-screw: fuel"), rules=())
    assert drawn.grounds(plug, {}, base) == [
        f"{fill(base.signs['plug-pale'].title, 'left')}: seen (told)",
        "mixture-screw: fuel",
    ]


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


def balance_by(kept: WorkedOut, instrument: str, cross: str) -> tuple[str, str]:
    """Return the title and the text of the picture that stands with the first reading, '' for none."""
    at = balance(kept, "1", instrument, *cross, "1")
    found = drawn.picture(at.session.question, at.session.state, kept.base)
    return found or ("", "")


def test_a_check_has_its_picture(advisor: Advisor) -> None:
    base, nothing = advisor.base, fold([], advisor.base)
    for check in base.checks.values():
        asked = question_of(check.id, base, "left" if check.sided else None)
        found = drawn.picture(asked, nothing, base)
        assert (found is not None) == bool(check.drawing), check.id
        if found:
            assert found[0] == base.drawings[check.drawing].title
            assert found[1].startswith("<svg ")
            assert "<script" not in found[1]


def test_a_balance_has_the_picture_of_its_own_instrument(kept: WorkedOut) -> None:
    assert "tube" in balance_by(kept, "1", "2")[0]
    assert "tube" not in balance_by(kept, "3", "2")[0]
    assert "tube" not in balance_by(kept, "4", "")[0]
