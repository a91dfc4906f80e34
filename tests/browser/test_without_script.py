"""With JavaScript off: whole sessions are the same."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from advisor.web.worked_out import WorkedOut
from tests.browser.chromium import PHONE, Tab
from tests.browser.served import served
from tests.browser.walks import Way, at_the_bike, by_figures, on_the_phone

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("way", [at_the_bike, by_figures, on_the_phone], ids=lambda one: str(one.__name__))
def test_a_session_is_the_same_without_script(way: Way, browser: Browser, reports: WorkedOut, tmp_path: Path) -> None:
    came = []
    for script in (False, True):
        with served(reports, tmp_path / f"{script}.sqlite") as pages:
            tab = Tab(browser, pages.address, PHONE, script=script)
            came.append([(name, tab.heading) for name in way(tab, pages)])
            tab.close()
            tab.was_clean()
            assert any(one.endswith(".js") for one in tab.asked) == script
    assert came[0] == came[1]
    assert len(came[0]) > 5
