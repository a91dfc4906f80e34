"""Each reply of a practice round as it stands on a terminal, from records made by hand."""

import io

import pytest
from rich.console import Console

from advisor.practice.handbook import Asked
from advisor.practice.levels import BikeId
from advisor.practice.progress import Standing, Standings
from advisor.practice.replies import (
    INPUT_ENDED,
    LEFT,
    STOPPED,
    AskSide,
    AskSure,
    Care,
    CheckDone,
    Clock,
    DoneBefore,
    FileTrouble,
    Handbook,
    Help,
    Known,
    Left,
    LeftBefore,
    Mistake,
    OfferList,
    OfferListed,
    Opening,
    Over,
    ReadingTaken,
    RepairDone,
    Reply,
    ShownBefore,
    SideRead,
    StageListed,
    Stages,
    StepDone,
)
from advisor.show.practice import HELP, drawn

BIKE = BikeId(seed=7, level="hard", area="fuel")
IDLE = ReadingTaken(
    name="idle-speed",
    title="Idle speed",
    unit="rpm",
    sides=(SideRead(side=None, values=(812.4, -0.0)),),
    asked=Asked(low=1000.0, high=1100.0, unit="rpm"),
)
LOOK = CheckDone(
    title="Look at the plug",
    minutes=4.0,
    says="Tan.",
    how=("Take it out.",),
    care=Care(fresh=("Gloves.",), before=("fuel fire", "hot parts")),
    readings=(IDLE,),
)
FIX = RepairDone(title="The plug is dead", minutes=20.0, outcome="not gone", how="A new one.", still=("It stalls.",))


def shown(reply: Reply, width: int = 80) -> str:
    screen = Console(width=width, file=io.StringIO())
    screen.print(drawn(reply))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue()


def test_the_opening() -> None:
    text = shown(Opening(bike=BIKE, may_have_two=True, rider=("It stalls.",), workshop=("It drips.",)))
    assert text.startswith("PRACTICE, seed 7, hard: one or two faults in fuel\n  A virtual bike.")
    assert "THE RIDER SAYS\n  - It stalls.\nA WORKSHOP FOUND\n  - It drips.\n" in text
    plain = shown(Opening(bike=BikeId(seed=1, level="easy"), may_have_two=False, rider=("x",), workshop=()))
    assert "seed 1, easy: one fault\n" in plain
    assert "WORKSHOP" not in plain


def test_a_bike_left_before() -> None:
    text = " ".join(shown(LeftBefore(bike=BIKE)).split())
    assert "! This bike was left half-way: advisor practice --seed 7 --level hard --area fuel --resume goes on" in text


def test_the_stages() -> None:
    assert "\n  2  fuel (5 checks)\n" in shown(Stages(stages=(StageListed(number=2, title="fuel", checks=5),)))


def offers(stage: int, verb: str, more: int = 0) -> str:
    listed = (
        OfferListed(number=1, title="Look", minutes=4.0, sided=False),
        OfferListed(number=2, title="Measure the left or right one", minutes=3.0, sided=True),
        OfferListed(number=3, title="Name the left or right one", minutes=0.0, sided=True),
    )
    return shown(OfferList(verb=verb, stage=stage, title="fuel", offers=listed, more=more))


def test_a_list_says_once_how_a_side_is_chosen() -> None:
    lines = offers(3, "check", more=2).splitlines()
    assert lines == [
        "",
        "STAGE 3: fuel",
        "   1  Look (4 min)",
        "   2  Measure the left or right one (3 min; 2 left or 2 right)",
        "   3  Name the left or right one",
        "A number chooses. 2 more: type more. Back to the stages: list.",
    ]
    assert "more: type more" not in offers(3, "check")


@pytest.mark.parametrize(
    ("stage", "verb", "heading"),
    [(3, "fix", "FIX WHICH? fuel"), (3, "name", "NAME WHICH? fuel"), (0, "check", "WHICH OF THESE?")],
)
def test_a_list_of_causes_or_of_several_stages(stage: int, verb: str, heading: str) -> None:
    assert offers(stage, verb).splitlines()[1] == heading


def test_a_check() -> None:
    assert shown(StepDone(step=LOOK, clock=9.0)).splitlines() == [
        "",
        "Look at the plug (4 min)",
        "  ! Gloves.",
        "  ! as before: fuel fire, hot parts",
        "  - Take it out.",
        "  → Tan.",
        "    Idle speed [idle-speed]: 812, 0 rpm (handbook: 1000 to 1100 rpm)",
        "9 min on the clock. Next: a number of the list, list, know, fix or name.",
    ]


@pytest.mark.parametrize(
    ("sides", "trusted", "text"),
    [
        (
            (SideRead(side="left", values=(0.1234,)), SideRead(side="right", values=(99.95,))),
            0.0,
            "left 0.123 V; right 100",
        ),
        (
            (SideRead(side="left", values=(1.5,), stalls=1), SideRead(side="right", stalls=2)),
            0.0,
            "left 1.5 V, stalls;",
        ),
        ((SideRead(side="left", stalls=2),), 0.0, "left stalls, stalls"),
        ((SideRead(side="left"),), 0.0, "left no figure, it does not run so"),
        ((SideRead(side=None),), 0.0, ": no figure, it does not run so"),
        ((SideRead(side=None, values=(12.345,)),), 0.05, ": 12.35 ± 0.05 V"),
        ((SideRead(side=None, values=(812.0,)),), 20.0, ": 812 ± 2e+01 V"),
    ],
)
def test_readings_by_side(sides: tuple[SideRead, ...], trusted: float, text: str) -> None:
    read = ReadingTaken(name="volts", title="Volts", unit="V", sides=sides, trusted=trusted)
    assert text in shown(StepDone(step=CheckDone(title="x", minutes=1.0, says="y", readings=(read,)), clock=1.0))


