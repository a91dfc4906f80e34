"""A case reads its sheet and logs from its own folder and below, and from nowhere else without leave."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from advisor.cli import cli
from advisor.errors import CaseError
from advisor.intake.casefile import read_case
from advisor.intake.mapping import case_from
from advisor.rulebase import Rulebase

SHEET, LOG = "name: nine\n", "time s,revs rpm\n0,1000\n"


@pytest.fixture
def away(tmp_path: Path) -> Path:
    """Return a folder beside that of the case, with a sheet and a log."""
    for folder in (tmp_path / "away", tmp_path / "own", tmp_path / "own" / "below"):
        folder.mkdir()
        (folder / "sheet.yaml").write_text(SHEET, encoding="utf-8")
        (folder / "idle.csv").write_text(LOG, encoding="utf-8")
    return tmp_path / "away"


def case(away: Path, sheet: str, log: str) -> Path:
    path = away.parent / "own" / "case.yaml"
    path.write_text(f"bike: {{sheet: '{sheet}'}}\nlogs: {{idle: {{file: '{log}'}}}}\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("folder", ["", "below/", "./below/../", "../own/below/"])
def test_its_own_folder_and_below(away: Path, base: Rulebase, folder: str) -> None:
    told = read_case(case(away, f"{folder}sheet.yaml", f"{folder}idle.csv"), base)
    assert told.bike.name == "nine"
    assert Path(told.logs[0].path).samefile(away.parent / "own" / folder / "idle.csv")


def _by_link(away: Path) -> str:
    (away.parent / "own" / "link").symlink_to(away)
    return "link"


OUTSIDE: dict[str, Callable[[Path], str]] = {"the parent": lambda _: "../away", "whole path": str, "a link": _by_link}


@pytest.mark.parametrize("way", OUTSIDE)
def test_what_lies_elsewhere_needs_leave(away: Path, base: Rulebase, way: str) -> None:
    folder = OUTSIDE[way](away)
    path = case(away, f"{folder}/sheet.yaml", f"{folder}/idle.csv")
    with pytest.raises(CaseError) as caught:
        read_case(path, base)
    assert [(one.line, one.text) for one in caught.value.problems] == [
        (
            line,
            f"'{folder}/{name}' lies outside the case's own folder; put it there, or allow it with --files-from {away}",
        )
        for line, name in ((1, "sheet.yaml"), (2, "idle.csv"))
    ]
    assert read_case(path, base, [away]).bike.name == "nine"
    assert read_case(path, base, [str(away.parent)]).logs


def test_a_link_to_a_file_elsewhere_is_not_followed(away: Path, base: Rulebase) -> None:
    (away.parent / "own" / "other.yaml").symlink_to(away / "sheet.yaml")
    with pytest.raises(CaseError, match="outside the case's own folder"):
        read_case(case(away, "other.yaml", "idle.csv"), base)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("a\\0b", "is not a file name"),
        ("loop", "is not a file name"),
        ("n" * 300, "file name too long"),
        ("pipe", "this is not a plain file but a pipe or a device; a YAML file is needed"),
        ("below", "this is a folder; a YAML file is needed"),
        ("none.yaml", "no such file or directory"),
    ],
)
def test_what_is_no_file_is_one_mistake_at_once(away: Path, base: Rulebase, name: str, says: str) -> None:
    own = away.parent / "own"
    (own / "loop").symlink_to("loop")
    os.mkfifo(own / "pipe")
    (own / "case.yaml").write_text(f'bike: {{sheet: "{name}"}}\n', encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(own / "case.yaml", base)
    (problem,) = caught.value.problems
    assert says in problem.text


def test_a_program_reads_from_its_working_folder(away: Path, base: Rulebase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(away.parent / "own")
    told = {"bike": {"sheet": Path("below/sheet.yaml")}, "logs": {"idle": {"file": away / "idle.csv"}}}
    with pytest.raises(CaseError, match=r"logs\.idle\.file: .* lies outside"):
        case_from(told, base)
    assert case_from(told, base, files_from=[away]).logs[0].path == str(away / "idle.csv")


@pytest.mark.parametrize("command", [["diagnose"], ["explain"], ["score"]])
def test_the_command_line_allows_a_folder(away: Path, command: list[str]) -> None:
    path = case(away, "../away/sheet.yaml", "idle.csv")
    path.write_text("bike: {sheet: ../away/sheet.yaml}\n", encoding="utf-8")
    given = [str(path)]
    if command == ["explain"]:
        given += ["plug-dead left"]
    if command == ["score"]:
        told = "{seen: {idle-hangs: yes}, bike: {sheet: ../away/sheet.yaml}}"
        path.write_text(f"cause: [plug-dead]\nconfidence: high\nfirst: {told}\nsecond: {told}\n", encoding="utf-8")
        (path.parent / "sheet.yaml").unlink()
        given = [str(path.parent)]
    refused = CliRunner().invoke(cli, [*command, *given])
    assert (refused.exit_code, "outside the case's own folder" in refused.stderr) == (1, True)
    assert CliRunner().invoke(cli, [*command, *given, "--files-from", str(away)], catch_exceptions=False).exit_code == 0


def test_bikes_that_are_drawn_read_no_files(away: Path) -> None:
    done = CliRunner().invoke(cli, ["score", "--cases", "1", "--files-from", str(away)])
    assert done.exit_code == 1
