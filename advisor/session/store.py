"""Sessions kept in SQLite, each answer committed before the next question shows.

Write-ahead logging with full synchronisation: every answer is still there after a `kill -9` or a power cut.
Two processes on one store wait for each other (SQLite's own locking). Threads of one process share the store's one
connection and take turns.
"""

import shutil
import sqlite3
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from advisor.errors import AdvisorError
from advisor.places import data_folder
from advisor.session.events import Began, Event

WAIT = 5.0  # s for another session's commit
SCHEMA = """
CREATE TABLE IF NOT EXISTS session (id INTEGER PRIMARY KEY, began REAL NOT NULL);
CREATE TABLE IF NOT EXISTS entry (
    session INTEGER NOT NULL REFERENCES session, seq INTEGER NOT NULL, event BLOB NOT NULL, PRIMARY KEY (session, seq)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS habit (name TEXT PRIMARY KEY, value BLOB NOT NULL) WITHOUT ROWID;
"""


class StoreError(AdvisorError):
    """The store cannot be read or written."""


def default_path() -> Path:
    """Return where sessions are kept."""
    return data_folder() / "sessions.sqlite"


class Store:
    """The sessions on disk. Any number of threads may use one store."""

    def __init__(self, path: Path) -> None:
        """Open or create the store. Raises StoreError."""
        self.path = path
        self._lock = threading.Lock()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self.database = _connected(path)
            self.database.execute("PRAGMA journal_mode=WAL")
            self.database.execute("PRAGMA synchronous=FULL")
            self.database.executescript(SCHEMA)
        except (OSError, sqlite3.Error) as error:
            raise self._failed(error) from error

    @classmethod
    def copied(cls, path: Path) -> "Store":
        """Return a store's sessions in memory, for a store that can be read but not written.

        They include those in its write-ahead log. Raises StoreError when there is nothing to read.
        """
        if not path.is_file():
            msg = f"there is no store at {path}, so nothing can be resumed"
            raise StoreError(msg)
        try:
            with tempfile.TemporaryDirectory() as folder:
                for part in (path, path.with_name(f"{path.name}-wal")):
                    if part.is_file():
                        shutil.copyfile(part, Path(folder) / part.name)
                store = cls(Path(folder) / path.name)
                memory = _connected(":memory:")
                store.database.backup(memory)
                store.close()
        except OSError as error:
            msg = f"{path} cannot be read: {(error.strerror or 'no access').lower()}"
            raise StoreError(msg) from error
        except StoreError as error:
            msg = f"{path} is not a session store, so nothing can be resumed"
            raise StoreError(msg) from error
        store.path, store.database = path, memory
        return store

    def begin(self) -> int:
        """Return a new session's number. Raises StoreError."""
        with self._open() as database:
            return database.execute("INSERT INTO session (began) VALUES (?)", (time.time(),)).lastrowid or 0

    def append(self, session: int, seq: int, event: Event) -> None:
        """Keep one event for good. If it raises StoreError, nothing is kept."""
        row = session, seq, msgspec.json.encode(event)
        with self._open() as database:
            try:
                database.execute("INSERT INTO entry (session, seq, event) VALUES (?, ?, ?)", row)
            except sqlite3.IntegrityError as error:
                msg = f"session {session} is being continued somewhere else; go on there, or begin a new one"
                raise StoreError(msg) from error

    def events(self, session: int) -> list[Event]:
        """Return a session's events in order. Raises StoreError when there is none, or it cannot be read."""
        with self._open() as database:
            known = database.execute("SELECT 1 FROM session WHERE id = ?", (session,)).fetchone()
            rows = database.execute("SELECT event FROM entry WHERE session = ? ORDER BY seq", (session,)).fetchall()
        if not known:
            msg = f"there is no session {session} in {self.path}"
            raise StoreError(msg)
        try:
            return [msgspec.json.decode(row[0], type=Event) for row in rows]
        except msgspec.MsgspecError as error:
            msg = f"session {session} in {self.path} cannot be read: {error}"
            raise StoreError(msg) from error

    def latest(self, kind: str) -> int | None:
        """Return the last session of a kind (bench or phone) in which anything was kept."""
        with self._open() as database:
            rows = database.execute(
                "SELECT session, event FROM entry WHERE seq = 0 ORDER BY session DESC LIMIT 200"
            ).fetchall()
        return next((number for number, event in rows if _kind(event) == kind), None)

    def remember(self, name: str, value: object) -> None:
        """Keep a habit: what is asked once and then remembered. Raises StoreError."""
        with self._open() as database:
            database.execute(
                "INSERT INTO habit (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, msgspec.json.encode(value)),
            )

    def habit(self, name: str) -> bytes | None:
        """Return what was remembered, as JSON. Raises StoreError."""
        with self._open() as database:
            row = database.execute("SELECT value FROM habit WHERE name = ?", (name,)).fetchone()
        return row[0] if row else None

    def close(self) -> None:
        """Close the store."""
        with self._lock:
            self.database.close()

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """Hand out the connection to one thread at a time. Raises StoreError when the database fails."""
        with self._lock:
            try:
                yield self.database
            except sqlite3.Error as error:
                raise self._failed(error) from error

    def _failed(self, error: Exception) -> StoreError:
        reason = (getattr(error, "strerror", "") or str(error) or "no access").lower()
        return StoreError(f"sessions cannot be kept in {self.path}: {reason}")