@pytest.mark.parametrize(
    ("outcome", "says"),
    [
        ("gone", "The rider is content: the trouble is gone."),
        ("not gone", "It is not gone. The rider now says:"),
        ("unnoticed", "Sound to him is not proven"),
        ("rough", "it does not run as it should"),
    ],
)
def test_a_repair(outcome: str, says: str) -> None:
    step = RepairDone(title="The plug is dead", minutes=20.0, outcome=outcome, how="A new one.", set_again=True)
    text = " ".join(shown(StepDone(step=step, clock=20.0)).split())
    assert "Put right: The plug is dead (20 min with a run) - A new one. → Stops and cables had been set" in text
    assert says in text


def test_what_was_done_before() -> None:
    check = shown(DoneBefore(step=LOOK)).splitlines()
    assert check[1:3] == ["Done already: Look at the plug", "  → Tan."]
    assert check[-1] == "That took 4 min. Once more, for its minutes: again."
    assert "Gloves" not in "".join(check)
    assert shown(DoneBefore(step=FIX)).splitlines()[1] == "Put right already: The plug is dead"


def test_what_is_known() -> None:
    assert shown(Known(clock=24.0, told=("It stalls.",), steps=(LOOK, FIX)), 120).splitlines() == [
        "",
        "KNOWN SO FAR, 24 min",
        "  told  It stalls.",
        "  found Look at the plug: Tan. Idle speed [idle-speed]: 812, 0 rpm (handbook: 1000 to 1100 rpm)",
        "  fixed The plug is dead: It is not gone. The rider now says: It stalls.",
    ]


def test_the_handbook() -> None:
    figures = (("Slack", Asked(low=0.5, high=2.5, unit="mm")), ("Notch", Asked(low=3.0, high=3.0, unit="notches")))
    text = shown(Handbook(figures=figures))
    assert "\n  Slack: 0.5 to 2.5 mm\n  Notch: 3 notches\n" in text


@pytest.mark.parametrize(
    ("reply", "text"),
    [
        (Clock(clock=9.5, steps=2), "9.5 min on the clock, steps: 2.\n"),
        (AskSide(title="Look at it"), "Look at it: left, right or both?\n"),
        (AskSure(titles=("A", "B")), "Name 'A; B', and end with that? Say yes; anything else goes on.\n"),
        (Mistake(text="no such stage"), "! no such stage\n"),
        (FileTrouble(text="file: cannot be kept"), "! file: cannot be kept\n"),
        (ShownBefore(), "This bike's answer was shown before: --progress goes by the first time.\n"),
        (Over(outcome="right"), ""),
    ],
)
def test_short_replies(reply: Reply, text: str) -> None:
    assert shown(reply) == text


def test_help_names_all_that_may_be_typed() -> None:
    text = shown(Help())
    assert all(f"\n  {word}" in text for word, _ in HELP)


@pytest.mark.parametrize(("how", "begins"), [(LEFT, "Left"), (INPUT_ENDED, "The input ended"), (STOPPED, "\nStopped")])
def test_how_it_was_left(how: str, begins: str) -> None:
    kept = Left(how=how, clock=4.0, steps=1, bike=BIKE, kept=True)
    text = shown(kept)
    assert text.startswith(f"{begins}: 4 min, steps: 1; the fault was not named.\n")
    assert (
        "\nGo on from here: advisor practice --resume\nThe same bike from the start: advisor practice --seed 7" in text
    )
    lost = shown(Left(how=how, clock=4.0, steps=1, bike=BIKE, kept=False))
    assert "--resume" not in lost


def test_progress_by_area() -> None:
    rows = (
        Standing(area="fuel", bikes=3, found=1, minutes=30.4, planner=60.0, last=("-", "+", "?")),
        Standing(area="valves", bikes=1, found=0, minutes=None, planner=None, last=("-",)),
    )
    lines = shown(Standings(rows=rows)).splitlines()
    assert lines[2] == "  fuel             3     1       30       60  - + ?"
    assert lines[3] == "  valves           1     0        -        -  -"
    assert shown(Standings(rows=())).startswith("No bike has been practised on yet. Begin with: advisor practice")


def test_what_is_no_reply_is_not_drawn() -> None:
    with pytest.raises(TypeError, match="no drawing for str"):
        drawn("words")


@pytest.mark.parametrize("width", [40, 60])
def test_a_narrow_window_is_kept_to(width: int) -> None:
    long = "word " * 40
    replies: list[Reply] = [
        Opening(bike=BIKE, may_have_two=True, rider=(long,), workshop=(long,)),
        LeftBefore(bike=BIKE),
        StepDone(step=LOOK, clock=1.0),
        Known(clock=1.0, told=(long,), steps=(LOOK, FIX)),
        AskSure(titles=(long,)),
        Help(),
    ]
    for reply in replies:
        assert all(len(line) <= width for line in shown(reply, width).splitlines())
