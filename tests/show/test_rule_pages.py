"""A cause's page on the screen: its signs by how often, the most frequent first, with titles, at 80 columns."""

from io import StringIO

import pytest
from rich.console import Console

from advisor.rulebase import Rulebase
from advisor.show.rule_pages import page


def _drawn(name: str, base: Rulebase) -> list[str]:
    console = Console(width=80, file=StringIO(), record=True, color_system=None)
    console.print(page(base.causes[name], base))
    return console.export_text().splitlines()


@pytest.mark.parametrize("kind", ["signs", "checks", "rules", "readings", "limits", "parts", "cautions"])
def test_every_page_can_be_drawn(kind: str, base: Rulebase) -> None:
    console = Console(width=80, file=StringIO())
    for record in getattr(base, kind).values():
        console.print(page(record, base))


def test_signs_stand_by_how_often_and_side(base: Rulebase) -> None:
    drawn = _drawn("cable-slack-unequal", base)
    begin = drawn.index("  What it shows, as when it is on the left")
    heads = [line.strip() for line in drawn[begin + 1 : -2] if line.startswith("  ") and line[2] != " "]
    words = list(base.words.shows)
    assert [words.index(head.partition(",")[0]) for head in heads] == sorted(
        words.index(head.partition(",")[0]) for head in heads
    )
    assert heads[:3] == ["nearly always, same side", "nearly always, other side", "usually"]
    told = " ".join(" ".join(drawn).split())
    assert "nearly always, other side - The right column stands a little higher at 2,500 rpm" in told


def test_every_sign_once_with_its_title(base: Rulebase) -> None:
    for cause in base.causes.values():
        drawn = _drawn(cause.id, base)
        begin = next(number for number, line in enumerate(drawn) if line.startswith("  What it shows"))
        assert max(len(line) for line in drawn[begin:-2]) <= 80
        shown = [link.sign for link in cause.links if cause.sided or link.bearing != "other"]
        assert sum(line.startswith("    - ") for line in drawn[begin:]) == len(shown)
        assert set(shown) <= {word for line in drawn[begin:] for word in line.split()}


def test_a_fault_of_the_whole_bike_names_no_side(base: Rulebase) -> None:
    told = " ".join(" ".join(_drawn("out-of-adjustment", base)).split())
    assert "nearly always, either side - A small turn of the idle stops, the left or right one opened" in told
    assert "sometimes, each side - A left or right setting has moved since last time setting-moved" in told
