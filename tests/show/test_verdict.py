"""How a round went as it stands on a terminal, from records made by hand."""

import io

import msgspec
import pytest
from rich.console import Console

from advisor.practice.levels import BikeId
from advisor.practice.review import (
    CheckReviewed,
    Guessed,
    InVain,
    Luck,
    OrderMistake,
    PlanCheck,
    PlanLook,
    PlanRepair,
    RepairReviewed,
    Review,
    ToldNothing,
    TooEarly,
)
from advisor.practice.verdict import Planted
from advisor.show.practice import drawn
from advisor.show.verdict_words import MOST_MOVES

FAULT = Planted(
    cause="plug-dead",
    side="right",
    title="The right plug is dead",
    bad="severe",
    stage="plugs",
    looks=("It is cold.", "It stalls."),
    reason="It fires in air only.\n",
    settled_by="Exchange the plugs",
    found=True,
)
LOOK = CheckReviewed(title="Look", minutes=4.0, says="Tan.", told="nothing", before=0.03, after=0.031)
GIVEN_UP = Review(
    bike=BikeId(seed=7, level="easy"),
    ending="given up",
    clock=9.0,
    named=(),
    planted=(FAULT,),
    steps=(),
    order=(),
    good_order=True,
    plan_in_vain=0,
    plan_failed="",
    plan=(PlanRepair(title="The right plug is dead", minutes=15.0),),
    minutes=9.4,
    all_found=False,
    luck=False,
    plan_minutes=51.0,
    plan_found=True,
)


def shown(**fields: object) -> list[str]:
    screen = Console(width=100, file=io.StringIO())
    screen.print(drawn(msgspec.structs.replace(GIVEN_UP, **fields)))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue().splitlines()


def test_the_whole() -> None:
    assert shown() == [
        "",
        "GIVEN UP, 9 min on the clock",
        "  it was  The right plug is dead: severe",
        "  stage   plugs",
        "  looks   It is cold.",
        "          It stalls.",
        "  why     It fires in air only.",
        "  settles Exchange the plugs",
        "",
        "WHAT YOU DID",
        "  -       nothing",
        "",
        "A GOOD ORDER: what the planner did on the same bike",
        "  15 min  put right: The right plug is dead",
        "  → To the cause, right repairs left out: you 9 min and not all found; planner 51 min.",
        "",
        "The same bike again: advisor practice --seed 7 --level easy",
    ]


@pytest.mark.parametrize(
    ("ending", "says"),
    [
        ("right", "RIGHT,"),
        ("cured", "CURED, but the wrong side was named,"),
        ("half right", "HALF RIGHT: a part of it, or more than it,"),
        ("wrong side", "WRONG: the right fault on the wrong side,"),
        ("wrong", "WRONG,"),
    ],
)
def test_how_it_ended(ending: str, says: str) -> None:
    assert shown(ending=ending)[1] == f"{says} 9 min on the clock"


def test_what_was_named_and_which_of_two_was_found() -> None:
    lines = shown(named=("A", "B"), planted=(FAULT, msgspec.structs.replace(FAULT, found=False, title="Other")))
    assert "  named   A; B" in lines
    assert "  it was  The right plug is dead: severe (you found it)" in lines
    assert "  it was  Other: severe" in lines


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ("all", "Told it all: this settles it, the fault 3% likely before, 3% after."),
        ("much", "Told much, the fault"),
        ("little", "Told little, the fault"),
        ("nothing", "Told nothing, the fault"),
        ("misled", "Misled, the fault"),
        ("misled a little", "Misled a little, the fault"),
    ],
)
def test_what_a_check_told(told: str, says: str) -> None:
    assert f"  4 min   Look: Tan. {says}" in "\n".join(shown(steps=(msgspec.structs.replace(LOOK, told=told),)))


@pytest.mark.parametrize(
    ("right", "besides", "says"),
    [(False, (), "was sound"), (True, (), "it was that"), (True, ("A", "B"), "it was: A; B")],
)
def test_what_a_repair_did(right: bool, besides: tuple[str, ...], says: str) -> None:
    step = RepairReviewed(title="X", minutes=20.0, right=right, cured_besides=besides)
    assert f"  20 min  Put right: X: {says}" in shown(steps=(step,))


