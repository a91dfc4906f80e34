"""The tables of a session store: whose file it is, which version it has, and the steps from one version to the next.

A file is looked at before it is opened for writing, so that one that is not ours keeps every byte and gets no file
beside it. SQLite's own header says whose it is: `application_id` and `user_version`
(https://www.sqlite.org/fileformat2.html, sections 1.3.14 and 1.3.15).
"""

import shutil
import sqlite3
import stat
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TypeVar

import msgspec

from advisor.errors import AdvisorError
from advisor.session.events import Began, Event

APPLICATION = 0x54555041  # in the header of every store; before it was written there, the tables alone told
WAIT = 5.0  # s for another session's commit
MADE, SHORTLY = 0.1, 0.01  # s for another process that makes the store, and between two tries
# SQLite may also fail on a damaged file with an impossible size (MemoryError, OverflowError), or with a message that is
# no text (ValueError).
FAILURES = (OSError, sqlite3.Error, ValueError, OverflowError, MemoryError)
NOT_JSON = (msgspec.MsgspecError, UnicodeDecodeError, RecursionError)
EVENTS: msgspec.json.Decoder[Event] = msgspec.json.Decoder(Event)
T = TypeVar("T")
FIRST_TABLES = {
    "session": ("id", "began"),
    "entry": ("session", "seq", "event"),
    "habit": ("name", "value"),
}


class StoreError(AdvisorError):
    """The store cannot be read or written."""


def from_json(kept: object, kind: msgspec.json.Decoder[T]) -> T | None:
    """Return what was kept as JSON; None if it is damaged. A damaged row may hold anything."""
    try:
        return kind.decode(kept) if isinstance(kept, bytes | str) else None
    except NOT_JSON:
        return None


def decoded(kept: object) -> Event | None:
    """Return an event as it was kept; None if it is damaged, or of a kind that is not known here."""
    return from_json(kept, EVENTS)


# The steps


def _tables(database: sqlite3.Connection) -> None:
    """Make the tables of the first version. A store from before the versions has them, or some of them."""
    database.execute("CREATE TABLE IF NOT EXISTS session (id INTEGER PRIMARY KEY, began REAL NOT NULL)")
    database.execute(
        "CREATE TABLE IF NOT EXISTS entry ("
        "session INTEGER NOT NULL REFERENCES session, seq INTEGER NOT NULL, event BLOB NOT NULL, "
        "PRIMARY KEY (session, seq)) WITHOUT ROWID"
    )
    database.execute("CREATE TABLE IF NOT EXISTS habit (name TEXT PRIMARY KEY, value BLOB NOT NULL) WITHOUT ROWID")


def _listed(database: sqlite3.Connection) -> None:
    """Keep with each session what it is chosen by: its kind, its words, and when it was last touched."""
    for column in (
        "kind TEXT NOT NULL DEFAULT ''",
        "words TEXT NOT NULL DEFAULT ''",
        "touched REAL NOT NULL DEFAULT 0",
    ):
        database.execute(f"ALTER TABLE session ADD COLUMN {column}")
    database.execute("UPDATE session SET touched = began")
    rows = database.execute("SELECT session, event FROM entry WHERE seq = 0").fetchall()
    first = ((number, decoded(event)) for number, event in rows)
    database.executemany(
        "UPDATE session SET kind = ?, words = ? WHERE id = ?",
        [(event.kind, event.sentence, number) for number, event in first if isinstance(event, Began)],
    )
    database.execute("CREATE INDEX last_touched ON session (kind, touched)")


def _timed(database: sqlite3.Connection) -> None:
    """Keep with each event when it was kept, in seconds since 1970; it is not known of earlier ones.

    From here on an answer may hold readings too, which an older program would lose.
    """
    database.execute("ALTER TABLE entry ADD COLUMN at REAL")


def _corrections(_: sqlite3.Connection) -> None:
    """Change no table: from here on an event may set earlier ones right, which an older program would not heed."""


def _noted(_: sqlite3.Connection) -> None:
    """Change no table: from here on a session may hold notes, which an older program would take for damage."""


def _own_words(_: sqlite3.Connection) -> None:
    """Change no table: from here on words that mean nothing may be kept, which an older program would lose."""


STEPS: tuple[Callable[[sqlite3.Connection], None], ...] = (_tables, _listed, _timed, _corrections, _noted, _own_words)


def brought_up(database: sqlite3.Connection, path: Path) -> None:
    """Take a new or older store to this version, in one transaction. Raises StoreError if it is not ours after all."""
    with transaction(database):
        version = version_of(database, path)  # another process may have been quicker
        if version < len(STEPS):
            for step in STEPS[version:]:
                step(database)
            database.execute(f"PRAGMA application_id = {APPLICATION}")
            database.execute(f"PRAGMA user_version = {len(STEPS)}")


