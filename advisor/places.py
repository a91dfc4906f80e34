"""Where things lie: the shipped rule base and demo cases, and the user's own folders.

The shipped folders lie beside the package in a checkout, inside it in a wheel. The user's own follow the XDG Base
Directory Specification, version 0.8, and on other systems what is usual there.
"""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.lazy import lazy

if TYPE_CHECKING:
    import platformdirs
else:
    platformdirs = lazy("platformdirs")  # takes as long to import as a case to read

PACKAGE = Path(__file__).resolve().parent
APP = "tuneup-advisor"


def shipped(name: str) -> Path:
    """Return the folder `rules` or `cases_demo`, from the wheel if it is there, else from the checkout."""
    inside = PACKAGE / "_shipped" / name
    return inside if inside.is_dir() else PACKAGE.parent / name


def cache_folder() -> Path:
    """Return the folder of what can be made again. Raises RuntimeError where there is no home folder.

    Every diagnosis asks for it, so on Linux it is worked out here, as the library would.
    """
    if not sys.platform.startswith("linux"):
        return platformdirs.user_cache_path(APP, appauthor=False)
    given = os.environ.get("XDG_CACHE_HOME", "")
    home = Path(given) if os.path.isabs(given) else Path.home() / ".cache"  # noqa: PTH117 - '' is no path
    return home / APP


def data_folder() -> Path:
    """Return the folder of what must not be lost: sessions, and rounds that were practised."""
    return platformdirs.user_data_path(APP, appauthor=False)
