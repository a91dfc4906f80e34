"""The connections of the server: none holds the others up, and what cannot be read is answered in plain words.

A connection on which a request has begun and does not become whole is let go after `PATIENCE`, however busily bytes
trickle in. Once there are as many connections as the server takes, the one on which nothing whole has come for longest
makes room: a browser that only keeps its line open calls again when it needs to.
"""

import logging
import socket
import time

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer
from waitress.task import ErrorTask, ThreadedTaskDispatcher

from advisor.web.guard import HEADERS, LARGEST_BODY, LARGEST_HEAD

THREADS = 64  # requests at once: most of them wait for a worker
CONNECTIONS = 200
PATIENCE = 30  # s without a byte, or for one request to come
LOOK_AFTER = 5  # s between two looks at who has been waited for long enough
NOT_UNDERSTOOD = "That was not understood."
TOO_LONG = {
    413: "That is too long; say it shorter, or in several lines.",
    431: "The address or what the browser says of itself is too long.",
}


class Refused(ErrorTask):  # type: ignore[misc]
    """Answers a request that cannot be read."""

    def execute(self) -> None:
        """Say why in a sentence, and let the connection go."""
        error = self.request.error
        says = f"{TOO_LONG.get(error.code, NOT_UNDERSTOOD)}\n".encode()
        self.status = f"{error.code} {error.reason}"
        self.response_headers += [("Content-Type", "text/plain; charset=utf-8"), *HEADERS.items()]
        self.set_close_on_finish()
        self.content_length = len(says)
        self.write(says)


class Connection(HTTPChannel):  # type: ignore[misc]
    """One connection. `since` is when what comes now began, or when something whole came last."""

    error_task_class = Refused

    def __init__(self, *given: object, **named: object) -> None:
        self.since = time.time()
        super().__init__(*given, **named)

    def received(self, data: bytes) -> object:
        """Take some bytes in."""
        before = self.request
        found = super().received(data)
        if self.request is not before or self.request is None:
            self.since = time.time()
        return found

    @property
    def waits(self) -> bool:
        """Whether nothing is being answered on it."""
        return not self.requests and not self.will_close


class Connections(TcpWSGIServer):  # type: ignore[misc]
    """The socket that listens, with its connections."""

    channel_class = Connection

    def maintenance(self, now: float) -> None:
        """Let go of those that have been waited for long enough."""
        super().maintenance(now)
        for one in list(self.active_channels.values()):
            if one.waits and one.request is not None and one.since < now - PATIENCE:
                one.will_close = True

    def readable(self) -> bool:
        """Whether one more connection is taken. If not, room is made for it."""
        found = bool(super().readable())
        if self.accepting and not found:
            waiting = [one for one in self.active_channels.values() if one.waits]
            longest = min(waiting, key=lambda one: one.since, default=None)
            if longest is not None:
                longest.will_close = True  # closed when the loop comes to it: it may be looking at it now
        return found


def served(app: object, listening: socket.socket) -> Connections:
    """Return the server of an application on a socket that is bound. Nothing is served before its `run`."""
    for name in ("waitress", "waitress.queue"):
        logging.getLogger(name).setLevel(logging.ERROR)  # that requests wait is no news for who started it
    settings = Adjustments(
        sockets=[listening],
        threads=THREADS,
        connection_limit=CONNECTIONS,
        channel_timeout=PATIENCE,
        cleanup_interval=LOOK_AFTER,
        max_request_header_size=LARGEST_HEAD,
        max_request_body_size=LARGEST_BODY,
        expose_tracebacks=False,
        ident=None,
        clear_untrusted_proxy_headers=True,
    )
    threads = ThreadedTaskDispatcher()
    threads.set_thread_count(THREADS)
    where = listening.family, listening.type, listening.proto, listening.getsockname()
    named = {"_sock": listening, "dispatcher": threads, "adj": settings, "bind_socket": False, "sockinfo": where}
    return Connections(app, {}, **named)