IN_VAIN = InVain(title="X", minutes=185.0, new_parts=True, one_side=False, likely=0.02, blind=True)


@pytest.mark.parametrize(
    ("mistake", "says"),
    [
        (Guessed(), "A cause was acted on with nothing looked at. Right or not, that was a guess."),
        (
            IN_VAIN,
            (
                "Put right, though it was sound: 'X', 185 min, and new parts for nothing. "
                "It was 2% likely by what was known: nothing had spoken for it."
            ),
        ),
        (
            msgspec.structs.replace(IN_VAIN, blind=False, new_parts=False, likely=0.6),
            "Put right, though it was sound: 'X', 185 min for nothing. It was 60% likely by what was known.",
        ),
        (
            msgspec.structs.replace(IN_VAIN, one_side=True, blind=False),
            "On the sound side of 'X', 185 min, and new parts for nothing.",
        ),
        (
            Luck(title="X", likely=0.1),
            "Nothing had spoken for 'X' (10% likely by what was known). That it was so was luck.",
        ),
        (
            TooEarly(title="X", stage="valves", reason="Air first.", there=False),
            "'X' came while nothing of 'valves' had been looked at. Air first.",
        ),
        (
            TooEarly(title="X", stage="valves", reason="Air first.", there=True),
            "'X' came while nothing of 'valves' had been looked at. Air first. And there it was.",
        ),
        (ToldNothing(titles=("A", "B"), minutes=8.0), "Told nothing, and cost 8 min: A; B"),
    ],
)
def test_what_was_wrong_with_the_order(mistake: OrderMistake, says: str) -> None:
    lines = shown(order=(mistake,))
    begin = lines.index("WHERE THE ORDER WENT WRONG") + 1
    words = " ".join(line.strip() for line in lines[begin : lines.index("", begin)])
    assert words == f"- {says}"


@pytest.mark.parametrize(
    ("in_vain", "failed", "says"),
    [
        (0, "lost too", "it was lost too"),
        (0, "lost", "it was lost"),
        (0, "longer", "it took longer than you"),
        (1, "", "a repair in vain"),
        (2, "lost too", "2 repairs in vain and it was lost too"),
        (1, "not all", "a repair in vain and it did not find all"),
    ],
)
def test_the_heading_says_why_the_planners_order_is_none_to_follow(in_vain: int, failed: str, says: str) -> None:
    lines = shown(good_order=False, plan_in_vain=in_vain, plan_failed=failed)
    assert f"WHAT THE PLANNER DID, no order to follow: {says}" in lines


def test_what_the_planner_did() -> None:
    plan = (
        PlanCheck(title="Look", minutes=4.0, says="Wet with fuel. It proves little."),
        PlanCheck(title="Ask", minutes=1.0, says="A long answer " * 9),
        PlanLook(title="Exchange", minutes=40.0, times=2, cause="X", speaks_for=True),
        PlanLook(title="Exchange", minutes=20.0, times=1, cause="Y", speaks_for=False),
    )
    lines = shown(plan=plan)
    assert "  4 min   Look: Wet with fuel" in lines
    (long,) = (line for line in lines if line.startswith("  1 min   Ask: A long answer"))
    assert long.endswith(" ...")
    assert "  40 min  Exchange (2 looks): it speaks for 'X'" in lines
    assert "  20 min  Exchange: it speaks against 'Y'" in lines


@pytest.mark.parametrize(("more", "left_out"), [(0, 0), (1, 0), (2, 2), (9, 9)])
def test_a_long_plan_leaves_its_middle_out(more: int, left_out: int) -> None:
    count = MOST_MOVES + more
    lines = shown(plan=tuple(PlanRepair(title=f"no {number}", minutes=10.0) for number in range(count)))
    assert sum("put right: no " in line for line in lines) == count - left_out
    assert f"put right: no {count - 1}" in "\n".join(lines)
    assert (f"  ...     {left_out} steps more, {10 * left_out} min" in lines) == bool(left_out)


def test_what_was_luck_counts_in_the_minutes() -> None:
    text = " ".join("\n".join(shown(luck=True, all_found=True, plan_found=False)).split())
    assert (
        "To the cause, right repairs left out, but for those for which nothing had spoken: you 9 min; "
        "planner 51 min and not all found."
    ) in text
