"""Readings that come by themselves, in a browser: the columns move, and the next step comes with a settled reading."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from advisor.web.worked_out import WorkedOut
from tests.browser.chromium import Tab
from tests.browser.looking import looked_at
from tests.browser.served import Pages, served
from tests.browser.walks import begin
from tests.web.test_followed import HEADER, SET_UP, lines

pytestmark = pytest.mark.browser


class Bench:
    """A tab at a balance that follows a table, and the file that is its table."""

    def __init__(self, tab: Tab, pages: Pages, log: Path) -> None:
        self.tab, self.pages, self.log = tab, pages, log
        begin(tab, "Balance the carburettors")
        for number in SET_UP:
            tab.number(int(number))
        tab.press("Let the readings come from log.csv")

    def writes(self, many: int, at: float, left: float = 240, right: float = 205) -> None:
        """Write so many rows, four a second of the instrument's own time."""
        with self.log.open("a") as more:
            more.writelines(lines(many, left=left, right=right, at=at))
        assert self.pages.table is not None
        self.pages.table.read()


@pytest.fixture
def bench(browser: Browser, reports: WorkedOut, tmp_path: Path) -> Iterator[Bench]:
    """Return a balance that waits for its first reading."""
    log = tmp_path / "log.csv"
    log.write_text(HEADER)
    with served(reports, tmp_path / "s.sqlite", follows=log) as pages:
        tab = Tab(browser, pages.address)
        yield Bench(tab, pages, log)
        tab.close()
        tab.was_clean()


def test_the_columns_move_and_the_next_step_comes(bench: Bench) -> None:
    live = bench.tab.page.locator("#live")
    bench.writes(4, at=0.0)
    expect(live).to_contain_text("left 24")
    bench.writes(4, at=1.0, left=150)
    expect(live).to_contain_text("left 15")
    assert looked_at(bench.tab)[1] == []
    bench.writes(40, at=2.0)
    expect(bench.tab.page.locator("h1")).to_contain_text("then read")
    expect(live).to_contain_text("Measured: Depression at idle")


def test_what_is_being_typed_is_not_lost(bench: Bench) -> None:
    bench.tab.unfold()
    bench.tab.type(left="23")
    bench.writes(40, at=0.0)
    expect(bench.tab.page.locator("#newer")).to_be_visible()
    assert bench.tab.page.locator("[name=left]").input_value() == "23"
    bench.tab.press("A reading was taken")
    expect(bench.tab.page.locator("h1")).to_contain_text("then read")
