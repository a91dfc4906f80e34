"""What all tests share: the shipped rule base, made ready once, and a cache folder of their own."""

import gc
import signal
import sys
from functools import cache
from pathlib import Path

import pytest
from hypothesis import Phase, settings

from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.rulebase import Rulebase, load
from advisor.web.worked_out import WorkedOut
from tests.browser.installed import MISSING

# How long an example takes says more of the machine than of the code: speed has tests of its own.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
# In a mutation run a test need only fail; the smallest example that fails is of no use there.
settings.register_profile(
    "mutation", phases=[Phase.explicit, Phase.generate], derandomize=True, database=None, deadline=None, max_examples=30
)


# A mutation run forks a process for each mutant, with what is kept here made ready.
@cache
def _shipped() -> Rulebase:
    return load([shipped("rules")])


@cache
def _advisor() -> Advisor:
    return Advisor(_shipped())


def pytest_configure() -> None:
    """Let Ctrl-C through to what the tests start, also where this run was started with it ignored, as by nohup.

    Tests are compiled once, not in each run; and nothing of what is collected here is garbage.
    """
    sys.dont_write_bytecode = False
    gc.disable()
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_finish() -> None:
    """Collect garbage again, but do not walk thousands of tests each time."""
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> object:
    """Keep the user's cache folder out of it, and let programs that are started many times be compiled once."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.delenv("NO_COLOR", raising=False)
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        yield


@pytest.fixture(scope="session")
def base(_own_cache: object) -> Rulebase:
    """Return the shipped rule base."""
    return _shipped()


@pytest.fixture(scope="session")
def advisor(base: Rulebase) -> Advisor:  # noqa: ARG001 - the cache folder comes first
    """Return the shipped rule base, ready for cases."""
    return _advisor()


@pytest.fixture(scope="session")
def remembering(base: Rulebase) -> WorkedOut:  # noqa: ARG001 - as above
    """Return an advisor that works each case out once in all tests."""
    return WorkedOut(_advisor())


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what goes through the whole rule base; a mutation run leaves it out, but for sessions."""
    for item in items:
        if {"advisor", "remembering"} & set(getattr(item, "fixturenames", ())) and item.path.parent.name != "session":
            item.add_marker("wide")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in one line that the browser tests were left out, and what they need."""
    left_out = [one for one in terminalreporter.stats.get("skipped", ()) if MISSING in str(one.longrepr)]
    if left_out:
        terminalreporter.write_line(f"{len(left_out)} browser tests left out: {MISSING}", yellow=True)


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
