"""What is dangerous on this bike stands first, at the bike and on the phone."""

import io

import pytest
from rich.console import Console

from advisor.case import Means
from advisor.diagnose import Advisor
from advisor.session.next_question import HAND_OVER, LOST, REPAIR
from advisor.session.session import Desk
from advisor.session.store import Journal
from advisor.show import bench, phone

RIDER = Means(person="rider", tools=frozenset(), engine="")


def drawn(desk: Desk, kind: str) -> str:
    screen = Console(width=80, file=io.StringIO())
    part = phone.question(desk.question, desk.report, desk.base) if kind == "phone" else None
    screen.print(part or bench.question(desk.question, desk.report))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue()


def begun(advisor: Advisor, kind: str, sentence: str) -> Desk:
    desk = Desk(advisor, Journal(None))
    desk.begin(kind, sentence, RIDER)
    desk.told(desk.understood(sentence)[:1])
    return desk


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
    desk = begun(advisor, "phone", "the idle hangs")
    for _ in range(40):
        if not desk.question.options:
            break
        desk.answer("1")
        assert desk.question.kind != REPAIR
    assert desk.question.kind in {HAND_OVER, LOST}
