"""What is dangerous on this bike stands first, at the bike and on the phone."""

import io

import pytest
from msgspec.structs import replace
from rich.console import Console

from advisor.diagnose import Advisor
from advisor.session.dialogue import Dialogue
from advisor.session.shown import Caution, QuestionShown, Shown
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
    for line in ("workshop", "all") if kind == "bench" else ():
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
    assert text.count("smell of fuel may be a leak") == 1
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
    shown = first(at, *(("workshop", "all") if kind == "bench" else ()), "1")
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
