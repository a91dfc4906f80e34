"""The README is true: its commands run and print what it shows; it names every command."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from advisor.cli import COMMANDS, cli

TOP = Path(__file__).resolve().parent.parent
README = (TOP / "README.md").read_text(encoding="utf-8")
SHOWN = [
    (match["command"], match["output"])
    for block in re.findall(r"```console\n(.*?)```", README, flags=re.DOTALL)
    for match in re.finditer(r"\$ advisor (?P<command>.*)\n(?P<output>(?:(?!\$ ).*\n)*)", block)
]


@pytest.mark.parametrize(("command", "output"), SHOWN, ids=[command for command, _ in SHOWN])
def test_prints_what_the_readme_shows(command: str, output: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    result = CliRunner().invoke(cli, command.split())
    here = f"{TOP}/"
    printed = "".join(f"{line.rstrip()}\n" for line in result.output.replace(here, "").rstrip().splitlines())
    assert printed == output


def test_shows_enough() -> None:
    assert len(SHOWN) >= 6
    assert all(f"advisor {name}" in README for name in COMMANDS)


def test_the_case_shown_is_the_demo_case() -> None:
    shown = re.search(r"```yaml\n(.*?)```", README, flags=re.DOTALL)
    assert shown
    assert shown[1] == (TOP / "cases_demo/mail-4-shakes-at-cruise.yaml").read_text(encoding="utf-8")


def test_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph, *_ = README.split("\n\n")
    assert title.startswith("# ")
    for word in ("opposed", "carburettor", "balanc", "check next", "minutes"):
        assert word in paragraph
