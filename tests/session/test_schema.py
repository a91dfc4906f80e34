"""Whose file it is: our own are brought up to this version, all others keep every byte."""

import os
import shutil
import sqlite3
import subprocess
import sys
import textwrap
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import msgspec
import pytest

from advisor.session.events import Began, Event, Skipped
from advisor.session.schema import APPLICATION, FIRST_TABLES, STEPS, StoreError, decoded, version_of
from advisor.session.store import Store, opened

# The tables of stores from before the versions, as they were made then.
BEFORE = """
CREATE TABLE IF NOT EXISTS session (id INTEGER PRIMARY KEY, began REAL NOT NULL);
CREATE TABLE IF NOT EXISTS entry (
    session INTEGER NOT NULL REFERENCES session, seq INTEGER NOT NULL, event BLOB NOT NULL, PRIMARY KEY (session, seq)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS habit (name TEXT PRIMARY KEY, value BLOB NOT NULL) WITHOUT ROWID;
"""
CALL: list[Event] = [Began("phone", "it dies at lights"), Skipped("watch-the-idle", None, "can't")]


def header(path: Path) -> tuple[int, int]:
    """Return application id and version from the file's own bytes (offsets 68 and 60 of SQLite's header)."""
    data = path.read_bytes()
    return int.from_bytes(data[68:72], "big"), int.from_bytes(data[60:64], "big")


def before(path: Path) -> Path:
    """Make a store as it was before the versions, with two sessions: the second one's beginning is damaged."""
    with closing(sqlite3.connect(path)) as database:
        database.execute("PRAGMA journal_mode=WAL")
        database.executescript(BEFORE)
        database.executemany("INSERT INTO session (began) VALUES (?)", [(1000.0,), (2000.0,)])
        rows = [(1, seq, msgspec.json.encode(event)) for seq, event in enumerate(CALL)]
        database.executemany("INSERT INTO entry VALUES (?, ?, ?)", [*rows, (2, 0, b"no event")])
        database.execute("INSERT INTO habit VALUES ('at hand', '{}')")
        database.commit()
    return path


def folder(path: Path) -> dict[str, bytes]:
    """Return all files beside a path, with their bytes; the index of a log holds nothing of its own."""
    return {one.name: b"" if one.name.endswith("-shm") else one.read_bytes() for one in path.parent.iterdir()}


