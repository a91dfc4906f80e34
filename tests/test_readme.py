"""The README is true: its commands run and print what it shows; it names every command."""

import re

import pytest

from advisor.cli import COMMANDS
from tests.shown import DOCUMENTS, TOP, Shown, printed, shown

README = (TOP / "README.md").read_text(encoding="utf-8")
SHOWN = [one for document in DOCUMENTS for one in shown(document)]


@pytest.mark.parametrize("one", SHOWN, ids=[f"{one.document}: {one.command}" for one in SHOWN])
def test_prints_what_the_document_shows(one: Shown) -> None:
    assert printed(one) == one.output


def test_shows_enough() -> None:
    """One screen for each of the three users and for the balance, the other commands where their documents are."""
    commands = {one.command.split()[0] for one in SHOWN if one.document == "README.md"}
    assert commands == {"bench", "balance", "phone", "practice"}
    assert len(SHOWN) >= 12
    assert len(README.splitlines()) <= 150
    assert all(f"advisor {name}" in README for name in COMMANDS)


def test_the_case_shown_is_the_demo_case() -> None:
    text = (TOP / "cases_demo/README.md").read_text(encoding="utf-8")
    case = re.search(r"```yaml\n(.*?)```", text, flags=re.DOTALL)
    assert case
    assert case[1] == (TOP / "cases_demo/mail-4-shakes-at-cruise.yaml").read_text(encoding="utf-8")


def test_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph, *_ = README.split("\n\n")
    assert title.startswith("# ")
    for word in ("opposed", "carburettor", "balanc", "check next", "minutes"):
        assert word in paragraph
