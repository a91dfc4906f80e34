"""What the tests of the pages share: a store of their own, a browser."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from jinja2 import FileSystemBytecodeCache

from advisor.session.store import Store
from advisor.web.app import made
from advisor.web.desk import Desk
from advisor.web.guard import Guard
from advisor.web.people import People
from advisor.web.worked_out import WorkedOut
from tests.web.forms import PORT, Visitor


@pytest.fixture(scope="session", autouse=True)
def _templates_compiled_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Every test has an application of its own, and all of them have the same templates."""
    with pytest.MonkeyPatch.context() as patch:
        compiled = FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))
        patch.setattr(Flask, "jinja_options", {"bytecode_cache": compiled})
        yield


@pytest.fixture(scope="session")
def kept(remembering: WorkedOut) -> WorkedOut:
    """Return an advisor that works each case out once in all tests."""
    return remembering


@pytest.fixture
def kept_at(tmp_path: Path) -> Path:
    """Return where the store is."""
    return tmp_path / "sessions.sqlite"


@pytest.fixture
def store(kept_at: Path) -> Iterator[Store]:
    """Return a new store."""
    found = Store(kept_at)
    yield found
    found.close()


@pytest.fixture
def desk(kept: WorkedOut, store: Store) -> Desk:
    """Return the desk of a new store."""
    return Desk(kept, store)


@pytest.fixture
def app(desk: Desk, store: Store) -> Flask:
    """Return the pages on this machine alone."""
    return made(desk, People(store), Guard("127.0.0.1", PORT))


@pytest.fixture
def visitor(app: Flask) -> Visitor:
    """Return a browser at the first page."""
    found = Visitor(app)
    found.get("/")
    return found


class ByCode:
    """The pages on a network, with the codes that the terminal showed."""

    def __init__(self, desk: Desk, *, shared: bool = False) -> None:
        self.codes: list[str] = []
        self.app = made(desk, People(desk.store, self.codes.append, shared=shared), Guard("0.0.0.0", PORT))  # noqa: S104 - nothing listens

    def let_in(self) -> Visitor:
        """Return a browser that was let in."""
        found = Visitor(self.app, f"192.0.2.7:{PORT}")
        found.get("/")
        found.press("Let me in", code=self.codes[-1])
        assert found.where == "/"
        return found


@pytest.fixture
def by_code(desk: Desk) -> ByCode:
    """Return the pages on a network."""
    return ByCode(desk)


@pytest.fixture
def shared(desk: Desk) -> ByCode:
    """Return the pages on a network where all see all sessions."""
    return ByCode(desk, shared=True)
