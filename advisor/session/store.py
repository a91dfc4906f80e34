"""Sessions kept in SQLite, each answer committed before the next question shows.

Write-ahead logging with full synchronisation: after a `kill -9`, or with the power gone, what was answered is
there. Two sessions at once on one store wait for each other (SQLite's own locking).
"""

import shutil
import sqlite3
import tempfile
import time
from pathlib import Path

import msgspec

from advisor.errors import AdvisorError
from advisor.places import data_folder
from advisor.session.events import Event

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
    """The sessions on disk."""

    def __init__(self, path: Path) -> None:
        """Open or create the store. Raises StoreError."""
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self.database = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
            self.database.execute("PRAGMA journal_mode=WAL")
            self.database.execute("PRAGMA synchronous=FULL")
            self.database.executescript(SCHEMA)
        except (OSError, sqlite3.Error) as error:
            raise self._failed(error) from error

    @classmethod
    def copied(cls, path: Path) -> "Store":
        """Return a store's sessions in memory, where it can be read but not written.

        What stands in its write-ahead log is among them. Raises StoreError where there is nothing to be read.
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
                memory = sqlite3.connect(":memory:", isolation_level=None)
                store.database.backup(memory)
                store.close()
        except OSError as error:
            msg = f"{path} cannot be read: {(error.strerror or 'no access').lower()}"
            raise StoreError(msg) from error
        except StoreError as error:
            msg = f"{path} is no store of sessions, so nothing can be resumed"
            raise StoreError(msg) from error
        store.path, store.database = path, memory
        return store

    def begin(self) -> int:
        """Return a new session's number."""
        try:
            return self.database.execute("INSERT INTO session (began) VALUES (?)", (time.time(),)).lastrowid or 0
        except sqlite3.Error as error:
            raise self._failed(error) from error

    def append(self, session: int, seq: int, event: Event) -> None:
        """Keep one event for good. Raises StoreError when it cannot be, and keeps nothing then."""
        try:
            self.database.execute(
                "INSERT INTO entry (session, seq, event) VALUES (?, ?, ?)", (session, seq, msgspec.json.encode(event))
            )
        except sqlite3.IntegrityError as error:
            msg = f"session {session} is being continued somewhere else; go on there, or begin a new one"
            raise StoreError(msg) from error
        except sqlite3.Error as error:
            raise self._failed(error) from error

    def events(self, session: int) -> list[Event]:
        """Return a session's events in order. Raises StoreError where there is none, or it cannot be read."""
        try:
            if not self.database.execute("SELECT 1 FROM session WHERE id = ?", (session,)).fetchone():
                msg = f"there is no session {session} in {self.path}"
                raise StoreError(msg)
            rows = self.database.execute(
                "SELECT event FROM entry WHERE session = ? ORDER BY seq", (session,)
            ).fetchall()
            return [msgspec.json.decode(row[0], type=Event) for row in rows]
        except sqlite3.Error as error:
            raise self._failed(error) from error
        except msgspec.MsgspecError as error:
            msg = f"session {session} in {self.path} cannot be read: {error}"
            raise StoreError(msg) from error

    def latest(self, kind: str) -> int | None:
        """Return the last session of a kind (bench or phone) that has any answer."""
        try:
            rows = self.database.execute(
                "SELECT session, event FROM entry WHERE seq = 0 ORDER BY session DESC LIMIT 200"
            ).fetchall()
        except sqlite3.Error as error:
            raise self._failed(error) from error
        return next((number for number, event in rows if msgspec.json.decode(event).get("kind") == kind), None)

    def remember(self, name: str, value: object) -> None:
        """Keep a habit: what is asked once and then remembered."""
        try:
            self.database.execute(
                "INSERT INTO habit (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, msgspec.json.encode(value)),
            )
        except sqlite3.Error as error:
            raise self._failed(error) from error

    def habit(self, name: str) -> bytes | None:
        """Return what was remembered, as JSON."""
        try:
            row = self.database.execute("SELECT value FROM habit WHERE name = ?", (name,)).fetchone()
        except sqlite3.Error as error:
            raise self._failed(error) from error
        return row[0] if row else None

    def close(self) -> None:
        """Close the store."""
        self.database.close()

    def _failed(self, error: Exception) -> StoreError:
        reason = (getattr(error, "strerror", "") or str(error) or "no access").lower()
        return StoreError(f"sessions cannot be kept in {self.path}: {reason}")


class Journal:
    """One session's events: kept on disk while that works, in memory always."""

    def __init__(self, store: Store | None, session: int = 0, events: list[Event] | None = None) -> None:
        """Continue with these events; without a store they are in memory only."""
        self.store = store
        self.session = session
        self.events = events or []
        self.trouble = ""

    def add(self, event: Event) -> None:
        """Keep an event. Where the disk fails it goes on in memory, and `trouble` says so."""
        if self.store is not None:
            try:
                self.store.append(self.session, len(self.events), event)
            except StoreError as error:
                self.store = None
                self.trouble = f"{error}; going on in memory: 'save FILE' keeps it elsewhere"
        self.events.append(event)
