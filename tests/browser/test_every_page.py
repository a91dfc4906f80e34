"""Every kind of page, at every width, light and dark: it fits, a glove hits it, everybody can read it."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from advisor.web.worked_out import WorkedOut
from tests.browser.chromium import PHONE, Tab
from tests.browser.conftest import Open
from tests.browser.looking import barriers, looked_at, made_of, misfits, resized, sides
from tests.browser.served import Pages, served
from tests.browser.walks import WAYS, begin

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("way", WAYS)
def test_every_page_fits_and_can_be_read_by_everybody(way: str, opened: Open, pages: Pages) -> None:
    tab, wrong, pairs, known = opened(), list[str](), 0, frozenset[str]()
    for name in WAYS[way](tab, pages):
        parts = made_of(tab.page)
        found, misses = looked_at(tab, checked=not parts <= known)
        known |= parts
        resized(tab.page, PHONE)
        pairs += found
        wrong += [f"{name}: {one}" for one in misses]
    assert wrong == []
    assert pairs, "no page had a left and a right"


def test_the_pages_before_any_session_too(browser: Browser, reports: WorkedOut, tmp_path: Path) -> None:
    """A code that is asked for and wrong; and a link from elsewhere, with which no cookie was sent."""
    with served(reports, tmp_path / "s.sqlite", by_code=True) as pages:
        tab = Tab(browser, pages.address)
        tab.refused = {401}
        tab.go("/")
        assert looked_at(tab) == (0, [])
        tab.type(code="nonsense")
        tab.press("Let me in")
        assert looked_at(tab) == (0, [])
        tab.type(code=pages.codes[-1])
        tab.press("Let me in")
        assert tab.heading == "What is wrong?"
        tab.go(pages.address.replace("127.0.0.1", "localhost"))
        with tab.page.expect_navigation():
            tab.page.evaluate("(to) => { location.href = to; }", f"{pages.address}/")
        assert tab.heading == "You came from another site"
        assert looked_at(tab) == (0, [])
        tab.press("Open the sessions")
        assert tab.heading == "What is wrong?", "it was let in before, and still is"
        tab.close()
        tab.was_clean()


def test_what_is_looked_for_would_be_seen(opened: Open) -> None:
    """Each look finds what it is there for, planted on a page that has nothing of it."""
    tab = opened()
    begin(tab, "I am at the bike", "it idles badly")
    assert looked_at(tab)[1] == []
    plant = "(html) => document.querySelector('main').insertAdjacentHTML('beforeend', html)"
    tab.page.evaluate(plant, "<p><a href='/'>low</a></p><hr width='5000'>")
    found = " ".join(misfits(tab.page))
    assert "scrolls sideways" in found
    assert "sticks out: HR" in found
    assert "too low: A 'low'" in found
    tab.page.evaluate(plant, "<div class='pair'><p class='right'>r</p><p class='left'>l</p></div>")
    many, wrong = sides(tab.page)
    assert (many, len(wrong)) == (1, 1)
    tab.page.emulate_media(color_scheme="light")
    tab.page.evaluate(plant, "<p><font color='#bbbbbb'>pale</font><input name='nameless'></p>")
    assert {one.partition(":")[0] for one in barriers(tab.page)} >= {"color-contrast", "label"}
