"""Practised bikes are kept one a line; damaged lines are skipped and said; by area with the last five."""

import os
from pathlib import Path

import pytest
from msgspec.structs import asdict

from advisor.practice.progress import (
    HalfWay,
    Kept,
    Moved,
    ProgressError,
    forget_half_way,
    half_way_path,
    keep,
    keep_half_way,
    last_half_way,
    read,
    read_half_way,
    standings,
)


def bike(area: str = "fuel", *, found: bool = True, minutes: float = 10, seed: int = 1, guessed: bool = False) -> Kept:
    return Kept(seed=seed, level="fair", area=area, found=found, minutes=minutes, planner=2 * minutes, guessed=guessed)


def test_what_is_kept_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "new" / "practice.jsonl"
    assert read(path) == ([], [])
    keep(bike(), path)
    keep(bike("valves", found=False), path)
    assert read(path) == ([bike(), bike("valves", found=False)], [])


def test_a_damaged_line_is_skipped_and_said(tmp_path: Path) -> None:
    path = tmp_path / "practice.jsonl"
    keep(bike(), path)
    with path.open("ab") as file:
        file.write(b'\xff\xfe nonsense\n\n{"seed": 1}\n{"seed": 2, "lev')
    keep(bike(minutes=30), path)
    found, skipped = read(path)
    assert [one.minutes for one in found] == [10, 30]
    assert [f":{number}:" in text for number, text in zip((2, 4, 5), skipped, strict=True)] == [True] * 3


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(ProgressError, match="cannot be kept"):
        keep(bike(), tmp_path / "file" / "practice.jsonl")
    with pytest.raises(ProgressError, match="cannot be read"):
        read(tmp_path)


def half_way(seed: int, *steps: Moved) -> HalfWay:
    return HalfWay(seed=seed, level="hard", area="fuel", steps=steps)


def test_the_bike_left_last_is_the_one_to_go_on_with(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert last_half_way() is None
    moved = Moved(kind="check", id="look", side="left", both=False, minutes=4.0, says="Tan.")
    for order, one in enumerate((half_way(2), half_way(1), half_way(2, moved))):
        keep_half_way(one)
        os.utime(half_way_path(one.seed, one.level, one.area), (order, order))
    last = last_half_way()
    assert last is not None
    assert read_half_way(last) == half_way(2, moved)
    forget_half_way(2, "hard", "fuel")
    forget_half_way(2, "hard", "fuel")  # ended twice is no mistake
    assert last_half_way() == half_way_path(1, "hard", "fuel")


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
    (kept,), skipped = read(path)
    assert (kept.bike, kept.guessed, skipped) == ((4, "fair", ""), False, [])