def _connected(where: Path | str) -> sqlite3.Connection:
    """Return a connection that any thread may use, since `Store` lets in one at a time. Raises sqlite3.Error."""
    return sqlite3.connect(where, timeout=WAIT, isolation_level=None, check_same_thread=False)


def _kind(event: bytes) -> str:
    """Return the kind of session that a first event begins; empty if it cannot be read."""
    try:
        first = msgspec.json.decode(event, type=Event)
    except msgspec.MsgspecError:
        return ""
    return first.kind if isinstance(first, Began) else ""


class Journal:
    """One session's events: kept on disk while that works, in memory always. Several threads may add to it."""

    def __init__(
        self, store: Store | None, session: int = 0, events: list[Event] | None = None, trouble: str = ""
    ) -> None:
        """Go on after these events. Without a store they are in memory only, and `trouble` says why."""
        self.store = store
        self.session = session
        self.events = events or []
        self.trouble = trouble
        self._lock = threading.Lock()

    def add(self, event: Event) -> None:
        """Keep an event. If the disk fails it goes on in memory, and `trouble` says so."""
        with self._lock:
            if self.store is not None:
                try:
                    self.store.append(self.session, len(self.events), event)
                except StoreError as error:
                    self.store = None
                    self.trouble = _in_memory(error)
            self.events.append(event)


def opened(path: Path) -> tuple[Store | None, str]:
    """Return the store at a path, or None and the message for it: the session then goes on in memory."""
    try:
        return Store(path), ""
    except StoreError as error:
        return None, _in_memory(error)


def begun(store: Store | None, trouble: str = "") -> Journal:
    """Return the journal of a new session, in memory if there is no store or it cannot be written."""
    if store is None:
        return Journal(None, trouble=trouble)
    try:
        return Journal(store, store.begin())
    except StoreError as error:
        return Journal(None, trouble=_in_memory(error))


def resumed(store: Store, kind: str, number: int | None = None, trouble: str = "") -> Journal:
    """Return the journal of an earlier session, by its number or the last of its kind. Raises AdvisorError.

    With a `trouble` the store can be read but not written, and the session goes on in memory.
    """
    if number is None:
        number = store.latest(kind)
    if number is None:
        msg = f"there is no {kind} session to resume; begin one: advisor {kind} what is wrong, in your words"
        raise AdvisorError(msg)
    events = store.events(number)
    if not events or not isinstance(events[0], Began):
        msg = f"session {number} holds nothing; begin a new one"
        raise AdvisorError(msg)
    return Journal(None if trouble else store, number, events, trouble)


def _in_memory(error: StoreError) -> str:
    return f"{error}; going on in memory: 'save FILE' keeps it elsewhere"
