"""Practised bikes are kept one a line; damaged lines are skipped and said; by area with the last five."""

from pathlib import Path

import pytest

from advisor.trial.progress import Kept, ProgressError, keep, read, standings


def bike(area: str = "fuel", *, found: bool = True, minutes: float = 10) -> Kept:
    return Kept(seed=1, level="fair", area=area, found=found, minutes=minutes, planner=20)


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


def test_by_area_in_the_readiness_order() -> None:
    bikes = [bike("fuel", found=number > 3, minutes=number) for number in range(7)]
    valves, fuel, other = standings([bike("odd"), *bikes, bike("valves")], ["valves", "fuel"])
    assert (valves.area, fuel.area, other.area) == ("valves", "fuel", "odd")
    assert (fuel.bikes, fuel.found, fuel.minutes, fuel.planner) == (7, 3, 3, 20)
    assert fuel.last == (False, False, True, True, True)
