"""The pages of a desk, served on a port of this machine by a thread of this process."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from werkzeug.serving import WSGIRequestHandler, make_server

from advisor.diagnose import Advisor
from advisor.session.store import Store
from advisor.web.app import made
from advisor.web.desk import Desk
from advisor.web.followed import Followed
from advisor.web.guard import Guard
from advisor.web.people import People


class Silent(WSGIRequestHandler):
    """Serves, and writes no line for each request."""

    def log(self, kind: str, message: str, *args: object) -> None:
        """Say nothing."""


class Pages:
    """Where a desk is served, and the desk. On a network there are codes."""

    def __init__(self, desk: Desk, address: str, codes: list[str], table: Followed | None) -> None:
        self.table = table
        self.desk = desk
        self.address = address
        self.codes = codes


def _nothing_yet(*_: object) -> list[bytes]:
    raise NotImplementedError


@contextmanager
def served(advisor: Advisor, store: Path, *, by_code: bool = False, follows: Path | None = None) -> Iterator[Pages]:
    """Serve a new store while the block runs; `by_code`: as on a network, though only this machine reaches it.

    Readings come from the table that it `follows`, if any.
    """
    kept = Store(store)
    desk, codes = Desk(advisor, kept), list[str]()
    table = Followed(follows, desk) if follows else None
    # The guard has to know the port, which is known when somebody listens.
    server = make_server("127.0.0.1", 0, _nothing_yet, threaded=True, request_handler=Silent)
    server.app = made(desk, People(kept, codes.append if by_code else None), Guard("127.0.0.1", server.port), table)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield Pages(desk, f"http://127.0.0.1:{server.port}", codes, table)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
        if table:
            table.close()
        kept.close()
