"""Figures and words of one answer are told apart: a range is a wander, and left and right stand in one line."""

import pytest
from msgspec.structs import replace

from advisor.errors import AdvisorError
from advisor.rulebase import Rulebase
from advisor.session.answer_in_words import in_words
from advisor.sides import Side
from tests.session.sessions import question_of

SWAPPED = str.maketrans({"L": "R", "R": "L"})


def readings(check: str, line: str, base: Rulebase, side: Side = None) -> list[tuple[str, Side, str]]:
    found = in_words(line, question_of(check, base, side), base)
    return [(one.reading, one.side, one.given) for one in found.readings]


IDLE, COLUMN, DROP = "idle-speed", "column-idle", "drop-idle"
WANDERS = [(IDLE, None, "1100 rpm"), ("idle-swing", None, "400 rpm")]
COLUMNS = [(COLUMN, "left", "240 mmHg"), (COLUMN, "right", "205 mmHg")]
STALLS = [(DROP, "left", "stalls"), (DROP, "right", "120 rpm")]


@pytest.mark.parametrize(
    ("check", "line", "found", "words"),
    [
        ("watch-the-idle", "900 to 1300 rpm, wanders", WANDERS, "wanders"),
        ("watch-the-idle", "about 1050, steady", [(IDLE, None, "1050 rpm")], "steady"),
        ("watch-the-idle", "wanders, 900-1300", WANDERS, "wanders"),
        ("watch-the-idle", "1050 rpm steady", [(IDLE, None, "1050 rpm")], "steady"),
        ("compare-columns-at-idle", "left 240 right 205", COLUMNS, ""),
        ("compare-columns-at-idle", "left more by 90 mm of water", [(COLUMN, "left", "90 mm of water")], ""),
        ("short-each-plug-at-idle", "left stalls, right 120 rpm", STALLS, ""),
        ("measure-the-points", "0.2 mm", [("points-gap", None, "0.2 mm")], ""),
        ("measure-the-points", "dwell 80 deg", [("points-dwell", None, "80 deg")], ""),
        (
            "strobe-each-lead",
            "idle left 6 right 7 deg, full left 18 deg right 18 deg",
            [
                *(("timing-idle", "left", "6 deg"), ("timing-idle", "right", "7 deg")),
                *(("timing-full", "left", "18 deg"), ("timing-full", "right", "18 deg")),
            ],
            "",
        ),
        (
            "measure-battery-and-charging",
            "12.4 V at rest, 14.1 V charging",
            [("battery-rest", None, "12.4 V"), ("charging-volts", None, "14.1 V")],
            "",
        ),
    ],
)
def test_figures_and_words_of_a_line_are_told_apart(
    base: Rulebase, check: str, line: str, found: list[tuple[str, Side, str]], words: str
) -> None:
    said = in_words(line, question_of(check, base), base)
    assert [(one.reading, one.side, one.given) for one in said.readings] == found
    assert said.words == words


@pytest.mark.parametrize(
    ("check", "line"),
    [
        ("measure-the-clearances", "inlet 0.05 mm exhaust 0.2 mm"),
        ("measure-the-coil", "primary 4.5 ohm, secondary 13 kohm"),
        ("measure-the-fuel-flow", "120 ml/min"),
    ],
)
def test_figures_without_a_side_are_of_the_side_that_is_asked(base: Rulebase, check: str, line: str) -> None:
    left, right = readings(check, line, base, "left"), readings(check, line, base, "right")
    assert left
    assert [(name, "right", given) for name, _, given in left] == right


@pytest.mark.parametrize(
    ("check", "line"),
    [
        *(("compare-columns-at-idle", "L 240 mmHg R 205 mmHg"), ("measure-the-compression", "L 9.1 R 6.2 bar")),
        *(("short-each-plug-at-idle", "L 90 rpm, R 280 rpm"), ("compare-the-bowls", "L 20 mm R 24 mm")),
        ("measure-the-slack", "L 3 mm R 5 mm"),
    ],
)
def test_left_and_right_stand_in_one_line_and_swap(base: Rulebase, check: str, line: str) -> None:
    other: dict[Side, Side] = {"left": "right", "right": "left"}
    one, two = readings(check, line, base), readings(check, line.translate(SWAPPED), base)
    assert len(one) == 2
    assert sorted((name, str(other[side]), given) for name, side, given in one) == sorted(two)


@pytest.mark.parametrize("line", ["20 mm left, 24 mm right", "20 mm on the left and 24 mm on the right"])
def test_sides_may_stand_behind_their_figures(base: Rulebase, line: str) -> None:
    plain = readings("compare-the-bowls", "left 20 mm right 24 mm", base)
    assert readings("compare-the-bowls", line, base) == plain


ALL_THREE = ("column-idle", "idle-speed", "drop-idle")


@pytest.mark.parametrize(
    ("line", "names"),
    [
        ("1050 rpm", {"idle-speed"}),
        ("idles at 1050 now", {"idle-speed"}),
        ("left 150 rpm right 160 rpm", {"drop-idle"}),
        ("150 rpm left, 160 rpm right", {"drop-idle"}),
        ("the drops are left 150 and right 160", {"drop-idle"}),
        ("left 220 mmHg right 222 mmHg", {"column-idle"}),
        ("columns left 220 mmHg right 222 mmHg, idle 1050 rpm", {"column-idle", "idle-speed"}),
    ],
)
def test_of_several_that_are_asked_a_figure_is_what_its_unit_or_its_name_says(
    base: Rulebase, line: str, names: set[str]
) -> None:
    asked = replace(question_of("watch-the-idle", base), takes=ALL_THREE)
    assert {one.reading for one in in_words(line, asked, base).readings} == names


@pytest.mark.parametrize("line", ["left 150 right 160", "left 220", "220 and 222"])
def test_a_bare_figure_that_may_be_of_several_is_asked_about(base: Rulebase, line: str) -> None:
    asked = replace(question_of("watch-the-idle", base), takes=ALL_THREE)
    with pytest.raises(AdvisorError, match=r"which of .*column-idle"):
        in_words(line, asked, base)


def test_open_is_a_figure_of_a_resistance_alone(base: Rulebase) -> None:
    assert in_words("it is bad wide open", question_of("ride-at-part-throttle", base), base).words
    path = replace(question_of("measure-the-plug-path", base, "left"), takes=("plug-path-resistance",))
    assert [one.reading for one in in_words("it is open", path, base).readings] == ["plug-path-resistance"]
    assert not in_words("wide open", path, base).readings


@pytest.mark.parametrize(
    "line", ["1050 kg", "1050 kg, steady", "left 1050 rpm", "idle-swing left 40 rpm", "1050 rpm 1100 rpm"]
)
def test_a_figure_that_makes_no_reading_is_refused(base: Rulebase, line: str) -> None:
    with pytest.raises(AdvisorError):
        in_words(line, question_of("watch-the-idle", base), base)


@pytest.mark.parametrize("side", ["left", "right"])
def test_figures_half_understood_are_refused_whole_and_never_put_on_the_other_side(base: Rulebase, side: Side) -> None:
    asked = question_of("measure-the-clearances", base, side)
    with pytest.raises(AdvisorError, match="has no unit"):
        in_words("clearance-inlet 0.10 clearance-exhaust 0.00", asked, base)
