"""What a form says is one line, and the dialogue takes it as what was typed in the fields."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.rulebase import Rulebase
from advisor.session.events import Answered, PutRight, Read, Skipped, Told
from advisor.session.hearing import Hearing, MayMean
from advisor.session.next_question import LED, Question
from advisor.session.state import fold
from advisor.session.typed_line import understand
from advisor.sides import Side
from advisor.web import fields
from advisor.web.worked_out import WorkedOut
from tests.session.sessions import question_of, told
from tests.web.forms import balance

SETUP = ("1", "3", "2", "1")  # ready, by gauges, without shorting, the mixture screws stay


@given(left=st.integers(60, 280), right=st.integers(60, 280), revs=st.integers(700, 1500))
@settings(max_examples=10, deadline=None)
def test_figures_of_a_balance_are_read_on_their_sides(left: int, right: int, revs: int, kept: WorkedOut) -> None:
    at = balance(kept, *SETUP)
    form = {"left": f" {left} ", "right": str(right), "revs": str(revs)}
    (row,) = fields.rows(at.session.question, kept.base)
    assert [(one.name, one.label, one.unit) for one in row.fields] == [
        ("left", "Left", "mmHg"),
        ("right", "Right", "mmHg"),
        ("revs", "Revs", "rpm"),
    ]
    at.take(fields.figures(form, at.session.question, kept.base))
    last = at.session.journal.events[-1]
    assert isinstance(last, Read)
    assert {one.side: one.given for one in last.readings} == {
        "left": f"{left} mmHg",
        "right": f"{right} mmHg",
        None: f"{revs} rpm",
    }


def test_the_fields_of_a_shorted_plug_say_that_it_is_a_fall(kept: WorkedOut) -> None:
    (row,) = fields.rows(balance(kept, "1", "4", "1").session.question, kept.base)
    assert row.title == "the revs fall by"
    assert [one.label for one in row.fields][:2] == ["Left", "Right"]
    assert fields.rows(balance(kept, *SETUP).session.question, kept.base)[0].title == ""


def test_one_side_without_the_other_is_said_at_once(base: Rulebase) -> None:
    asked = Question(kind=LED, title="", steps=(), takes=("column-idle", "idle-speed"), unit="mmHg")
    for form in ({"left": "240"}, {"right": "205", "revs": "1000"}, {}):
        with pytest.raises(AdvisorError, match="both figures"):
            fields.figures(form, asked, base)


def test_a_single_figure_has_one_field(base: Rulebase) -> None:
    revs = Question(kind=LED, title="", steps=(), takes=("idle-speed",), unit="rpm")
    side = Question(kind=LED, title="", steps=(), takes=("drop-idle",), unit="rpm", side="right")
    assert [one.label for one in fields.rows(revs, base)[0].fields] == ["Revs"]
    assert [one.label for one in fields.rows(side, base)[0].fields] == ["Right"]
    assert fields.figures({"figure": "1050"}, revs, base) == "1050"
    with pytest.raises(AdvisorError, match="type a figure"):
        fields.figures({"figure": " "}, revs, base)


@pytest.mark.parametrize("at", [None, "left", "right"])
def test_figures_of_a_check_name_their_reading_side_and_unit(at: Side, base: Rulebase) -> None:
    asked = question_of("compare-columns-at-idle", base, at)
    names = [one.name for row in fields.rows(asked, base) for one in row.fields]
    assert names[: (1 if at else 2)] == ([f"column-idle.{at}"] if at else ["column-idle.left", "column-idle.right"])
    line = fields.figures(dict.fromkeys(names[: (1 if at else 2)], "24,5"), asked, base)
    unit = base.readings["column-idle"].unit
    both = f"left 24.5 {unit} right 24.5 {unit}"
    assert line == (f"column-idle {at} 24.5 {unit}" if at else f"column-idle {both}")


def test_a_unit_that_was_typed_stays(base: Rulebase) -> None:
    asked = question_of("compare-columns-at-idle", base)
    form = {"column-idle.left": "24 cmHg", "column-idle.right": "20.5 cmHg"}
    assert fields.figures(form, asked, base) == "column-idle left 24 cmHg right 20.5 cmHg"


def test_every_check_with_figures_has_fields_and_its_line_is_taken(advisor: Advisor) -> None:
    """The middle of each reading's range, typed into every field of its check, is a reading there."""
    base, taken, nothing = advisor.base, 0, fold([], advisor.base)
    for check in base.checks.values():
        asked = question_of(check.id, base, "left" if check.sided else None)
        for row in fields.rows(asked, base):
            page = base.readings[row.reading]
            form = {one.name: f"{(page.lowest + page.highest) / 2:.3f}" for one in row.fields}
            line = fields.figures(form, asked, base)
            said = understand(line, asked, nothing, base)
            readings = getattr(said, "readings", ())
            assert {one.reading for one in readings} >= {row.reading}, line
            taken += 1
    assert taken > 20


def test_ticks_are_numbers_and_none_is_none() -> None:
    assert fields.ticked(["1", "3"]) == "1 3"
    assert fields.ticked([]) == "none"
    assert fields.still(["2"]) == "2"
    with pytest.raises(AdvisorError, match="tick what is still there"):
        fields.still([])


def test_of_tools_only_what_changed_is_said() -> None:
    known = (("a", True), ("b", False), ("c", None), ("d", True))
    assert fields.tools(["1", "2", "4"], known) == "2"
    assert fields.tools(["1", "3"], known) == "3, not 4"
    assert fields.tools(["1", "4"], known) == ""
    assert fields.tools(["x", "99"], known) == "not 1, not 4"


def test_a_note_is_of_a_known_kind_and_not_empty() -> None:
    assert fields.note("call back", "0 55") == "call back: 0 55"
    for about, says in (("name", " "), ("undo", "x"), ("", "")):
        with pytest.raises(AdvisorError):
            fields.note(about, says)


def test_what_can_hurt_is_ticked_and_what_has_two_sides_waits(base: Rulebase) -> None:
    found = Hearing(base).understood("one exhaust is cold, it smells of petrol and fuel drips from a carburettor")
    at_first = dict(zip(found, fields.ticks(found), strict=True))
    assert all(on for one, on in at_first.items() if one.warns)
    assert {one.warns for one in found if one.side} == {True, False}
    assert not any(on for one, on in at_first.items() if one.side and not one.warns)
    one_way = [MayMean(sign="a", side="left", title="A"), MayMean(sign="b", side=None, title="B")]
    assert fields.ticks(one_way) == (True, True)


def test_what_was_said_can_be_set_right_as_far_as_it_goes() -> None:
    assert fields.can_mend(told("idle-hangs")) == fields.CanMend(turn=True, anew=True)
    assert fields.can_mend(Answered("a", None, "x", ())).answers
    assert fields.can_mend(Skipped("a", None, "can't")).answers
    assert fields.can_mend(Read(())) == fields.CanMend(anew=True)
    assert fields.can_mend(Told((), words="xyzzy")) == fields.CanMend(anew=True)
    assert fields.can_mend(PutRight("a", None)) == fields.CanMend()
