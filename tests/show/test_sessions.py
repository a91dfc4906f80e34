"""What is dangerous on this bike stands first, at the bike and on the phone."""

import io

import pytest
from rich.console import Console

from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.session.next_question import HAND_OVER, LOST, REPAIR
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.show import bench, phone

RIDER = Means(person="rider", tools=frozenset(), engine="")


def drawn(session: Session, kind: str) -> str:
    screen = Console(width=80, file=io.StringIO())
    part = phone.question(session.question, session.report, session.base) if kind == "phone" else None
    screen.print(part or bench.question(session.question, session.report))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue()


def begun(advisor: Advisor, kind: str, sentence: str) -> Session:
    session = Session(advisor, Journal(None))
    session.begin(kind, sentence, RIDER)
    session.told(session.understood(sentence)[:1])
    return session


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_fuel_that_drips_stops_everything_first(advisor: Advisor, kind: str) -> None:
    lines = [
        line for line in drawn(begun(advisor, kind, "fuel drips from the left carburettor"), kind).splitlines() if line
    ]
    assert lines[0] == "STOP"
    assert "tap off" in lines[1]


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_a_smell_of_fuel_is_warned_of_once(advisor: Advisor, kind: str) -> None:
    text = drawn(begun(advisor, kind, "it smells of fuel"), kind)
    assert text.count("smell of fuel may be a leak") == 1
    assert text.split("Keep flames away")[0].split() == ["STOP", "!"]  # nothing stands before it


def test_a_rider_is_not_asked_for_a_repair(advisor: Advisor) -> None:
    session = begun(advisor, "phone", "the idle hangs")
    for _ in range(40):
        if not session.question.options:
            break
        session.answer("1")
        assert session.question.kind != REPAIR
    assert session.question.kind in {HAND_OVER, LOST}
