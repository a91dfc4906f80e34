"""Whether the system has a browser for these tests. Light: every test run asks."""

import os
import shutil

NAMES = ("chromium", "chromium-browser")  # of the command, as the systems' packages call it
MUST = "BROWSER_TESTS"  # set in the environment: without a browser the tests fail, instead of being left out
MISSING = "no Chromium on this machine: install the system's package, as 'apt-get install chromium'"


def chromium() -> str | None:
    """Return where the system's browser is; None if there is none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def must_be_there() -> bool:
    """Whether a missing browser is a failure."""
    return bool(os.environ.get(MUST))
