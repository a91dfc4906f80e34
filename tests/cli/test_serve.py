"""`advisor serve`: what it says in the terminal, and how it ends."""

import re
import signal
from pathlib import Path

import pytest
from click.testing import CliRunner

from advisor.cli import cli
from advisor.interrupt import STOPPED
from advisor.session.store import Store
from tests.web.served import Served


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_says_where_and_ends_cleanly_with_everything_kept(tmp_path: Path, how: int) -> None:
    with Served(tmp_path / "s.sqlite") as served:
        visitor = served.visitor()
        visitor.press("bench", words="it idles badly")
        assert served.end(how) == (STOPPED, "\nStopped. Everything is kept.\n", "")
    store = Store(tmp_path / "s.sqlite")
    assert [words for _, words, _ in store.sessions("bench")] == ["it idles badly"]
    store.close()
    assert served.said == [f"The sessions are at http://127.0.0.1:{served.port}/ (Ctrl-C ends this)\n"]


def test_on_a_network_it_shows_a_code_and_says_that_others_can_read_along(tmp_path: Path) -> None:
    with Served(tmp_path / "s.sqlite", "--host", "0.0.0.0") as served:  # noqa: S104 - what is tested
        visitor = served.visitor()
        assert visitor.status == 401
        code = re.search(r"Code for the next browser: (\w{5}-\w{5})", "".join(served.said))
        assert code
        visitor.press("Let me in", code=code[1])
        assert visitor.status == 200
        assert "Without encryption" in "".join(served.said)
        _, last, errors = served.end()
    assert re.match(r"Code for the next browser: (?!" + code[1] + r")\w{5}-\w{5}\n", last)
    assert errors == ""


def test_what_cannot_be_used_is_said_in_a_line(tmp_path: Path) -> None:
    (tmp_path / "text").write_text("not a store", encoding="utf-8")
    taken = Store(tmp_path / "s.sqlite")
    taken.close()
    for words, says in (
        (("--store", str(tmp_path / "text")), "text"),
        (("--store", str(tmp_path / "s.sqlite"), "--host", "no.such.name.invalid"), "cannot be served there"),
        (("--store", str(tmp_path / "s.sqlite"), "--rules", str(tmp_path / "none")), "none"),
        (("--store", str(tmp_path / "s.sqlite"), "--bike", str(tmp_path / "no.yaml")), "no.yaml"),
    ):
        done = CliRunner().invoke(cli, ["serve", *words])
        assert done.exit_code == 1, words
        assert says in done.output
        assert len(done.output.splitlines()) == 1
        assert "Traceback" not in done.output
    assert CliRunner().invoke(cli, ["serve", "--port", "70000"]).exit_code == 2
