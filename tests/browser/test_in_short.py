"""The beginning of a session in a real browser, in every test run; the rest goes with `-m browser`."""

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.chromium import PHONE, Tab
from tests.browser.conftest import Open
from tests.browser.looking import looked_at, resized
from tests.browser.served import Pages
from tests.browser.walks import begin


def test_a_session_begins_on_a_phone(opened: Open) -> None:
    tab = opened()
    tab.go("/")
    assert looked_at(tab)[1] == []
    resized(tab.page, PHONE)
    tab.type(words="one exhaust is cold")
    tab.press("I am at the bike")
    tab.press("Workshop")
    pairs, wrong = looked_at(tab)
    assert (pairs, wrong) == (1, [])
    resized(tab.page, PHONE)
    tab.page.get_by_label("The left exhaust stays cooler").check()
    tab.press("That is it")
    expect(tab.page.locator("h1")).to_be_in_viewport()
    pairs, wrong = looked_at(tab)
    assert pairs
    assert wrong == []


def test_a_request_elsewhere_and_a_broken_policy_would_be_seen(browser: Browser, pages: Pages) -> None:
    tab = Tab(browser, pages.address)
    begin(tab, "A whole tune-up")
    tab.was_clean()
    plant = "(html) => document.querySelector('main').insertAdjacentHTML('beforeend', html)"
    for html in ("<img src='http://elsewhere.invalid/x.png' alt=''>", "<p style='color: red'>red</p>"):
        tab.wrong.clear()
        tab.page.evaluate(plant, html)
        tab.page.wait_for_timeout(100)
        assert "Content Security Policy" in " ".join(tab.wrong), html
    tab.wrong.clear()
    tab.page.goto("about:blank")
    tab.page.set_content("<img src='http://elsewhere.invalid/x.png' alt=''>")
    assert set(tab.left()) == {"http://elsewhere.invalid/x.png"}
    with pytest.raises(AssertionError, match="asked for elsewhere"):
        tab.was_clean()
    tab.close()
