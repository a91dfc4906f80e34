"""One browser for the whole run; for each test a new store, served, and new tabs that are looked at when it ends."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from advisor.diagnose import Advisor
from advisor.web.worked_out import WorkedOut
from tests.browser import installed
from tests.browser.chromium import PHONE, Scheme, Size, Tab, running
from tests.browser.served import Pages, served

Open = Callable[..., Tab]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return the system's browser; leave the test out where there is none, or fail where there must be one."""
    path = installed.chromium()
    if path is None:
        (pytest.fail if installed.must_be_there() else pytest.skip)(installed.MISSING)
    with running(path) as found:
        yield found


@pytest.fixture(scope="session")
def reports(advisor: Advisor) -> WorkedOut:
    """Return an advisor that works each case out once in all tests."""
    return WorkedOut(advisor)


@pytest.fixture
def pages(browser: Browser, reports: WorkedOut, tmp_path: Path) -> Iterator[Pages]:  # noqa: ARG001 - left out without one
    """Return a desk with a new store, served."""
    with served(reports, tmp_path / "s.sqlite") as found:
        yield found


@pytest.fixture
def opened(browser: Browser, pages: Pages) -> Iterator[Open]:
    """Return a function that opens a tab. Each must have been without a fault, and have asked only this machine."""
    tabs: list[Tab] = []

    def tab(size: Size = PHONE, scheme: Scheme = "light", *, script: bool = True) -> Tab:
        tabs.append(Tab(browser, pages.address, size, scheme, script=script))
        return tabs[-1]

    yield tab
    for one in tabs:
        one.close()
    for one in tabs:
        one.was_clean()
