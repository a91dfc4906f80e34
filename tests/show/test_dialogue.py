"""What is dangerous on this bike stands first, at the bike and on the phone."""

import io
from typing import Any

import pytest
from msgspec.structs import replace
from rich.console import Console

from advisor.diagnose import Advisor
from advisor.session.dialogue import Dialogue
from advisor.session.shown import (
    FIXED,
    KEPT,
    KEPT_IN_PART,
    NOT_KEPT,
    NOTHING_TOLD,
    Caution,
    Ended,
    OtherRules,
    OthersOpen,
    QuestionShown,
    Shown,
)
from advisor.session.store import Journal
from advisor.show.dialogue import drawn

LONG = "Keep flames away. Fuel burns, and its vapour creeps along the floor."


def printed(found: list[Shown]) -> str:
    screen = Console(width=80, file=io.StringIO())
    for one in found:
        screen.print(drawn(one))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue()


def question(advisor: Advisor, kind: str, sentence: str) -> str:
    """Return the first question as it is drawn, once the first sign that a sentence may mean was chosen."""
    at = Dialogue(advisor, Journal(None))
    at.begin(kind, sentence)
    for line in ("workshop",) if kind == "bench" else ():
        at.take(line)
    return printed(at.take("1"))


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_fuel_that_drips_stops_everything_first(advisor: Advisor, kind: str) -> None:
    text = question(advisor, kind, "fuel drips from the left carburettor")
    lines = [line for line in text.splitlines() if line]
    assert lines[0] == "STOP"
    assert "tap off" in lines[1]


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_a_smell_of_fuel_is_warned_of_once(advisor: Advisor, kind: str) -> None:
    text = question(advisor, kind, "it smells of fuel")
    assert " ".join(text.split()).count("smell of fuel may be a leak") == 1
    assert text.split("Keep flames away")[0].split() == ["STOP", "!"]  # nothing stands before it


def first(at: Dialogue, *lines: str) -> QuestionShown:
    """Return the first question after these lines."""
    for line in lines:
        for one in at.take(line):
            if isinstance(one, QuestionShown):
                return one
    raise AssertionError(lines)


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_a_caution_said_again_is_its_first_sentence(advisor: Advisor, kind: str) -> None:
    at = Dialogue(advisor, Journal(None))
    at.begin(kind, "the revs hang after a blip")
    shown = first(at, *(("workshop",) if kind == "bench" else ()), "1")
    for again, says in ((False, LONG), (True, "Keep flames away.")):
        one = replace(shown, dangers=(Caution(says=LONG, again=again),), cautions=(), may_ride=False)
        words = " ".join(printed([one]).split())
        assert says in words
        assert (LONG in words) is not again


def test_what_may_be_ridden_is_no_stop(advisor: Advisor) -> None:
    at = Dialogue(advisor, Journal(None))
    at.begin("phone", "the revs hang after a blip")
    shown = replace(first(at, "1"), dangers=(Caution(says=LONG, again=False),), cautions=())
    rides, stands = (printed([replace(shown, may_ride=may)]) for may in (True, False))
    assert (rides.split()[:2], stands.split()[:1]) == (["SAY", "FIRST"], ["STOP"])
    assert "Do not ride on." in stands
    assert "Do not ride on." not in rides


@pytest.mark.parametrize(
    ("begun_with", "command", "says"),
    [
        (("/a", "/b c"), "advisor bench --session 1", "This session was begun with other rules (/a, /b c)."),
        ((), "advisor bench --session 1", "This session was begun with only the shipped rules."),
        (("/a",), "", "The rules have changed since this session began."),
        (None, "", "This session was begun with other rules."),
    ],
)
def test_other_rules_are_said_in_one_line(begun_with: tuple[str, ...] | None, command: str, says: str) -> None:
    names = tuple(f"the sign '{number}'" for number in range(8))
    said = " ".join(printed([OtherRules(begun_with=begun_with, unknown=names, command=command)]).split())
    assert said.startswith(f"! {says} Not known here, but kept: the sign '0', ")
    assert "the sign '5' and 2 more." in said
    assert "the sign '6'" not in said
    assert said.endswith(f"'{command}' goes on with those." if command else "2 more.")
    assert "kept" not in printed([OtherRules(begun_with=begun_with, unknown=(), command=command)])


@pytest.mark.parametrize(
    ("ends", "says"),
    [
        ({"how": FIXED, "session": 3}, "Fixed. Kept as session 3."),
        ({"how": FIXED, "session": 3, "lost": 1}, "Fixed."),
        ({"how": KEPT, "session": 3}, "Kept as session 3. 'go' goes on from here."),
        (
            {"how": KEPT_IN_PART, "session": 3, "lost": 1},
            "Kept in part as session 3: the last answer was in memory only, as said above. 'go' goes on",
        ),
        ({"how": KEPT_IN_PART, "session": 3, "lost": 2}, "Kept in part as session 3: the last 2 answers were"),
        ({"how": NOT_KEPT, "lost": 2}, "Not kept: it was in memory only"),
        ({"how": NOTHING_TOLD}, "Stopped before anything was told."),
    ],
)
def test_the_last_line_says_what_is_kept(ends: dict[str, Any], says: str) -> None:
    assert " ".join(printed([Ended(kind="bench", command="go", **ends)]).split()).startswith(says)


def test_how_many_others_are_open_is_said_in_numbers() -> None:
    for many, says in ((1, "1 other is open: 'advisor phone --list' shows them."), (2, "2 others are open")):
        assert printed([OthersOpen(kind="phone", many=many)]).startswith(says)
