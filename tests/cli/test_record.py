"""`advisor record`: the record of an earlier session, on the screen and in a file."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from advisor.cli import cli
from advisor.diagnose import Advisor
from advisor.session.events import AtHand, Began, Skipped
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.session import Session
from advisor.session.store import Store, begun, resumed
from tests.session.sessions import WORKSHOP


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a store with one session, in the working folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))
    store = Store(tmp_path / "s.sqlite")
    journal = begun(store)
    for event in (Began("bench", "it will not settle"), AtHand(WORKSHOP), Skipped("watch-the-idle", None, "can't")):
        journal.add(event)
    store.close()
    return tmp_path / "s.sqlite"


def record(*words: str) -> Result:
    return CliRunner().invoke(cli, ["record", *words], catch_exceptions=False)


def test_a_record_is_shown_and_the_same_is_written(kept: Path, advisor: Advisor) -> None:
    store = Store(kept)
    text = record_text(record_of(Session(advisor, resumed(store, "bench", 1))))
    store.close()
    assert record("1", "--store", str(kept)).output == text
    assert record("1", "--store", str(kept), "--file", "kept.txt").output == "written: kept.txt\n"
    written = Path("kept.txt").read_text(encoding="utf-8")
    assert written == text
    assert "it will not settle" in written
    found = record("1", "--store", str(kept), "--file", "kept.txt")
    assert found.exit_code == 1
    assert found.output.splitlines() == ["kept.txt: is there already; write another name"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("2", "--store", "s.sqlite"), "there is no session 2 in s.sqlite"),
        (("1", "--store", "none.sqlite"), "there is no store at none.sqlite"),
        (("1", "--store", "s.sqlite", "--file", "s.sqlite"), "this is a store of sessions"),
        (("1", "--store", "s.sqlite", "--file", "no/such/folder.txt"), "cannot be written"),
    ],
)
def test_what_cannot_be_is_one_message(words: tuple[str, ...], says: str, kept: Path) -> None:
    before = kept.read_bytes()
    found = record(*words)
    assert found.exit_code == 1
    assert len(found.output.splitlines()) == 1
    assert says in found.output
    assert kept.read_bytes() == before
    assert not Path("none.sqlite").exists()
