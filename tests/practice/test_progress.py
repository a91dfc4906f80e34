"""Practice over many bikes: by area, each bike as it went the first time, with the last five."""

from pathlib import Path

import pytest
from msgspec.structs import asdict

from advisor.practice.levels import BikeId
from advisor.practice.progress import Kept, Standings, progress_path, so_far, standings
from advisor.practice.replies import FileTrouble
from advisor.practice.storage import add_line, read_lines
from advisor.rulebase.model import Rulebase


def bike(area: str = "fuel", *, found: bool = True, minutes: float = 10, seed: int = 1, guessed: bool = False) -> Kept:
    return Kept(seed=seed, level="fair", area=area, found=found, minutes=minutes, planner=2 * minutes, guessed=guessed)


def test_by_area_in_the_readiness_order() -> None:
    bikes = [bike("fuel", found=number > 3, minutes=number, seed=number) for number in range(7)]
    odd, sound = bike("odd", found=False, seed=7), bike("valves", seed=8)
    valves, fuel, other = standings([odd, *bikes, sound], ["valves", "fuel"])
    assert (valves.area, fuel.area, other.area) == ("valves", "fuel", "odd")
    assert (fuel.bikes, fuel.found, fuel.last) == (7, 3, ("-", "-", "+", "+", "+"))


def test_only_what_was_found_has_minutes_to_the_cause() -> None:
    given_up, found = bike(found=False, minutes=0, seed=1), bike(minutes=30, seed=2)
    guessed = bike(minutes=0, seed=3, guessed=True)
    (fuel,) = standings([given_up, found, guessed], [])
    assert (fuel.bikes, fuel.found, fuel.minutes, fuel.planner) == (3, 1, 30, 60)
    assert fuel.last == ("-", "+", "?")
    (fuel,) = standings([given_up], [])
    assert (fuel.minutes, fuel.planner) == (None, None)


def test_a_bike_whose_answer_was_shown_counts_the_first_time_only() -> None:
    shown, again = bike(found=False, minutes=50), bike(found=True, minutes=1)
    (fuel,) = standings([shown, again], [])
    assert (fuel.bikes, fuel.found) == (1, 0)
    (fuel,) = standings([shown, Kept(**{**asdict(again), "asked": "fuel"})], [])  # asked for by place: another bike
    assert (fuel.bikes, fuel.found) == (2, 1)


def test_lines_of_before_are_still_read(tmp_path: Path) -> None:
    path = tmp_path / "practice.jsonl"
    path.write_text('{"seed":4,"level":"fair","area":"fuel","found":true,"minutes":9,"planner":8}\n', encoding="utf-8")
    (kept,), skipped = read_lines(path, Kept)
    assert (kept.bike, kept.guessed, skipped) == (BikeId(seed=4, level="fair"), False, [])


def test_what_is_kept_so_far_with_a_word_on_damaged_lines(
    base: Rulebase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert so_far(base) == [Standings(rows=())]
    add_line(progress_path(), bike("fuel"))
    with progress_path().open("ab") as file:
        file.write(b"nonsense\n")
    add_line(progress_path(), bike("valves", seed=2))
    trouble, found = so_far(base)
    assert isinstance(trouble, FileTrouble)
    assert ":2: this line is damaged" in trouble.text
    assert isinstance(found, Standings)
    assert [one.area for one in found.rows] == ["valves", "fuel"]
