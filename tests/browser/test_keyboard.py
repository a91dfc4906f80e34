"""By keyboard alone: every control is reached, in reading order, and it shows which one has the focus."""

from itertools import pairwise

import pytest
from playwright.sync_api import expect

from advisor.session.events import Told
from tests.browser.chromium import DESKTOP, PHONE, Size, Tab
from tests.browser.conftest import Open
from tests.browser.served import Pages
from tests.browser.walks import question
from tests.web.test_pages import SENTENCE

pytestmark = pytest.mark.browser
MOST_STOPS = 80
# What can be reached by keyboard: names it, where it stands, and whether it shows that it has the focus.
HERE = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const ring = one.closest("label.tick") || one, at = ring.getBoundingClientRect(), style = getComputedStyle(ring);
  return {
    name: one.dataset.stop, y: at.top + scrollY, x: at.left,
    ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    seen: at.bottom > 0 && at.top < innerHeight && at.right > 0 && at.left < innerWidth,
  };
}"""
ALL = """() => {
  const found = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")]
    .filter((one) => one.checkVisibility());
  found.forEach((one, number) => { one.dataset.stop = `${number} ${one.textContent.trim() || one.name}`; });
  return found.map((one) => one.dataset.stop);
}"""
Stop = dict[str, object]


def fresh(tab: Tab) -> list[str]:
    """Load the page again with everything unfolded, and return the names of all that can have the focus."""
    tab.page.reload()
    tab.page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    found: list[str] = tab.page.evaluate(ALL)
    return found


def stops(tab: Tab, key: str) -> list[Stop]:
    """Press a key until the focus leaves the page, and return each stop on the way."""
    found: list[Stop] = []
    for _ in range(MOST_STOPS):
        tab.page.keyboard.press(key)
        here = tab.page.evaluate(HERE)
        if here is None or (found and here["name"] == found[0]["name"]):
            return found
        found.append(here)
    raise AssertionError(found)


def to(tab: Tab, words: str) -> None:
    """Press Tab until a control of these words has the focus."""
    wanted = tab.control(words)
    for _ in range(MOST_STOPS):
        tab.page.keyboard.press("Tab")
        if wanted.evaluate("(one) => one === document.activeElement"):
            return
    raise AssertionError(words)


def press(tab: Tab, words: str, key: str = "Enter") -> None:
    """Go to a control and press a key on it, which leads to the next page."""
    to(tab, words)
    with tab.page.expect_navigation():
        tab.page.keyboard.press(key)


def in_order(found: list[Stop]) -> list[str]:
    """Return where the focus jumps back: up the page by more than a row, within one column."""
    return [
        f"{after['name']} after {before['name']}"
        for before, after in pairwise(found)
        if float(str(after["y"])) < float(str(before["y"])) - 120 and float(str(after["x"])) <= float(str(before["x"]))
    ]


@pytest.mark.parametrize("size", [pytest.param(PHONE, id="phone"), pytest.param(DESKTOP, id="desktop")])
def test_every_control_is_reached_in_reading_order_and_seen(size: Size, opened: Open) -> None:
    tab = opened(size)
    tab.go("/")
    tab.type(words="won't idle evenly since I did the valves")
    tab.press("I am at the bike")
    tab.press("Workshop")
    for page in ("understood", "question", "told", "why", "/sessions", "/"):
        if page == "question":
            tab.press("What is ticked is so")
        elif page != "understood":
            tab.go(page if page.startswith("/") else f"/session/1/{page}")
        every = fresh(tab)
        forth = stops(tab, "Tab")
        assert [one["name"] for one in forth] == every, page
        assert [one["name"] for one in forth if not one["ring"]] == [], page
        assert [one["name"] for one in forth if not one["seen"]] == [], page
        assert in_order(forth[1:]) == [], page
        fresh(tab)
        back = stops(tab, "Shift+Tab")
        assert [one["name"] for one in reversed(back)] == every, page


def test_a_session_by_keyboard_alone(opened: Open, pages: Pages) -> None:
    tab = opened(DESKTOP)
    tab.go("/")
    tab.page.keyboard.press("Tab")
    expect(tab.page.locator(".skip")).to_be_in_viewport()
    tab.page.keyboard.press("Enter")
    tab.page.keyboard.press("Tab")
    expect(tab.page.locator("#words")).to_be_focused()
    tab.page.keyboard.type(SENTENCE)
    press(tab, "I am at the bike")
    press(tab, "Workshop", "Space")
    tick = tab.page.get_by_label("Pops back through a carburettor")
    while not tick.evaluate("(one) => one === document.activeElement"):
        tab.page.keyboard.press("Tab")
    tab.page.keyboard.press("Space")
    expect(tick).not_to_be_checked()
    press(tab, "What is ticked is so")
    (told,) = (one for one in pages.desk.store.events(1) if isinstance(one, Told))
    assert len(told.reports) == 1
    title, many = question(tab, pages).title, pages.desk.many(1)
    with tab.page.expect_navigation():
        tab.page.keyboard.press("2")
    assert pages.desk.many(1) == many + 1, "a figure presses the answer of that number"
    press(tab, "Undo the last answer")
    assert tab.heading == title
    press(tab, "Why this?")
    press(tab, "Back to the question")
    press(tab, "Sessions")
    tab.page.get_by_label("Of this kind").focus()
    tab.page.keyboard.press("ArrowDown")
    press(tab, "Look")
    assert "kind=bench" in tab.page.url, "the first kind, below that of any"


def test_figures_are_sent_by_the_enter_key(opened: Open) -> None:
    tab = opened()
    tab.go("/")
    press(tab, "Balance the carburettors")
    for number in (1, 3, 2, 1):
        with tab.page.expect_navigation():
            tab.page.keyboard.press(f"{number}")
    tab.page.locator("[name=left]").focus()
    for figure in ("240", "205", "980"):
        tab.page.keyboard.type(figure)
        tab.page.keyboard.press("Tab")
    with tab.page.expect_navigation():
        tab.page.keyboard.press("Enter")
    expect(tab.page.locator("figure.balance figcaption").first).to_contain_text("left 35 mmHg higher")
    tab.page.locator("[name=left]").focus()
    tab.page.keyboard.type("1")
    expect(tab.page.locator("[name=left]")).to_have_value("1")
