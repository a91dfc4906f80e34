"""The report of led balances."""

import io

from rich.console import Console

from advisor.balance.course import CABLES, STOPS
from advisor.scoring.balance_bikes import Truth
from advisor.scoring.led_balance import Balance
from advisor.session.balance_asked import STAGES
from advisor.session.balance_so_far import GAUGES
from advisor.show.led_balance import balances

BEFORE = Truth(idle_mmhg=30.0, held_mmhg=20.0, rpm=900.0, drops=100.0)
AFTER = Truth(idle_mmhg=2.0, held_mmhg=3.0, rpm=1000.0, drops=10.0)


def one(number: int, why: str = "", cause: str = "", place: int = 0) -> Balance:
    """Return a balance that took as many readings as its number."""
    readings = {STAGES[STOPS]: number, STAGES[CABLES]: number + 1}
    after = BEFORE if why else AFTER
    return Balance(
        seed=number, method=GAUGES, cause=cause, why=why, readings=readings, before=BEFORE, after=after, place=place
    )


def text(*played: Balance) -> str:
    out = io.StringIO()
    for part in balances(played):
        Console(file=out, width=80).print(part)
    return " ".join(out.getvalue().split())


def test_sound_bikes_are_told_by_readings_and_by_how_they_ended() -> None:
    found = text(one(1), one(2), one(3), one(4, why="no answer"))
    assert "(4 bikes)" in found
    assert "balanced 75%" in found
    assert "taken for a fault 25%; no answer 1" in found
    assert "2.0 mmHg at the median" in found


def test_faults_are_told_by_how_often_they_were_handed_over_and_their_place() -> None:
    found = text(one(1, "no answer", "plug-dead", 1), one(2, "far turn", "plug-dead", 9), one(3, "", "rings-worn"))
    assert "handed over to the search 67%" in found
    assert "true cause among the first 5 33%" in found
    assert "balanced in spite of it rings-worn 1" in found
