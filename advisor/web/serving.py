"""The pages served: on this machine alone, or on a network by a code that the terminal shows."""

import gc
import socket
from collections.abc import Callable
from pathlib import Path

from advisor.case import Bike
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.store import Store
from advisor.web import connections
from advisor.web.app import made
from advisor.web.desk import Desk
from advisor.web.followed import Followed
from advisor.web.guard import EVERYWHERE, Guard, is_loopback
from advisor.web.people import People
from advisor.web.worked_out import WorkedOut, Workers

OVER_A_NETWORK = "Without encryption: whoever is on this network can read along. Use it on a network of your own."


class Server:
    """The pages on a host and port; its workers, its socket. Nothing is served before `run`."""

    def __init__(  # noqa: PLR0913 - each is an option of the command
        self,
        folders: list[Path],
        store: Store,
        host: str,
        port: int,
        say: Callable[[str], None],
        *,
        rules: tuple[str, ...] = (),
        bike: Bike | None = None,
        shared: bool = False,
        table: Path | None = None,
    ) -> None:
        """Listen; `say` prints a line in the terminal. Raises AdvisorError where that cannot be.

        Readings come from a `table`, if any, which is the only file that pages reach.
        """
        ready = Advisor.of(folders)
        listening = _listening(host, port)
        guard = Guard(host, listening.getsockname()[1])
        show_code = None if is_loopback(host) else lambda code: say(f"Code for the next browser: {code}")
        people = People(store, show_code, shared=shared)
        self.workers = Workers(folders)
        desk = Desk(WorkedOut(ready, self.workers), store, rules, bike)
        self.table = Followed(table, desk) if table else None
        self.app = made(desk, people, guard, self.table)
        self.server = connections.served(self.app, listening)
        self.address = address(host, guard.port)
        if people.by_code:
            say(OVER_A_NETWORK)

    def run(self) -> None:
        """Serve until Ctrl-C, which the server takes itself."""
        gc.enable()  # the command line turns it off for commands that run a moment only
        self.workers.warm_up()
        if self.table:
            self.table.start()
        try:
            self.server.run()
        finally:
            self.close()

    def close(self) -> None:
        """Let go of everything."""
        self.server.close()
        self.workers.close()
        if self.table:
            self.table.close()


def _listening(host: str, port: int) -> socket.socket:
    try:
        family, _, _, _, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        found = socket.socket(family, socket.SOCK_STREAM)
        try:
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            found.bind(where)
        except BaseException:
            found.close()
            raise
    except (OSError, OverflowError) as error:
        why = getattr(error, "strerror", None) or str(error)
        msg = f"--host {host} --port {port}: cannot be served there: {why.lower()}"
        raise AdvisorError(msg) from error
    return found


def address(host: str, port: int) -> str:
    """Return the address to type into a browser. For every host at once it is this machine's own on its network."""
    name = _own_address() if host in EVERYWHERE else host
    return f"http://{f'[{name}]' if ':' in name else name}:{port}/"


def _own_address() -> str:
    """Return the address that this machine has on its network. Nothing is sent for that."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # a documentation address: RFC 5737
            name = str(probe.getsockname()[0])
        except OSError:
            name = "127.0.0.1"
    return name
