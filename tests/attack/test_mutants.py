"""Damaged cases and rule pages: each mistake is named, or the page still means something; nothing breaks."""

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.places import shipped
from tests.attack import hostile
from tests.attack.attack import Tally, call

pytestmark = pytest.mark.slow
RULES = shipped("rules")
PAGES = sorted(RULES.rglob("*.yaml"))
CASES = [*hostile.CASES, *sorted((Path(__file__).parents[1] / "resolved").glob("*.yaml"))]


@pytest.mark.parametrize("part", range(6))
def test_a_damaged_case_is_read_or_refused(part: int, tmp_path: Path, ended: Callable[[Tally], None]) -> None:
    rng = random.Random(f"cases {part}")
    tally = Tally("damaged cases")
    for number in range(60):
        place = tmp_path / f"{number}.yaml"
        place.write_text(
            hostile.damaged(rng, rng.choice(hostile.CASES).read_text()), encoding="utf-8", errors="replace"
        )
        page = ["report", "--replace", "-o", str(tmp_path / "job.html")]
        words = rng.choice((["diagnose"], ["diagnose", "--format", "json"], ["explain"], page))
        found = call(tally, [*words, str(place), *(["plug-dead"] if words == ["explain"] else [])], home=tmp_path)
        if found.code == 1 and b".yaml" not in found.err and b"cause" not in found.err:
            tally.fault("wrong code", number, found.err)  # a message that names no place
    ended(tally)


@pytest.mark.parametrize("part", range(8))
def test_a_damaged_page_is_read_or_refused(part: int, tmp_path: Path, ended: Callable[[Tally], None]) -> None:
    rng = random.Random(f"pages {part}")
    tally = Tally("damaged pages")
    for number in range(25):
        shop = tmp_path / str(number)
        page = rng.choice(PAGES)
        place = shop / page.relative_to(RULES)
        place.parent.mkdir(parents=True)
        place.write_text(hostile.damaged(rng, page.read_text(encoding="utf-8")), encoding="utf-8", errors="replace")
        found = call(tally, ["rules", "check", "--rules", str(shop)], home=tmp_path)
        if found.code == 1 and any(str(RULES).encode() in line.partition(b": ")[0] for line in found.err.splitlines()):
            tally.fault("wrong code", (part, number, page.name), found.err[-600:])  # a shipped page is blamed
    ended(tally)
