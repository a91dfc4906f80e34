"""The report of led balances."""

import io

import msgspec
from rich.console import Console

from advisor.balance.course import CABLES, STOPS
from advisor.scoring.balance_bikes import Truth
from advisor.scoring.led_balance import Balance
from advisor.scoring.played import FOUND, LOST, Played
from advisor.session.balance_asked import STAGES
from advisor.session.balance_so_far import GAUGES
from advisor.session.events import BENCH
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
    assert "true cause among the first 5 50% of these; 33% of all" in found
    assert "balanced in spite of it rings-worn 1" in found


def test_searches_that_were_played_on_are_told_by_how_many_found_it() -> None:
    search = Played(
        kind=BENCH,
        name="1",
        truth=(("plug-dead", "left"),),
        how=FOUND,
        checks=(("exchange-the-plugs", None), ("test-the-spark", "left")),
        minutes=14.0,
        in_vain=(),
        proven=True,
        heard=0,
        place=1,
        order=0.0,
    )
    lost = msgspec.structs.replace(search, how=LOST, proven=False)
    handed = one(1, "no answer", "plug-dead", 1)
    found = text(*(msgspec.structs.replace(handed, search=each) for each in (search, lost)), handed)
    assert "the search played on (2 bikes) put right 50%; proven 50%" in found
    assert "checks until then 2 at the median" in found
