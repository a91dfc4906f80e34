"""The lesson as it stands on a terminal, from records made by hand."""

import io

import pytest
from rich.console import Console

from advisor.practice.lesson import LookedAt
from advisor.practice.lesson_dialogue import (
    FIRST_CHECK,
    NEXT_STAGE,
    AskNext,
    ExampleShown,
    LessonOpening,
    LessonOver,
    LessonStopped,
    NoExample,
    StageTaught,
)
from advisor.practice.replies import Care, ReadingTaken, Reply, SideRead
from advisor.show.practice import drawn

CARE = Care(fresh=("Gloves.",), before=("fuel fire",))


def shown(reply: Reply) -> list[str]:
    screen = Console(width=80, file=io.StringIO())
    screen.print(drawn(reply))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue().splitlines()


def test_a_stage() -> None:
    looked_at = (
        LookedAt(title="Valves seal", check="Hear them", minutes=20.0),
        LookedAt(title="Same words", check="Same words", minutes=3.0),
    )
    stage = StageTaught(number=1, title="valves", reason="Air.", before="First.", looked_at=looked_at, care=CARE)
    assert shown(stage) == [
        "",
        "STAGE 1: valves",
        "  what  Air.",
        "  then  First.",
        "  - Valves seal: Hear them (20 min)",
        "  - Same words (3 min)",
        "  ! Gloves.",
        "  ! as before: fuel fire",
    ]


def test_an_example() -> None:
    read = ReadingTaken(name="bar", title="Compression", unit="bar", sides=(SideRead(side="left", values=(6.0,)),))
    example = ExampleShown(
        title="Measure it",
        minutes=20.0,
        care=CARE,
        how=("Warm it.",),
        says="Low.",
        readings=(read,),
        fault="Rings are worn",
        reason="They leak.\n",
    )
    assert shown(example) == [
        "",
        "ON A BIKE: Measure it (20 min)",
        "  ! Gloves.",
        "  ! as before: fuel fire",
        "  - Warm it.",
        "  → Low.",
        "    Compression [bar]: left 6 bar",
        "  it was  Rings are worn",
        "  why     They leak.",
    ]


@pytest.mark.parametrize(
    ("reply", "line"),
    [
        (LessonOpening(stages=7), "THE READINESS ORDER, 7 stages"),
        (NoExample(), "The virtual bike has no fault that shows here."),
        (AskNext(next=FIRST_CHECK), "Enter: its first check on a bike that fails it. 3 or fuel: that stage. q: stop."),
        (AskNext(next=NEXT_STAGE), "Enter: next stage. 3 or fuel: that stage. q: stop."),
        (LessonStopped(number=2, stages=7, title="plugs"), "Stopped at stage 2 of 7: plugs."),
        (LessonOver(), "That is the whole order. Now try it: advisor practice --level easy"),
    ],
)
def test_short_replies(reply: Reply, line: str) -> None:
    assert line in shown(reply)
