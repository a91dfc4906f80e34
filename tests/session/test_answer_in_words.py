"""Figures and words of one answer: both are kept, a range is a wander, what the figures settle is an answer."""

import pytest

from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.rulebase import Rulebase
from advisor.session.answer_in_words import in_words
from advisor.session.answer_meant import answer_said, meant
from advisor.session.events import Answered, Read, Told
from advisor.session.next_question import CHECK, Question, options
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.sides import Side, Sided, fill

SWAPPED = str.maketrans({"L": "R", "R": "L"})


def question(check: str, base: Rulebase, side: Side = None) -> Question:
    page = base.checks[check]
    return Question(
        kind=CHECK,
        name=check,
        side=side,
        title=fill(page.title, side),
        because="",
        minutes=page.minutes,
        engine=page.engine,
        steps=(),
        tools=(),
        cautions=(),
        options=tuple(options(page, side, None, base)),
        takes=page.takes,
    )


def readings(check: str, line: str, base: Rulebase, side: Side = None) -> list[tuple[str, Side, str]]:
    found = in_words(line, question(check, base, side), base)
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
    said = in_words(line, question(check, base), base)
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


@pytest.mark.parametrize("line", ["1050 kg", "1050 kg, steady", "left 1050 rpm", "idle-swing left 40 rpm"])
def test_a_figure_that_makes_no_reading_is_refused(base: Rulebase, line: str) -> None:
    with pytest.raises(AdvisorError):
        in_words(line, question("watch-the-idle", base), base)


def answered(line: str, check: str, advisor: Advisor, side: Side = None) -> tuple[object, str]:
    """Return the event that a line is for this check, as a session has it, and what of it was not understood."""
    session = Session(advisor, Journal(None))
    session.begin("bench", "it will not settle", Means(person="workshop", tools=None, engine=""))
    session._next = question(check, advisor.base, side), session.report
    session.answer(line)
    return session.journal.events[-1], session.unheard


@pytest.mark.parametrize(
    ("line", "check", "number"),
    [
        *(("900 to 1300 rpm, wanders", "watch-the-idle", 3), ("about 1050, steady", "watch-the-idle", 6)),
        *(("3, 1100 rpm", "watch-the-idle", 3), ("1000 to 1400 rpm", "watch-the-idle", 4)),
        *(("1500 rpm and steady", "watch-the-idle", 1), ("2 and left 9.1 bar", "measure-the-compression", 2)),
        ("left 9.1 bar right 6.2 bar", "measure-the-compression", 2),
    ],
)
def test_words_and_figures_are_kept_and_are_the_answer(line: str, check: str, number: int, advisor: Advisor) -> None:
    event, unheard = answered(line, check, advisor)
    assert isinstance(event, Answered)
    assert event.says == question(check, advisor.base).options[number - 1].says
    assert event.readings
    assert unheard == ""


def test_a_figure_that_leaves_several_answers_is_only_a_reading(advisor: Advisor) -> None:
    """Right idle speed does not say that it is steady, nor full advance that is off what the timing is at idle."""
    assert isinstance(answered("1050 rpm", "watch-the-idle", advisor)[0], Read)
    assert isinstance(answered("full left 18 deg right 18 deg", "strobe-each-lead", advisor)[0], Read)


def test_words_that_say_something_else_are_told_beside_the_figure(advisor: Advisor) -> None:
    event, _ = answered("left 9.1 right 9.0 bar and it smells of fuel", "measure-the-compression", advisor)
    assert isinstance(event, Answered | Told)
    assert "fuel-smell" in {one.sign for one in event.reports}
    assert len(event.readings) == 2


def test_words_that_say_nothing_are_named_and_the_figure_is_kept(advisor: Advisor) -> None:
    event, unheard = answered("1050 rpm on the xyzzy", "watch-the-idle", advisor)
    assert isinstance(event, Read)
    assert unheard == "on the xyzzy"


def test_words_alone_are_the_answer_that_says_least_besides(base: Rulebase) -> None:
    asked = question("watch-the-idle", base)
    for words, number in (("it wanders", 3), ("wanders up and down", 3), ("it stalls", 5), ("fast and wanders", 4)):
        found = answer_said(words, asked, base)
        assert isinstance(found, Answered), words
        assert found.says == asked.options[number - 1].says
    for words in ("xyzzy", "it smells of fuel", "left"):
        assert answer_said(words, asked, base) is None


def test_no_answer_is_taken_that_a_figure_speaks_against(base: Rulebase) -> None:
    asked = question("watch-the-idle", base)
    said = in_words("1050 rpm, too fast", asked, base)
    known: dict[Sided, bool] = {("idle-too-high", None): False, ("idle-too-low", None): False}
    event, _ = meant(said, asked, known, base)
    assert not isinstance(event, Answered)
