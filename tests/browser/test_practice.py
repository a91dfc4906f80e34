"""Practice, the lesson and the units in a browser: every page fits and can be read, and a round goes to its end."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.chromium import PHONE, Tab
from tests.browser.conftest import Open
from tests.browser.looking import looked_at, made_of

pytestmark = pytest.mark.browser


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def a_round(tab: Tab) -> Iterator[str]:
    """Go from the choice of a bike to how it went, by every kind of page; yield the name of each."""
    tab.go("/practice")
    yield "practice"
    tab.unfold()
    tab.type(seed="7")
    tab.press("Easy")
    yield "bike"
    tab.press("Plugs, leads and timing")
    yield "stage"
    tab.press("Look at both plug caps")
    yield "step"
    tab.type(words="rocker cover")
    tab.press("Look")
    yield "which side"
    tab.press("Left")
    tab.type(words="plug")
    tab.press("Look")
    yield "which of these"
    tab.go("/practice/bike/easy-7/known")
    yield "known"
    tab.press("Back to the bike")
    tab.press("Put something right")
    yield "fix"
    tab.press("Cables and stops")
    yield "causes"
    tab.go("/practice/bike/easy-7/name")
    tab.unfold()
    yield "name"
    tab.type(words="air leak left")
    tab.press("That is it")
    yield "named"
    tab.go("/practice/bike/easy-7")
    tab.unfold()
    tab.press("Give up")
    yield "over"
    tab.press("How it went so far")
    yield "progress"


def the_lesson(tab: Tab) -> Iterator[str]:
    """Go through a stage of the lesson, and to the units."""
    tab.go("/practice/lesson/1")
    yield "lesson"
    tab.press("Its first check")
    yield "lesson on a bike"
    tab.press("The next stage")
    tab.press("Units")
    yield "units"
    tab.press("Inch")
    assert tab.page.url.endswith("/practice/lesson/2"), "back to where he came from"


@pytest.mark.parametrize("way", [a_round, the_lesson])
def test_every_page_fits_and_can_be_read_by_everybody(way: object, opened: Open) -> None:
    tab, wrong, known = opened(), list[str](), frozenset[str]()
    assert callable(way)
    for name in way(tab):
        parts = made_of(tab.page)
        wrong += [f"{name}: {one}" for one in looked_at(tab, checked=not parts <= known)[1]]
        known |= parts
    assert wrong == []


def test_a_round_goes_to_its_end_without_script(opened: Open) -> None:
    tab = opened(PHONE, script=False)
    came = list(a_round(tab))
    assert came[-1] == "progress"
