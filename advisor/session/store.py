"""Sessions kept in SQLite, each answer committed before the next question shows.

Write-ahead logging with full synchronisation: every answer is still there after a `kill -9` or a power cut.
Two processes on one store wait for each other (SQLite's own locking). Threads of one process share the store's one
connection and take turns.
"""

import sqlite3
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from advisor.errors import AdvisorError
from advisor.places import data_folder
from advisor.session.events import BALANCE, TUNE_UP, Began, Event
from advisor.session.schema import (
    FAILURES,
    STEPS,
    StoreError,
    brought_up,
    connected,
    copied,
    decoded,
    looked_at,
    transaction,
    written_ahead,
)

MOST_SESSIONS = 2**63 - 1  # SQLite's largest row number


class DamagedSessionError(StoreError):
    """One event of a session cannot be read; `before` are those before it."""

    def __init__(self, session: int, path: Path, before: list[Event]) -> None:
        self.before = before
        left = f"the {len(before)} before it can be read" if before else "nothing stands before it"
        super().__init__(f"session {session} in {path}: event {len(before) + 1} is damaged or missing; {left}")


def default_path() -> Path:
    """Return where sessions are kept."""
    return data_folder() / "sessions.sqlite"


def is_there(path: Path) -> bool:
    """Whether anything is at a path, as far as can be told."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def sound(rows: Iterable[tuple[object, object]]) -> tuple[list[Event], int]:
    """Return the events of (seq, event) rows up to the first damaged one, and its number, counted from 1; 0 for none.

    The first event says how the session began; one that is missing counts as damaged.
    """
    events: list[Event] = []
    for place, (seq, kept) in enumerate(rows):
        event = decoded(kept) if seq == place else None
        if event is None or (place == 0 and not isinstance(event, Began)):
            return events, place + 1
        events.append(event)
    return events, 0


class Store:
    """The sessions on disk. Any number of threads may use one store."""

    def __init__(self, path: Path, named: Path | None = None) -> None:
        """Open or create the store; an older one is brought up to this version. Raises StoreError.

        What is not a store, or of a later version, keeps every byte. `named` is the path to name in messages.
        """
        self.path = named or path
        self._lock = threading.Lock()
        try:
            version = looked_at(path, self.path)
            path.parent.mkdir(parents=True, exist_ok=True)
            self.database = connected(path.absolute())  # absolute: SQLite takes some names for something else
            try:
                self.database.execute("PRAGMA synchronous=FULL")
                if version < len(STEPS):
                    brought_up(self.database, self.path)
                written_ahead(self.database)
            except BaseException:
                self.database.close()
                raise
            self._file: tuple[int, int] | None = _file(path)
        except FAILURES as error:
            raise self._failed(error) from error

    @classmethod
    def copied(cls, path: Path) -> "Store":
        """Return a store's sessions in memory, for a store that can be read but not written.

        They include those in its write-ahead log. Raises StoreError when there is nothing to read.
        """
        if not is_there(path):
            msg = f"there is no store at {path}, so nothing can be resumed"
            raise StoreError(msg)
        try:
            looked_at(path, path)
            with copied(path) as copy:
                store = cls(copy, named=path)
                memory = connected(":memory:")
                store.database.backup(memory)
                store.close()
        except FAILURES as error:
            msg = f"{path} cannot be read: {_reason(error)}"
            raise StoreError(msg) from error
        store.database, store._file = memory, None
        return store

    def begin(self) -> int:
        """Return a new session's number. Raises StoreError."""
        now = time.time()
        with self._writing() as database:
            row = database.execute("INSERT INTO session (began, touched) VALUES (?, ?)", (now, now))
            return row.lastrowid or 0

    def append(self, session: int, seq: int, event: Event, at: float | None = None) -> None:
        """Keep one event for good, as of now or of `at` (s since 1970). If it raises StoreError, nothing is kept."""
        now = time.time() if at is None else at
        row = session, seq, msgspec.json.encode(event), now
        with self._writing() as database:
            try:
                database.execute("INSERT INTO entry (session, seq, event, at) VALUES (?, ?, ?, ?)", row)
            except sqlite3.IntegrityError as error:
                msg = f"session {session} is being continued somewhere else; go on there, or begin a new one"
                raise StoreError(msg) from error
            touched = database.execute("UPDATE session SET touched = ? WHERE id = ?", (now, session))
            if not touched.rowcount:
                msg = f"session {session} is no longer in {self.path}"
                raise StoreError(msg)
            if seq == 0 and isinstance(event, Began):
                chosen_by = event.kind, event.sentence, session
                database.execute("UPDATE session SET kind = ?, words = ? WHERE id = ?", chosen_by)

    def events(self, session: int) -> list[Event]:
        """Return a session's events in order.

        Raises StoreError when there is none or it cannot be read; DamagedSessionError when one of its events cannot.
        """
        known = 0 < session <= MOST_SESSIONS and self._has(session)
        if not known:
            msg = f"there is no session {session} in {self.path}"
            raise StoreError(msg)
        events, damaged = sound(self.rows(session))
        if damaged:
            raise DamagedSessionError(session, self.path, events)
        return events

    def _has(self, session: int) -> bool:
        with self._open() as database:
            return database.execute("SELECT 1 FROM session WHERE id = ?", (session,)).fetchone() is not None

    def sessions(self, kind: str) -> list[tuple[int, object, object]]:
        """Return (number, words, when last touched) of each session of a kind, newest first. Raises StoreError.

        One of which nothing was told is left out; where it is not known of which kind one is, it counts for each.
        """
        with self._open() as database:
            return database.execute(
                "SELECT id, words, touched FROM session WHERE kind IN (?, '') "
                "AND EXISTS (SELECT 1 FROM entry WHERE session = session.id) ORDER BY touched DESC, id DESC",
                (kind,),
            ).fetchall()

    def rows(self, session: int) -> list[tuple[object, object]]:
        """Return (seq, event) of all that is kept of a session, in order, as it is. Raises StoreError."""
        with self._open() as database:
            return database.execute(
                "SELECT seq, event FROM entry WHERE session = ? ORDER BY seq", (session,)
            ).fetchall()

    def times(self, session: int) -> list[float | None]:
        """Return when each event of a session was kept, in seconds since 1970; None where that is not known."""
        with self._open() as database:
            rows = database.execute("SELECT at FROM entry WHERE session = ? ORDER BY seq", (session,)).fetchall()
        return [at if isinstance(at, float) else None for (at,) in rows]

    def touched(self, session: int) -> float | None:
        """Return when something was last kept of a session, in seconds since 1970; None if that cannot be read."""
        with self._open() as database:
            row = database.execute("SELECT touched FROM session WHERE id = ?", (session,)).fetchone()
        return row[0] if row and isinstance(row[0], float) else None

    def latest(self, kind: str) -> int | None:
        """Return the session of a kind (bench or phone) that was touched last, of those whose beginning can be read."""
        with self._open() as database:
            last = database.execute("SELECT id FROM session WHERE kind = ? ORDER BY touched DESC, id DESC", (kind,))
            for (number,) in last:
                first = database.execute("SELECT seq, event FROM entry WHERE session = ? AND seq = 0", (number,))
                if sound(first.fetchall())[0]:
                    return int(number)
        return None

    def remember(self, name: str, value: object) -> None:
        """Keep a habit: what is asked once and then remembered. Raises StoreError."""
        with self._writing() as database:
            database.execute(
                "INSERT INTO habit (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, msgspec.json.encode(value)),
            )

    def habit(self, name: str) -> object:
        """Return what was remembered, as JSON; None if nothing was. Raises StoreError."""
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
            except FAILURES as error:
                raise self._failed(error) from error

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Hand out the connection for one change that is kept whole or not at all. Raises StoreError."""
        with self._open() as database:
            if self._file is not None and _file(self.path) != self._file:
                msg = f"{self.path} was taken away or replaced, so nothing more can be kept in it"
                raise StoreError(msg)
            with transaction(database):
                yield database

    def _failed(self, error: BaseException) -> StoreError:
        return StoreError(f"sessions cannot be kept in {self.path}: {_reason(error)}")


def _file(path: Path) -> tuple[int, int]:
    """Return which file a path leads to. What is written into one that was removed is lost, without an error."""
    found = path.stat()
    return found.st_dev, found.st_ino


def _reason(error: BaseException) -> str:
    return (getattr(error, "strerror", "") or str(error) or "no access").lower()


class Journal:
    """One session's events: kept on disk while that works, in memory always. Several threads may add to it.

    `times` says when each was kept (s since 1970, None if not known). `kept` is how many are on disk, at `path`;
    `touched` is when the last one was kept before now.
    """

    def __init__(
        self, store: Store | None, session: int = 0, events: list[Event] | None = None, trouble: str = ""
    ) -> None:
        """Go on after these events. Without a store they are in memory only, and `trouble` says why."""
        self.store = store
        self.path = store.path if store else None
        self.touched: float | None = None
        self.session = session
        self.events = events or []
        self.times = self._times(session)
        self.kept = len(self.events) if session else 0
        self.trouble = trouble
        self._lock = threading.Lock()

    def _times(self, session: int) -> list[float | None]:
        """Return when each of the events was kept, as far as that is known."""
        try:
            found = self.store.times(session) if self.store and self.events else []
        except StoreError:
            found = []
        return [*found, *[None] * len(self.events)][: len(self.events)]

    def add(self, event: Event) -> None:
        """Keep an event. If the disk fails it goes on in memory, and `trouble` says so."""
        with self._lock:
            now = time.time()
            if self.store is not None:
                try:
                    self.store.append(self.session, len(self.events), event, now)
                    self.kept += 1
                except StoreError as error:
                    self._lost(error)
            self.times.append(now)
            self.events.append(event)

    def habit(self, name: str) -> object:
        """Return what was remembered in an earlier session, as JSON; None if nothing was or it cannot be read."""
        with self._lock:
            try:
                return self.store.habit(name) if self.store else None
            except StoreError as error:
                self._lost(error)
                return None

    def remember(self, name: str, value: object) -> None:
        """Keep a habit for the next session, if possible."""
        with self._lock:
            try:
                if self.store is not None:
                    self.store.remember(name, value)
            except StoreError as error:
                self._lost(error)

    def _lost(self, error: StoreError) -> None:
        """Let the store be: the first failure is enough, each further one might wait for a lock again."""
        self.store, self.trouble = None, _in_memory(error)


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


def none_to_resume(kind: str) -> AdvisorError:
    """Return that no session of a kind was begun so far, and how to begin one."""
    words = "" if kind in {BALANCE, TUNE_UP} else " what is wrong, in your words"
    return AdvisorError(f"there is no {kind} session yet; begin one: advisor {kind}{words}")


def resumed(store: Store, kind: str, number: int | None = None, trouble: str = "") -> Journal:
    """Return the journal of an earlier session, by its number or the last of its kind. Raises AdvisorError.

    After a DamagedSessionError, what it brings can be gone on with (`taken_over`). With a `trouble` the store can be
    read but not written, and the session goes on in memory.
    """
    if number is None:
        number = store.latest(kind)
    if number is None:
        raise none_to_resume(kind)
    events = store.events(number)
    if not events:
        msg = f"session {number} holds nothing; begin a new one"
        raise AdvisorError(msg)
    journal = Journal(None if trouble else store, number, events, trouble)
    journal.path, journal.touched, journal.times = store.path, store.touched(number), store.times(number)
    return journal


def taken_over(store: Store | None, events: Iterable[Event], trouble: str = "") -> Journal:
    """Return the journal of a new session that begins with these events of another one."""
    journal = begun(store, trouble)
    for event in events:
        journal.add(event)
    return journal


def _in_memory(error: StoreError) -> str:
    return f"{error}; going on in memory"
