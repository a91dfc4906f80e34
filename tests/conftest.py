"""What all tests share: the shipped rule base, made ready once, and a cache folder of their own."""

from pathlib import Path

import pytest

from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.rulebase import Rulebase, load


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> object:
    """Keep the user's cache folder out of it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.delenv("NO_COLOR", raising=False)
        yield


@pytest.fixture(scope="session")
def base(_own_cache: object) -> Rulebase:
    """Return the shipped rule base."""
    return load([shipped("rules")])


@pytest.fixture(scope="session")
def advisor(base: Rulebase) -> Advisor:
    """Return the shipped rule base, ready for cases."""
    return Advisor(base)


@pytest.fixture
def case_file(tmp_path: Path) -> "CaseFile":
    """Return a function that writes a case file and returns its path."""
    return CaseFile(tmp_path)


class CaseFile:
    """Writes case files."""

    def __init__(self, folder: Path) -> None:
        """Write into this folder."""
        self.folder = folder

    def __call__(self, text: str, name: str = "case.yaml") -> Path:
        """Write the text and return its path."""
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path