def written_ahead(database: sqlite3.Connection) -> None:
    """Switch to a write-ahead log. Raises sqlite3.Error.

    For this SQLite does not wait for others who do the same at this moment, so it is tried again.
    """
    until = time.monotonic() + WAIT
    while True:
        try:
            database.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError:
            if time.monotonic() > until:
                raise
            time.sleep(SHORTLY)
        else:
            return


@contextmanager
def transaction(database: sqlite3.Connection) -> Iterator[None]:
    """Keep all that is done within, or nothing of it."""
    database.execute("BEGIN IMMEDIATE")
    try:
        yield
        database.execute("COMMIT")
    except BaseException:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise


# Whose file it is


def connected(where: Path | str, *, uri: bool = False) -> sqlite3.Connection:
    """Return a connection that any thread may use: the store lets in one at a time. Raises sqlite3.Error.

    Text that is not UTF-8 is read with a mark for each wrong byte.
    """
    database = sqlite3.connect(where, timeout=WAIT, isolation_level=None, check_same_thread=False, uri=uri)
    database.text_factory = lambda raw: raw.decode("utf-8", "replace")
    return database


def looked_at(path: Path, named: Path) -> int:
    """Return the version of a store without touching anything; 0 if it is new or from before the versions.

    Raises StoreError, with the path as it is `named`, if it is not a store or of a later version; also `FAILURES`.
    """
    try:
        kind = path.stat().st_mode
    except FileNotFoundError:
        return 0
    # The kernel's own files say that they are plain ones, and some of them are waited for without end (proc(5)).
    if not stat.S_ISREG(kind) or path.resolve().is_relative_to("/proc"):
        what = "a folder" if stat.S_ISDIR(kind) else "not a plain file but a pipe or a device"
        msg = f"{named} is {what}; name a file to keep sessions in"
        raise StoreError(msg)
    until = time.monotonic() + MADE
    while True:
        try:
            with _read_only(path) as database:
                return version_of(database, named)
        except sqlite3.OperationalError:
            raise
        except sqlite3.DatabaseError as error:  # damaged, or another process is making it at this moment
            if time.monotonic() > until:
                if error.sqlite_errorname == "SQLITE_NOTADB":
                    raise _not_ours(named) from error
                raise
            time.sleep(SHORTLY)


@contextmanager
def _read_only(path: Path) -> Iterator[sqlite3.Connection]:
    """Open a database that is only looked at.

    With no write-ahead log beside it, SQLite is told that nothing changes, so it makes no file of its own. With a log
    and its index, a reader changes neither. With a log alone a reader would make the index: a copy is looked at.
    """
    log, index = (path.with_name(f"{path.name}-{part}") for part in ("wal", "shm"))
    uri = f"{path.absolute().as_uri()}?mode=ro"
    if not log.is_file() or not log.stat().st_size:
        with closing(connected(f"{uri}&immutable=1", uri=True)) as database:
            yield database
    elif index.is_file():
        with closing(connected(uri, uri=True)) as database:
            yield database
    else:
        with copied(path) as copy, closing(connected(copy)) as database:
            yield database


@contextmanager
def copied(path: Path) -> Iterator[Path]:
    """Copy a database with its write-ahead log into a folder of its own, for as long as it is needed."""
    with tempfile.TemporaryDirectory() as folder:
        for part in (path, path.with_name(f"{path.name}-wal")):
            if part.is_file():
                shutil.copyfile(part, Path(folder) / part.name)
        yield Path(folder) / path.name


def version_of(database: sqlite3.Connection, path: Path) -> int:
    """Return a store's version, 0 for an empty file too. Raises StoreError if it is not ours, or of a later version."""
    owner, version = (database.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version"))
    if owner == APPLICATION and version > len(STEPS):
        msg = f"{path} was written by a later version of this program and is left as it is"
        raise StoreError(msg, "use that version, or keep sessions in another file: --store FILE")
    if (owner == APPLICATION and version >= 0) or (owner == version == 0 and _from_before(database)):
        return int(version)
    raise _not_ours(path)


def _from_before(database: sqlite3.Connection) -> bool:
    """Whether a database without an owner is empty or has our first tables, and nothing else."""
    made = database.execute("SELECT type, name FROM sqlite_master WHERE name NOT LIKE 'sqlite\\_%' ESCAPE '\\'")
    return all(kind == "table" and FIRST_TABLES.get(name) == _columns(database, name) for kind, name in made.fetchall())


def _columns(database: sqlite3.Connection, table: str) -> tuple[str, ...]:
    rows = database.execute("SELECT name FROM pragma_table_info(?) ORDER BY cid", (table,))
    return tuple(name for (name,) in rows)


def _not_ours(path: Path) -> StoreError:
    msg = f"{path} is not a session store and is left as it is"
    return StoreError(msg, "keep sessions in another file: --store FILE")
