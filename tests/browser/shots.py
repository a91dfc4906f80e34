"""Takes a picture of every kind of page, at both widths, light and dark: python -m tests.browser.shots FOLDER."""

import os
import re
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page

from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.rulebase import load
from advisor.web.worked_out import WorkedOut
from tests.browser.chromium import SCHEMES, SIZES, Tab, running
from tests.browser.installed import MISSING, chromium
from tests.browser.served import served
from tests.browser.test_practice import a_round, the_lesson
from tests.browser.walks import WAYS, Way

LONGEST = 40  # characters of a file name
EVERY: dict[str, Way] = {**WAYS, "practice": lambda tab, _: a_round(tab), "lesson": lambda tab, _: the_lesson(tab)}


def main(folder: Path) -> None:
    """Take them all."""
    folder.mkdir(parents=True, exist_ok=True)
    path = chromium()
    assert path, MISSING
    advisor = WorkedOut(Advisor(load([shipped("rules")])))
    with running(path) as browser, tempfile.TemporaryDirectory() as store:
        os.environ["XDG_DATA_HOME"] = store  # what is practised
        for way, walk in EVERY.items():
            with served(advisor, Path(store) / way) as pages:
                tab = Tab(browser, pages.address)
                for number, name in enumerate(walk(tab, pages)):
                    plain = re.sub(r"[^a-z0-9]+", "-", name.lower())[:LONGEST]
                    taken(tab.page, folder / f"{way}-{number:02}-{plain}")
                tab.close()


def taken(page: Page, to: Path) -> None:
    """Take a page at each width, light and dark."""
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            page.screenshot(path=f"{to}-{width}-{scheme}.png", full_page=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
