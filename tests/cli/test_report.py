"""`advisor report`: a page in a file, from a case and from a session, and never over what is there unasked."""

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from advisor.cli import cli
from advisor.cli import report as command
from advisor.diagnose import Advisor
from advisor.pages.job_page import page
from advisor.session.job import job_of_case
from advisor.session.store import Store, begun
from tests.pages.jobs import DEMO, demo
from tests.session.sessions import cable_put_right

CASE = str(DEMO[0])


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))


@pytest.fixture
def store(advisor: Advisor) -> str:
    """Return a store with one session."""
    kept = Store(Path("s.sqlite"))
    journal = begun(kept)
    for event in cable_put_right(advisor.base):
        journal.add(event)
    kept.close()
    return "s.sqlite"


def report(*words: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(cli, ["report", *words], input=typed, catch_exceptions=False)


def test_a_case_is_written_as_its_page(advisor: Advisor) -> None:
    found = report(CASE, "-o", "job.html")
    assert (found.exit_code, found.output) == (0, "written: job.html\n")
    assert Path("job.html").read_text(encoding="utf-8") == page(job_of_case(demo(DEMO[0], advisor), advisor))


def test_a_session_is_written_by_its_number(store: str) -> None:
    assert report("--session", "1", "--store", store, "-o", "job.html").exit_code == 0
    written = Path("job.html").read_text(encoding="utf-8")
    assert "balance won&#39;t hold" in written
    assert "session 1" in written


def test_a_file_that_is_there_stays_unless_asked() -> None:
    Path("job.html").write_text("mine", encoding="utf-8")
    found = report(CASE, "-o", "job.html")
    assert found.exit_code == 1
    assert found.output == "job.html: is there already; --replace writes over it\n"
    assert Path("job.html").read_text(encoding="utf-8") == "mine"
    assert report(CASE, "-o", "job.html", "--replace").exit_code == 0
    assert Path("job.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(("typed", "stays"), [("2\n", True), ("\n", True), ("what\n1\n", False)])
def test_on_a_terminal_it_asks(typed: str, stays: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("job.html").write_text("mine", encoding="utf-8")
    monkeypatch.setattr(command, "_asks", lambda: True)
    assert report(CASE, "-o", "job.html", typed=typed).exit_code == 0
    assert (Path("job.html").read_text(encoding="utf-8") == "mine") is stays


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("-o", "job.html"), "name a case file, or a session by its number"),
        ((CASE, "--session", "1", "-o", "job.html"), "name a case file, or a session by its number"),
        (("none.yaml", "-o", "job.html"), "none.yaml"),
        ((CASE, "--store", "s.sqlite", "-o", "job.html"), "--store: it goes with --session; leave it out"),
        (("--session", "9", "--store", "s.sqlite", "-o", "job.html"), "there is no session 9"),
        ((CASE, "-o", "s.sqlite"), "this is a store of sessions"),
        ((CASE, "-o", "no/such/folder.html"), "cannot be written"),
        ((CASE, "-o", "."), "this is a folder"),
    ],
)
@pytest.mark.usefixtures("store")
def test_what_cannot_be_is_one_message(words: tuple[str, ...], says: str) -> None:
    before = Path("s.sqlite").read_bytes()
    found = report(*words)
    assert found.exit_code == 1
    assert len(found.output.splitlines()) == 1
    assert says in found.output
    assert Path("s.sqlite").read_bytes() == before
    assert not Path("job.html").exists()


def test_a_case_is_never_written_over() -> None:
    text = DEMO[0].read_text(encoding="utf-8")
    Path("mine.yaml").write_text(text, encoding="utf-8")
    found = report("mine.yaml", "-o", "./mine.yaml", "--replace")
    assert (found.exit_code, found.output) == (1, "./mine.yaml: this is the case itself; write another name\n")
    assert Path("mine.yaml").read_text(encoding="utf-8") == text


def test_a_diagnosis_needs_no_plotting_library() -> None:
    code = (
        "import sys; from click.testing import CliRunner; from advisor.cli import cli;"
        f"CliRunner().invoke(cli, ['diagnose', {CASE!r}]); import advisor.cli.bench;"
        "print([one for one in ('matplotlib', 'jinja2', 'numpy') if one in sys.modules])"
    )
    import subprocess

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
