"""What is typed where something is chosen is taken as it was meant, or not at all."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from advisor.errors import AdvisorError
from advisor.rulebase.table_records import Tool
from advisor.session import choices
from tests.small import blank

PERSONS = ("rider", "mechanic", "workshop")
TOOLS = {
    name: blank(Tool, id=name, title=title)
    for name, title in (
        ("tacho", "a tachometer"),
        ("gauges", "a set of gauges"),
        ("u-tube", "a U-tube with water"),
        ("meter", "a multimeter"),
    )
}


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        *(("1 3", [1, 3]), ("1-3, 5", [1, 2, 3, 5]), ("3 and 1", [1, 3]), ("2 2", [2]), ("9", [9]), ("", [])),
        *(("nine", None), ("0", None), ("8-12", None), ("3-1", None), ("1 x", None), ("-1", None), ("1-", None)),
    ],
)
def test_numbers_are_taken_as_meant_or_not_at_all(said: str, meant: list[int] | None) -> None:
    assert choices.numbers(said, 9) == meant


@given(st.lists(st.integers(1, 12), min_size=1), st.sampled_from([" ", ",", ", ", " and "]))
def test_numbers_come_back_in_order_and_once(picked: list[int], between: str) -> None:
    assert choices.chosen(between.join(map(str, picked)), 12) == sorted(set(picked))


@given(st.integers(1, 12), st.integers(1, 12))
def test_a_range_is_all_that_lies_in_it(first: int, last: int) -> None:
    assert choices.numbers(f"{first}-{last}", 12) == (list(range(first, last + 1)) or None)


@pytest.mark.parametrize("said", ["", "  ", "none", "None.", "none of them", "nothing", "no", "dunno", "not sure", "0"])
def test_nothing_is_none_of_them(said: str) -> None:
    assert choices.chosen(said, 3) == []


def test_all_is_all_of_them() -> None:
    assert choices.chosen(" ALL! ", 3) == [1, 2, 3]


def test_other_words_come_back_as_they_were_written() -> None:
    assert choices.chosen("  It Smells of fuel.  ", 3) == "It Smells of fuel."


@pytest.mark.parametrize("said", ["4", "1 4", "??", "x", "help", "again", "what if 2", "undo 3", "can't do that"])
def test_neither_numbers_nor_words_is_one_message(said: str) -> None:
    with pytest.raises(AdvisorError, match="write numbers from 1 to 3, other words, or nothing for none") as raised:
        choices.chosen(said, 3)
    assert said in str(raised.value)


@given(st.text(max_size=30), st.integers(1, 30))
@example("1-3", 2)
@example("\N{SUPERSCRIPT TWO}", 3)
@example("\N{ARABIC-INDIC DIGIT TWO}", 3)
def test_any_line_is_numbers_words_or_a_message(line: str, most: int) -> None:
    try:
        found = choices.chosen(line, most)
    except AdvisorError:
        return
    if isinstance(found, str):
        assert found == line.strip()
    else:
        assert all(1 <= one <= most for one in found)


@pytest.mark.parametrize(("line", "stops"), [("stop", True), (" QUIT ", True), ("exit", True), ("stop it", False)])
def test_stop_is_the_whole_line(line: str, stops: bool) -> None:
    assert choices.stops(line) is stops


@pytest.mark.parametrize(("line", "meant"), [("rider", "rider"), (" MECH ", "mechanic"), ("w", "workshop")])
def test_a_person_is_known_by_how_it_begins(line: str, meant: str) -> None:
    assert choices.person(line, PERSONS) == meant


@pytest.mark.parametrize("line", ["", "  ", "banana", "riders", "stop"])
def test_who_is_nobody_known_is_told_who_is(line: str) -> None:
    with pytest.raises(AdvisorError, match="write one of rider, mechanic, workshop"):
        choices.person(line, PERSONS)


@pytest.mark.parametrize(
    ("line", "there", "lacking"),
    [
        *(
            ("all", "tacho gauges u-tube meter", ""),
            ("None", "", "tacho gauges u-tube meter"),
            ("1 4", "tacho meter", ""),
        ),
        *(("2-3", "gauges u-tube", ""), ("tacho, the meter", "tacho meter", ""), ("not 1 2", "", "tacho gauges")),
        *(("no tacho", "", "tacho"), ("meter and no gauges, not 1", "meter", "gauges tacho")),
        ("u tube", "u-tube", ""),
        *(("water", "u-tube", ""), ("tacho no tacho", "", "tacho"), ("", "", "")),
    ],
)
def test_tools_are_named_by_number_and_in_words(line: str, there: str, lacking: str) -> None:
    assert choices.tools(line, TOOLS) == (frozenset(there.split()), frozenset(lacking.split()))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("5", "the tools have numbers from 1 to 4"),
        ("spanners", "'spanners' is not a tool of the list; write its number"),
        ("a", "it could be a tachometer or a set of gauges or a U-tube with water"),
    ],
)
def test_what_names_no_tool_is_one_message(line: str, says: str) -> None:
    with pytest.raises(AdvisorError, match=says):
        choices.tools(line, TOOLS)


@pytest.mark.parametrize(("line", "there"), [("1", True), ("Yes.", True), ("2", False), ("no", False), ("why", None)])
def test_a_tool_is_there_or_not(line: str, there: bool | None) -> None:
    assert choices.has_it(line) is there
    with pytest.raises(AdvisorError, match="1 if it is there, 2 if it is not"):
        choices.has_it("3")