def test_a_new_store_says_whose_it_is(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    Store(path)  # from the first moment on, not only once it is closed
    assert header(path) == (APPLICATION, len(STEPS))


@pytest.mark.parametrize("empty", ["", "header"])
def test_an_empty_file_becomes_a_store(tmp_path: Path, empty: str) -> None:
    path = tmp_path / "s.sqlite"
    path.touch()
    if empty == "header":  # a database without tables
        with closing(sqlite3.connect(path)) as database:
            database.execute("VACUUM")
    assert Store(path).begin() == 1
    assert header(path) == (APPLICATION, len(STEPS))


def test_a_store_from_before_the_versions_is_brought_up(tmp_path: Path) -> None:
    path = before(tmp_path / "s.sqlite")
    assert header(path) == (0, 0)
    store = Store(path)
    assert store.events(1) == CALL
    assert store.latest("phone") == 1
    assert store.habit("at hand") == "{}"
    rows = store.database.execute("SELECT id, kind, words, touched FROM session").fetchall()
    assert rows == [(1, "phone", "it dies at lights", 1000.0), (2, "", "", 2000.0)]
    assert store.begin() == 3
    store.close()
    assert header(path) == (APPLICATION, len(STEPS))
    assert Store(path).events(1) == CALL


def test_a_store_whose_making_was_cut_short_long_ago_is_finished(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    with closing(sqlite3.connect(path)) as database:
        database.execute(BEFORE.split(";", maxsplit=1)[0])
    assert Store(path).begin() == 1


def test_an_older_store_that_was_killed_is_brought_up_with_its_log(tmp_path: Path) -> None:
    """Nothing of it may be in the file itself: all is in the write-ahead log."""
    source, path = before(tmp_path / "a.sqlite"), tmp_path / "b" / "s.sqlite"
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as database:
        database.execute("PRAGMA journal_mode=WAL")
        database.executescript(BEFORE)
        with closing(sqlite3.connect(source)) as old:
            rows = old.execute("SELECT * FROM entry").fetchall()
        database.execute("INSERT INTO session VALUES (1, 1.0)")
        database.executemany("INSERT INTO entry VALUES (?, ?, ?)", rows)
        database.commit()
        for name in ("s.sqlite", "s.sqlite-wal"):
            shutil.copyfile(path.parent / name, tmp_path / name)
    assert Store(tmp_path / "s.sqlite").events(1) == CALL


def test_killed_in_the_midst_of_a_step_it_is_as_it_was(tmp_path: Path) -> None:
    path = before(tmp_path / "s.sqlite")
    code = textwrap.dedent(
        f"""
        import os
        from pathlib import Path
        from advisor.session import schema, store
        def dies(database):
            schema._listed(database)
            os.kill(os.getpid(), 9)
        schema.STEPS = (schema._tables, dies)
        store.Store(Path({str(path)!r}))
        """
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == -9
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as database:
        assert [one[1] for one in database.execute("PRAGMA table_info(session)")] == list(FIRST_TABLES["session"])
    assert Store(path).events(1) == CALL


def test_a_step_that_fails_leaves_it_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(database: sqlite3.Connection) -> None:
        STEPS[1](database)
        msg = "disk full"
        raise sqlite3.OperationalError(msg)

    path = before(tmp_path / "s.sqlite")
    with monkeypatch.context() as patch:
        patch.setattr("advisor.session.schema.STEPS", (STEPS[0], fails))
        with pytest.raises(StoreError, match="disk full"):
            Store(path)
    assert header(path) == (0, 0)
    assert Store(path).events(1) == CALL


def test_two_that_bring_it_up_at_once_do_it_once(tmp_path: Path) -> None:
    path = before(tmp_path / "s.sqlite")
    with ThreadPoolExecutor(4) as pool:
        stores = list(pool.map(Store, [path] * 4))
    assert [one.events(1) for one in stores] == [CALL] * 4


def _foreign(path: Path) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript("CREATE TABLE contacts (name TEXT); INSERT INTO contacts VALUES ('somebody')")


def _foreign_session(path: Path) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript("CREATE TABLE session (id INTEGER PRIMARY KEY, token TEXT)")


def _ours_and_more(path: Path) -> None:
    before(path)
    with closing(sqlite3.connect(path)) as database:
        database.executescript("CREATE VIEW mine AS SELECT 1")


def _of_another_program(path: Path) -> None:
    with closing(sqlite3.connect(path)) as database:
        database.executescript(f"PRAGMA application_id = {APPLICATION + 1}; {BEFORE}")


def _of_a_later_version(path: Path) -> None:
    Store(path).close()
    with closing(sqlite3.connect(path)) as database:
        database.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
        database.execute("PRAGMA wal_checkpoint")


def _killed(path: Path, *, index: bool) -> None:
    """Leave a foreign database as a `kill -9` does: all in its write-ahead log, nothing in the file itself."""
    elsewhere = path.parent.parent / path.name
    with closing(sqlite3.connect(elsewhere)) as database:
        database.execute("PRAGMA journal_mode=WAL")
        database.executescript("CREATE TABLE contacts (name TEXT)")
        for part in ("", "-wal", *(["-shm"] if index else [])):
            shutil.copyfile(f"{elsewhere}{part}", f"{path}{part}")


def _killed_with_its_index(path: Path) -> None:
    _killed(path, index=True)


def _killed_without_its_index(path: Path) -> None:
    _killed(path, index=False)


def _no_database(path: Path) -> None:
    path.write_bytes(b"no database at all, but long enough to be looked at" * 50)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (_foreign, "is not a session store"),
        (_foreign_session, "is not a session store"),
        (_ours_and_more, "is not a session store"),
        (_of_another_program, "is not a session store"),
        (_killed_with_its_index, "is not a session store"),
        (_killed_without_its_index, "is not a session store"),
        (_no_database, "is not a session store"),
        (_of_a_later_version, "later version of this program"),
    ],
)
def test_what_is_not_ours_or_too_new_is_not_touched(tmp_path: Path, made: Callable[[Path], None], says: str) -> None:
    path = tmp_path / "beside" / "theirs.sqlite"
    path.parent.mkdir()
    made(path)
    kept = folder(path)
    store, trouble = opened(path)
    assert store is None
    assert says in trouble
    assert "is left as it is" in trouble
    assert str(path) in trouble
    with pytest.raises(StoreError, match=says):
        Store.copied(path)
    assert folder(path) == kept


def test_another_process_that_makes_it_at_this_moment_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Then a look sees half of it, and SQLite does not wait for who switches the log on."""
    path, looks = before(tmp_path / "s.sqlite"), []

    def half(*found: object) -> int:
        looks.append(found)
        if len(looks) < 3:
            msg = "database disk image is malformed"
            raise sqlite3.DatabaseError(msg)
        return version_of(*found)  # type: ignore[arg-type]  # passed on as it came

    with monkeypatch.context() as patch:
        patch.setattr("advisor.session.schema.version_of", half)
        assert Store(path).events(1) == CALL
    assert len(looks) == 4


def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    kernel = Path("/proc/kmsg")  # says that it is a plain file, and is waited for
    for path, says in ((pipe, "a pipe or"), (kernel, "a pipe or"), (tmp_path, "a folder"), (Path("a\0b"), "cannot be")):
        assert says in opened(path)[1]
    assert [one.name for one in tmp_path.iterdir()] == ["pipe"]


def test_a_name_that_means_something_else_to_the_database_is_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in (":memory:", "file:a?mode=memory", "ends % with? #"):
        Store(Path(name)).begin()
        assert (tmp_path / name).is_file()
        assert Store(Path(name)).begin() == 2


@pytest.mark.parametrize(
    "kept", [None, 5, 1.5, "", b"", b"\xff", b"null", b"[]", b'{"type":"of a later version"}', b'{"type":"began"}', "{"]
)
def test_what_is_no_event_is_damaged(kept: object) -> None:
    assert decoded(kept) is None


def test_what_is_nested_without_end_is_damaged() -> None:
    assert decoded(b'{"type":"began","kind":"bench","sentence":"x","more":' + b"[" * 200_000) is None
