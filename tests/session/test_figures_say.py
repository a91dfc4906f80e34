"""What a typed figure says at once: the verdict with its guard band, which screw, which way, what to read next."""

import re

import pytest

from advisor.calculator import NEAR_LIMIT, ONE_SIDE
from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.session.events import Read
from advisor.session.figures_say import FIRST_THE_REST, FigureSays
from advisor.session.session import Session
from advisor.session.store import Journal

SWAP = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}


def says(advisor: Advisor, name: str, words: str) -> FigureSays:
    session = Session(advisor, Journal(None))
    session.begin("bench", "it will not settle", Means(person="workshop", tools=None, engine=""))
    session._try(Read(tuple(spoken(name, words, advisor.base))))
    (found,) = session.figures_say()
    return found


def swapped(text: str) -> str:
    return re.sub(r"\b(?:left|right|Left|Right)\b", lambda found: SWAP[found[0]], text)


def test_a_difference_says_by_how_much_which_screw_which_way_and_what_to_read_next(advisor: Advisor) -> None:
    """A higher column is a more closed butterfly, so its stop is opened: tests/test_trade.py has the source."""
    found = says(advisor, "column-idle", "left 240 mmHg right 205 mmHg")
    assert found.given == "left 240 mmHg, right 205 mmHg"
    assert found.found.startswith("left more by 35 mmHg (30.8 to 39.2); alike is within 10 mmHg")
    assert "Open the left idle stop a little" in found.do
    assert found.aim == "within 10 mmHg of each other"
    assert found.first == FIRST_THE_REST  # nothing before balance was looked at
    assert not found.default


@pytest.mark.parametrize(
    ("name", "left", "right"),
    [
        ("column-idle", "240 mmHg", "205 mmHg"),
        *(("compression", "6.2 bar", "9.1 bar"), ("fuel-level", "20 mm", "24 mm")),
        ("column-off-idle", "150 mmHg", "190 mmHg"),
    ],
)
def test_with_the_sides_exchanged_it_says_the_same_of_the_other(
    name: str, left: str, right: str, advisor: Advisor
) -> None:
    one = says(advisor, name, f"left {left} right {right}")
    two = says(advisor, name, f"left {right} right {left}")
    assert (one.found, one.do, one.aim) == (swapped(two.found), swapped(two.do), two.aim)
    assert one.found


@pytest.mark.parametrize(
    ("name", "words", "found", "aim", "default"),
    [
        ("idle-speed", "1500 rpm", "trusted from 1480 to 1520: over 1100 rpm", "900 to 1100 rpm", True),
        ("idle-speed", "1000 rpm", "as it should be (900 to 1100 rpm)", "", False),
        ("clearance-inlet", "left 0.05 mm", "left 0.05 mm (0.04 to 0.06): under 0.1 mm", "0.1 to 0.2 mm", True),
        ("fuel-flow", "left 120 ml/min", "left 120 ml/min (100 to 140): under 250 ml/min", "at least 250 ml/min", True),
        ("column-idle", "left 227 mmHg right 223 mmHg", "alike, within 10 mmHg", "", False),
    ],
)
def test_the_verdict_is_against_the_limit_and_says_what_would_be_right(
    name: str, words: str, found: str, aim: str, default: bool, advisor: Advisor
) -> None:
    said = says(advisor, name, words)
    assert said.found.startswith(found)
    assert (said.aim, said.default) == (aim, default)


def test_what_cannot_be_told_is_not_told(advisor: Advisor) -> None:
    assert "too close to 1100 rpm to call" in says(advisor, "idle-speed", "1110 rpm").found
    assert says(advisor, "idle-speed", "1110 rpm").do.startswith(NEAR_LIMIT)
    assert says(advisor, "column-idle", "left 240 mmHg").do == ONE_SIDE


def test_a_reading_that_does_not_count_says_why_and_no_screw(advisor: Advisor) -> None:
    session = Session(advisor, Journal(None))
    session.begin("bench", "it will not settle", Means(person="workshop", tools=None, engine=""))
    session.told(session.hearing.understood("air bubble in the column"))
    session._try(Read(tuple(spoken("column-idle", "left 240 mmHg right 205 mmHg", advisor.base))))
    (found,) = session.figures_say()
    assert found.do.startswith("It does not count yet: ")
    assert (found.aim, found.first) == ("", "")
