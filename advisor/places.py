"""Where files are: the shipped rule base and demo cases, and the user's own folders.

The shipped folders are beside the package in a checkout, inside it in a wheel. The user's own follow the XDG Base
Directory Specification, version 0.8; other systems have their own conventions.
"""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.lazy import lazy

if TYPE_CHECKING:
    import platformdirs
else:
    platformdirs = lazy("platformdirs")  # importing it takes as long as reading a case

PACKAGE = Path(__file__).resolve().parent
APP = "tuneup-advisor"


def shipped(name: str) -> Path:
    """Return the folder `rules` or `cases_demo`, from the wheel if it is there, else from the checkout."""
    inside = PACKAGE / "_shipped" / name
    return inside if inside.is_dir() else PACKAGE.parent / name


def cache_folder() -> Path:
    """Return the folder for files that can be rebuilt. Raises RuntimeError when there is no home folder.

    Every diagnosis needs it, so on Linux it is worked out here, just as the library does it.
    """
    if not sys.platform.startswith("linux"):
        return platformdirs.user_cache_path(APP, appauthor=False)
    given = os.environ.get("XDG_CACHE_HOME", "")
    home = Path(given) if os.path.isabs(given) else Path.home() / ".cache"  # noqa: PTH117 - '' is no path
    return home / APP


def data_folder() -> Path:
    """Return the folder for files that must not be lost: sessions and practice rounds."""
    return platformdirs.user_data_path(APP, appauthor=False)
