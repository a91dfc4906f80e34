"""The server as it runs: a real socket, real workers, and what no browser sends."""

import contextlib
import re
import signal
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.errors import AdvisorError
from advisor.places import shipped
from advisor.session.store import Store
from advisor.web.guard import LARGEST_BODY, LARGEST_HEAD
from advisor.web.serving import Server, address
from tests.web.served import Served


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Return a running server."""
    with Served(tmp_path_factory.mktemp("served") / "s.sqlite") as found:
        yield found


def raw(served: Served, said: bytes) -> bytes:
    """Return the answer to bytes as they are; nothing, if the line was cut while they were being sent."""
    found = b""
    with socket.create_connection(("127.0.0.1", served.port), timeout=10) as line, contextlib.suppress(OSError):
        line.sendall(said)
        line.shutdown(socket.SHUT_WR)
        while part := line.recv(65536):
            found += part
    return found


def head(served: Served, path: bytes = b"/", method: bytes = b"GET", more: bytes = b"") -> bytes:
    return (
        method
        + b" "
        + path
        + b" HTTP/1.1\r\nHost: localhost:%d\r\nConnection: close\r\n" % served.port
        + more
        + b"\r\n"
    )


def test_a_page_is_served(served: Served) -> None:
    answer = raw(served, head(served))
    assert answer.startswith(b"HTTP/1.1 200 ")
    assert b"What is wrong?" in answer
    assert b"\r\nServer:" not in answer


@pytest.mark.parametrize(
    ("said", "status"),
    [
        (b"GARBAGE\r\n\r\n", {400}),
        (b"GET / HTTP/9.9\r\n\r\n", {400, 421, 505}),
        (b"GET / HTTP/1.1\r\n\r\n", {400, 421}),
        (b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", {400, 421}),
        (b"GET / HTTP/1.1\r\nHost : localhost\r\n\r\n", {400}),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n", {400}),
        (b"GET / HTTP/1.1\r\nX: " + b"x" * (LARGEST_HEAD + 500) + b"\r\n\r\n", {431, 0}),
        (b"GET /" + b"x" * (LARGEST_HEAD + 500) + b" HTTP/1.1\r\n\r\n", {431, 0}),
        (b"POST /begin HTTP/1.1\r\nContent-Length: %d\r\n\r\n" % (2 * LARGEST_BODY), {413}),
        (b"POST /begin HTTP/1.1\r\nContent-Length: -1\r\n\r\n", {400}),
        (b"POST /begin HTTP/1.1\r\nContent-Length: x\r\n\r\n", {400}),
        (b"POST /begin HTTP/1.1\r\nTransfer-Encoding: gzip\r\n\r\n", {400, 501}),
        (b"POST /begin HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\nZZ\r\n", {400, 421}),
        (b"POST /begin HTTP/1.1\r\nTransfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n0\r\n\r\n", {400, 421}),
        (b"GET http://example/ HTTP/1.1\r\nHost: example\r\n\r\n", {400, 421}),
        (b"CONNECT example:80 HTTP/1.1\r\nHost: example:80\r\n\r\n", {400, 404, 405, 421}),
    ],
)
def test_what_no_browser_sends_is_refused_with_its_status(served: Served, said: bytes, status: set[int]) -> None:
    answer = raw(served, said)
    match = re.match(rb"HTTP/1\.[01] (\d{3}) ", answer)
    assert (int(match[1]) if match else 0) in status, answer[:200]
    assert b"Traceback" not in answer
    assert b"/advisor/" not in answer
    assert raw(served, head(served)).startswith(b"HTTP/1.1 200 ")


@pytest.mark.parametrize(
    "path",
    [b"/static/../app.py", b"/static/..%2f..%2fapp.py", b"//etc/passwd", b"/../../../../etc/passwd", b"/%00", b"/\xff"],
)
def test_no_path_leads_out(served: Served, path: bytes) -> None:
    answer = raw(served, head(served, path))
    assert re.match(rb"HTTP/1\.1 (?:400|404) ", answer), answer[:100]
    assert b"root:" not in answer
    assert b"import" not in answer


def test_a_proxy_header_changes_nothing(served: Served) -> None:
    more = b"X-Forwarded-Host: example\r\nX-Forwarded-Proto: https\r\nForwarded: host=example\r\nX-Script-Name: /x\r\n"
    answer = raw(served, head(served, b"/sessions", more=more))
    assert answer.startswith(b"HTTP/1.1 200 ")
    assert b"example" not in answer


def test_a_whole_answer_goes_through_a_worker(served: Served) -> None:
    visitor = served.visitor()
    visitor.press("bench", words="it idles badly")
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    visitor.press("not known")
    assert visitor.status == 200
    assert "Undo the last answer" in visitor.page.text


def test_where_it_cannot_be_served_is_said(tmp_path: Path, served: Served) -> None:
    store = Store(tmp_path / "s.sqlite")
    for host, port in (("127.0.0.1", served.port), ("192.0.2.1", 0), ("no.such.name.invalid", 0), ("", 99999)):
        with pytest.raises(AdvisorError, match="cannot be served there"):
            Server([shipped("rules")], store, host, port, print)
    store.close()


def test_an_address_is_one_to_type() -> None:
    assert address("127.0.0.1", 8137) == "http://127.0.0.1:8137/"
    assert address("::1", 8137) == "http://[::1]:8137/"
    assert re.fullmatch(r"http://[0-9.]+:8137/", address("0.0.0.0", 8137))  # noqa: S104 - nothing listens


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks at processes as Linux shows them")
def test_no_worker_outlives_a_server_that_is_killed(tmp_path: Path) -> None:
    with Served(tmp_path / "s.sqlite") as served:
        visitor = served.visitor()
        visitor.press("bench", words="it idles badly")
        visitor.press("workshop")
        workers = _children(served.process.pid)
        assert len(workers) >= 2
        served.end(signal.SIGKILL)
        for _ in range(100):
            left = [one for one in workers if Path(f"/proc/{one}").exists()]
            if not left:
                return
            time.sleep(0.1)
    assert left == []


def _children(process: int) -> list[int]:
    """Return the processes that a process started."""
    return [int(one) for one in Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()]
