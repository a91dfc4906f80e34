"""Takes a picture of every kind of page, at both widths, light and dark: python -m tests.browser.shots FOLDER."""

import re
import sys
import tempfile
from pathlib import Path

from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.rulebase import load
from advisor.web.worked_out import WorkedOut
from tests.browser.chromium import SCHEMES, SIZES, Tab, running
from tests.browser.installed import chromium
from tests.browser.served import served
from tests.browser.walks import WAYS


def main(folder: Path) -> None:
    """Take them all."""
    folder.mkdir(parents=True, exist_ok=True)
    path = chromium()
    assert path, "no Chromium here"
    advisor = WorkedOut(Advisor(load([shipped("rules")])))
    with running(path) as browser, tempfile.TemporaryDirectory() as store:
        for way, walk in WAYS.items():
            with served(advisor, Path(store) / way) as pages:
                tab = Tab(browser, pages.address)
                for number, name in enumerate(walk(tab, pages)):
                    plain = re.sub(r"[^a-z0-9]+", "-", name.lower())[:40]
                    for width, height in SIZES:
                        tab.page.set_viewport_size({"width": width, "height": height})
                        for scheme in SCHEMES:
                            tab.page.emulate_media(color_scheme=scheme)
                            tab.page.screenshot(
                                path=folder / f"{way}-{number:02}-{plain}-{width}-{scheme}.png", full_page=True
                            )
                tab.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
