"""What comes over the sockets: slow, endless and unreadable requests, and who makes room for whom."""

import contextlib
import socket
import threading
import time
from collections.abc import Iterator

import pytest

from advisor.web import connections
from advisor.web.connections import CONNECTIONS, NOT_UNDERSTOOD, TOO_LONG, Connections, served
from advisor.web.guard import HEADERS, LARGEST_BODY, LARGEST_HEAD

GET = b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n"
BEGUN = b"GET / HTTP/1.1\r\nX: "


def _says_yes(_: object, start: object) -> list[bytes]:
    assert callable(start)
    start("200 OK", [("Content-Type", "text/plain"), ("Content-Length", "3")])
    return [b"yes"]


@pytest.fixture
def port(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """Return the port of a server that waits half a second for a request, and takes ten connections."""
    monkeypatch.setattr(connections, "CONNECTIONS", 10)
    listening = socket.create_server(("127.0.0.1", 0))
    server = served(_says_yes, listening)
    monkeypatch.setattr(connections, "PATIENCE", 0.5)
    server.adj.cleanup_interval = server.adj.asyncore_loop_timeout = 0.1
    thread = threading.Thread(target=_run, args=(server,))
    thread.start()
    yield listening.getsockname()[1]
    server.close()
    for one in list(server.active_channels.values()):
        one.close()
    thread.join(10)
    server.task_dispatcher.shutdown()
    assert not thread.is_alive()


def _run(server: Connections) -> None:
    with contextlib.suppress(OSError):  # its socket was closed
        server.run()


def _line(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=5)


def _answer(line: socket.socket) -> bytes:
    found = b""
    with contextlib.suppress(OSError):
        while part := line.recv(65536):
            found += part
            if found.endswith(b"yes"):
                break
    return found


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        (b"GARBAGE\r\n\r\n", NOT_UNDERSTOOD),
        (b"POST / HTTP/1.1\r\nContent-Length: x\r\n\r\n", NOT_UNDERSTOOD),
        (b"POST / HTTP/1.1\r\nContent-Length: %d\r\n\r\n" % (2 * LARGEST_BODY), TOO_LONG[413]),
        (b"GET / HTTP/1.1\r\nX: " + b"x" * (LARGEST_HEAD - len(BEGUN) + 1), TOO_LONG[431]),
    ],
)
def test_what_cannot_be_read_is_answered_in_a_sentence(port: int, said: bytes, answer: str) -> None:
    with _line(port) as line:
        line.sendall(said)
        head, _, body = _answer(line).partition(b"\r\n\r\n")
    assert body == f"{answer}\n".encode()
    for name, value in HEADERS.items():
        assert f"\r\n{name}: {value}".encode() in head


def test_bytes_that_trickle_in_buy_no_time(port: int) -> None:
    begins = time.monotonic()
    with _line(port) as line, contextlib.suppress(OSError):
        line.sendall(BEGUN)
        while time.monotonic() - begins < 5:
            line.sendall(b"x")
            time.sleep(0.05)
    assert 0.4 < time.monotonic() - begins < 4


def test_a_line_that_sends_one_request_after_the_other_is_not_let_go(port: int) -> None:
    with _line(port) as line:
        for _ in range(4):
            line.sendall(GET)
            assert _answer(line).endswith(b"yes")
            time.sleep(0.3)


def test_who_never_comes_to_an_end_makes_room(port: int) -> None:
    with contextlib.ExitStack() as open_ones:
        for _ in range(30):
            slow = open_ones.enter_context(_line(port))
            slow.sendall(BEGUN)
        line = open_ones.enter_context(_line(port))
        line.sendall(GET)
        begins = time.monotonic()
        assert _answer(line).endswith(b"yes")
        assert time.monotonic() - begins < 3


def test_as_many_are_taken_as_one_process_can_look_at() -> None:
    assert CONNECTIONS < 1000  # select(2) takes no descriptor from 1,024 on
