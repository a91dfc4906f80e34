"""Nothing that was answered is lost: kill -9, two at once, a full disk, a folder that cannot be written."""

import os
import random
import sqlite3
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest

from advisor.case import Means, SignReport
from advisor.errors import AdvisorError
from advisor.session.events import AtHand, Began, Event, PutRight, Skipped, Told, Undone
from advisor.session.listing import listed
from advisor.session.schema import StoreError
from advisor.session.store import DamagedSessionError, Journal, Store, begun, opened, resumed, taken_over

EVENTS: list[Event] = [
    Began("bench", "won't idle"),
    AtHand(Means(person="mechanic", tools=frozenset({"meter"}), engine="warm")),
    Told((SignReport(sign="idle-hangs", side=None, seen=True, how="told"),)),
    Skipped("seal-the-joint", "left", "can't"),
    PutRight("intake-joint-leak", "left"),
    Undone(2),
]


def kept(path: Path) -> tuple[Store, int]:
    store = Store(path)
    number = store.begin()
    for seq, event in enumerate(EVENTS):
        store.append(number, seq, event)
    return store, number


def test_events_come_back_as_they_were(tmp_path: Path) -> None:
    store, number = kept(tmp_path / "s.sqlite")
    assert store.events(number) == EVENTS
    store.close()
    assert Store(tmp_path / "s.sqlite").events(number) == EVENTS


def test_the_latest_of_its_kind(tmp_path: Path) -> None:
    store, first = kept(tmp_path / "s.sqlite")
    second = store.begin()
    store.append(second, 0, Began("phone", "it dies"))
    store.begin()  # one that nobody answered
    assert (store.latest("bench"), store.latest("phone"), store.latest("none")) == (first, second, None)


def test_write_ahead_and_full_synchronisation(tmp_path: Path) -> None:
    store, _ = kept(tmp_path / "s.sqlite")
    assert store.database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert store.database.execute("PRAGMA synchronous").fetchone() == (2,)


def test_killed_at_any_moment_what_was_kept_is_there(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    code = textwrap.dedent(
        f"""
        import os, signal, sys
        from pathlib import Path
        from advisor.session.events import Began, Skipped
        from advisor.session.store import Store
        store = Store(Path({str(path)!r}))
        number = store.begin()
        store.append(number, 0, Began("bench", "x"))
        for seq in range(1, 10_000):
            store.append(number, seq, Skipped("a", None, "can't"))
            print(seq, flush=True)
        """
    )
    last = 0
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        for line in child.stdout:
            last = int(line)
            if last == 25:
                child.kill()
                break
    assert len(Store(path).events(1)) >= last + 1


def test_two_sessions_at_once(tmp_path: Path) -> None:
    one, two = Store(tmp_path / "s.sqlite"), Store(tmp_path / "s.sqlite")
    first, second = one.begin(), two.begin()
    assert first != second
    one.append(first, 0, EVENTS[0])
    two.append(second, 0, EVENTS[0])
    for seq in range(1, 20):
        one.append(first, seq, Skipped("a", None, "can't"))
        two.append(second, seq, Skipped("b", None, "can't"))
    assert len(one.events(second)) == len(two.events(first)) == 20


def test_one_session_continued_in_two_places_is_refused(tmp_path: Path) -> None:
    store, number = kept(tmp_path / "s.sqlite")
    with pytest.raises(StoreError, match="being continued somewhere else"):
        Store(tmp_path / "s.sqlite").append(number, 2, EVENTS[0])
    assert store.events(number) == EVENTS


def test_a_full_disk_goes_on_in_memory(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    journal = Journal(store, store.begin())
    journal.add(EVENTS[0])
    store.database.execute("PRAGMA max_page_count = 1")  # as full as a disk can be
    for _ in range(200):
        journal.add(Skipped("x" * 500, None, "can't"))
    assert len(journal.events) == 201
    assert "going on in memory" in journal.trouble
    assert "full" in journal.trouble


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "shut").mkdir(mode=0o500)
    with pytest.raises(StoreError, match="cannot be kept"):
        Store(tmp_path / "shut" / "s.sqlite")


def test_no_store_at_all(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(StoreError, match="cannot be kept"):
        Store(tmp_path / "file" / "s.sqlite")


def test_a_store_that_goes_away_under_it(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    journal = Journal(store, store.begin())
    store.database.close()
    journal.add(EVENTS[0])
    assert journal.events == EVENTS[:1]
    assert "in memory" in journal.trouble


def test_unknown_sessions_and_damaged_ones(tmp_path: Path) -> None:
    store, number = kept(tmp_path / "s.sqlite")
    with pytest.raises(StoreError, match="no session 99"):
        store.events(99)
    with sqlite3.connect(tmp_path / "s.sqlite") as database:
        database.execute("UPDATE entry SET event = 'junk' WHERE seq = 2")
    with pytest.raises(DamagedSessionError, match="event 3 is damaged or missing"):
        store.events(number)


def test_what_goes_wrong_is_said_in_one_sentence_each(tmp_path: Path) -> None:
    def said(error: pytest.ExceptionInfo[StoreError]) -> str:
        return str(error.value)

    none, junk = tmp_path / "none.sqlite", tmp_path / "junk"
    with pytest.raises(StoreError) as caught:
        Store.copied(none)
    assert said(caught) == f"there is no store at {none}, so nothing can be resumed"
    junk.write_bytes(b"no database at all, but long enough to be looked at" * 50)
    with pytest.raises(StoreError) as caught:
        Store.copied(junk)
    other = "is not a session store and is left as it is; keep sessions in another file: --store FILE"
    assert said(caught) == f"{junk} {other}"
    with pytest.raises(StoreError) as caught:
        Store(junk)
    assert said(caught) == f"{junk} {other}"
    (tmp_path / "file").write_text("", encoding="utf-8")
    under = tmp_path / "file" / "s.sqlite"
    with pytest.raises(StoreError) as caught:
        Store(under)
    assert said(caught) == f"sessions cannot be kept in {under}: not a directory"
    store, number = kept(tmp_path / "s.sqlite")
    with pytest.raises(StoreError) as caught:
        store.events(99)
    assert said(caught) == f"there is no session 99 in {store.path}"
    with pytest.raises(StoreError) as caught:
        store.append(number, 0, EVENTS[0])
    assert said(caught) == f"session {number} is being continued somewhere else; go on there, or begin a new one"


def test_a_store_that_cannot_be_copied_says_why(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store, _ = kept(tmp_path / "s.sqlite")
    for error, why in ((PermissionError(13, "Permission denied"), "permission denied"), (OSError(), "no access")):

        def fails(*_: object, error: OSError = error) -> None:
            raise error

        monkeypatch.setattr("shutil.copyfile", fails)
        with pytest.raises(StoreError) as caught:
            Store.copied(store.path)
        assert str(caught.value) == f"{store.path} cannot be read: {why}"


def test_a_store_is_made_with_the_folders_above_it(tmp_path: Path) -> None:
    path = tmp_path / "not" / "yet" / "s.sqlite"
    store, number = kept(path)
    assert (store.path, Store(path).events(number)) == (path, EVENTS)
    assert begun(store).trouble == ""


def test_a_copy_keeps_the_sessions_and_its_name(tmp_path: Path) -> None:
    store, number = kept(tmp_path / "s.sqlite")
    copy = Store.copied(store.path)
    assert (copy.path, copy.events(number), copy.latest("bench")) == (store.path, EVENTS, number)
    copy.append(number, len(EVENTS), EVENTS[3])
    assert store.events(number) == EVENTS  # what goes on in memory stays there
    assert sorted(path.name for path in Path.cwd().glob("*memory*")) == []


def test_a_session_that_begins_with_something_else_is_of_no_kind(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    store.append(store.begin(), 0, EVENTS[3])
    assert store.latest("bench") is None


def test_habits_are_remembered(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    assert store.habit("at hand") is None
    store.remember("at hand", Means(person="rider", tools=None, engine=""))
    store.remember("at hand", Means(person="mechanic", tools=None, engine=""))
    assert "mechanic" in str(Store(tmp_path / "s.sqlite").habit("at hand"))


def test_one_journal_used_from_several_threads_keeps_all_of_it(tmp_path: Path) -> None:
    """A page answers each request on a thread of its own."""
    store = Store(tmp_path / "s.sqlite")  # opened on this thread, written from others
    journal = Journal(store, store.begin())
    journal.add(EVENTS[0])
    told = [[Skipped(f"check-{thread}-{seq}", None, "can't") for seq in range(50)] for thread in range(4)]

    def add_all(events: list[Skipped]) -> None:
        for one in events:
            journal.add(one)

    with ThreadPoolExecutor(len(told)) as pool:
        list(pool.map(add_all, told))
    assert (journal.trouble, journal.store) == ("", store)
    assert Store(tmp_path / "s.sqlite").events(journal.session) == journal.events
    assert len(journal.events) == 1 + 4 * 50
    for events in told:
        assert [one for one in journal.events if one in events] == events  # each thread's own order stays


def test_several_sessions_on_one_store_from_several_threads(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")

    def session(number: int) -> Journal:
        journal = begun(store)
        journal.add(Began("bench", f"session {number}"))
        for seq in range(30):
            journal.add(Skipped(f"check-{number}-{seq}", None, "can't"))
            store.remember("at hand", number)
        return journal

    with ThreadPoolExecutor(4) as pool:
        journals = list(pool.map(session, range(4)))
    assert len({one.session for one in journals}) == 4
    for one in journals:
        assert one.trouble == ""
        assert store.events(one.session) == one.events
        assert len(one.events) == 31


def test_a_store_that_is_closed_under_a_thread_leaves_the_session_in_memory(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    journal = begun(store)
    journal.add(EVENTS[0])
    store.close()
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(journal.add, EVENTS[1:4]))
    assert journal.store is None
    assert "going on in memory" in journal.trouble
    assert sorted(map(repr, journal.events)) == sorted(map(repr, EVENTS[:4]))
    assert Store(tmp_path / "s.sqlite").events(journal.session) == EVENTS[:1]


def test_a_store_that_takes_no_session_does_not_keep_one_from_beginning(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    store.close()
    journal = begun(store)
    journal.add(EVENTS[0])
    assert journal.events == EVENTS[:1]
    assert "going on in memory" in journal.trouble


def test_where_a_store_cannot_be_opened_it_is_said_and_the_session_is_in_memory(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    store, trouble = opened(tmp_path / "file" / "s.sqlite")
    assert store is None
    assert "going on in memory" in trouble
    assert begun(store, trouble).trouble == trouble
    store, trouble = opened(tmp_path / "s.sqlite")
    assert store is not None
    assert trouble == ""


def test_what_is_resumed_goes_on_in_its_store_or_in_memory(tmp_path: Path) -> None:
    store, number = kept(tmp_path / "s.sqlite")
    at = resumed(store, "bench")
    assert (at.session, at.events, at.store) == (number, EVENTS, store)
    read = resumed(Store.copied(tmp_path / "s.sqlite"), "bench", number, "cannot be written")
    read.add(Skipped("seal-the-joint", "left", "can't"))
    assert (read.store, read.trouble) == (None, "cannot be written")
    assert len(read.events) == len(EVENTS) + 1
    assert store.events(number) == EVENTS
    with pytest.raises(AdvisorError, match="no phone session"):
        resumed(store, "phone")
    with pytest.raises(AdvisorError, match="holds nothing"):
        resumed(store, "bench", store.begin())


def test_a_first_event_that_cannot_be_read_hides_no_other_session(tmp_path: Path) -> None:
    store, number = kept(tmp_path / "s.sqlite")
    damaged = store.begin()
    store.append(damaged, 0, Began("bench", "it dies"))
    with sqlite3.connect(tmp_path / "s.sqlite") as database:
        database.execute("UPDATE entry SET event = 'junk' WHERE session = ?", (damaged,))
    assert store.latest("bench") == number
    with pytest.raises(DamagedSessionError, match="event 1 is damaged or missing; nothing stands before it"):
        store.events(damaged)


# A store that is locked, damaged, or taken away


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold a store as a program does that lets in nobody else."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode=EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        yield


def test_one_wait_for_a_lock_is_enough(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("advisor.session.schema.WAIT", 0.3)
    store, number = kept(tmp_path / "s.sqlite")
    at = resumed(store, "bench")
    with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")  # another process is in the midst of a change
        begins = time.monotonic()
        for _ in range(5):
            at.add(EVENTS[3])
            at.remember("at hand", 1)
        assert at.habit("at hand") is None
        assert 0.2 < time.monotonic() - begins < 0.9
    assert "going on in memory" in at.trouble
    assert (at.kept, len(at.events)) == (len(EVENTS), len(EVENTS) + 5)
    assert store.events(number) == EVENTS


def test_a_locked_store_is_read_and_gone_on_with_in_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("advisor.session.schema.WAIT", 0.1)
    store, number = kept(tmp_path / "s.sqlite")
    store.close()
    with locked(store.path):
        begins = time.monotonic()
        none, trouble = opened(store.path)
        journal = begun(none, trouble)
        assert time.monotonic() - begins < 0.9
        assert "locked" in journal.trouble
        at = resumed(Store.copied(store.path), "bench", number, trouble)
    assert (at.events, at.store) == (EVENTS, None)


def test_a_store_that_was_taken_away_or_replaced_keeps_nothing_more(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    for instead in (False, True):
        store = Store(path)
        at = begun(store)
        at.add(EVENTS[0])
        path.rename(tmp_path / f"away {instead}")
        if instead:
            Store(path)
        at.add(EVENTS[3])
        assert at.kept == 1
        assert "taken away or replaced" in at.trouble or "no such file" in at.trouble


def test_a_session_that_another_program_removed_is_not_written_to(tmp_path: Path) -> None:
    store, _ = kept(tmp_path / "s.sqlite")
    at = resumed(store, "bench")
    store.database.execute("DELETE FROM session")
    at.add(EVENTS[3])
    assert "no longer in" in at.trouble
    assert store.database.execute("SELECT count(*) FROM entry").fetchone() == (len(EVENTS),)


DAMAGE = {
    "not JSON": "UPDATE entry SET event = 'junk' WHERE session = 2 AND seq = 3",
    "not UTF-8": "UPDATE entry SET event = X'7b22ff' WHERE session = 2 AND seq = 3",
    "not UTF-8, as text": "UPDATE entry SET event = CAST(X'7b22ff' AS TEXT) WHERE session = 2 AND seq = 3",
    "a number": "UPDATE entry SET event = 7 WHERE session = 2 AND seq = 3",
    "nothing": "UPDATE entry SET event = '' WHERE session = 2 AND seq = 3",
    "JSON's null": "UPDATE entry SET event = 'null' WHERE session = 2 AND seq = 3",
    "of a later version": """UPDATE entry SET event = '{"type":"heard"}' WHERE session = 2 AND seq = 3""",
    "a wrong type": """UPDATE entry SET event = '{"type":"undone","count":"2"}' WHERE session = 2 AND seq = 3""",
    "missing": "DELETE FROM entry WHERE session = 2 AND seq = 3",
    "numbered in words": "UPDATE entry SET seq = 'third' WHERE session = 2 AND seq = 3",
}


@pytest.mark.parametrize("sql", DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_event_costs_its_session_alone(tmp_path: Path, sql: str) -> None:
    path = tmp_path / "s.sqlite"
    store, first = kept(path)
    _, second = kept(path)
    _, third = kept(path)
    assert (first, second, third) == (1, 2, 3)
    store.database.execute(sql)
    rows = store.database.execute("SELECT * FROM entry").fetchall()
    store.close()
    store = Store(path)
    assert [store.events(one) for one in (first, third)] == [EVENTS] * 2
    assert store.latest("bench") == third
    with pytest.raises(DamagedSessionError) as caught:
        resumed(store, "bench", second)
    assert str(caught.value) == (f"session 2 in {path}: event 4 is damaged or missing; the 3 before it can be read")
    assert caught.value.before == EVENTS[:3]
    at = taken_over(store, caught.value.before)
    at.add(EVENTS[5])
    assert store.events(at.session) == [*EVENTS[:3], EVENTS[5]]
    assert at.session == 4
    kept_rows = store.database.execute("SELECT * FROM entry WHERE session < 4").fetchall()
    assert kept_rows == rows  # the damaged ones too


@pytest.mark.parametrize("number", [0, -1, 99, 2**63, 10**29])
def test_a_number_that_is_no_session_is_one_message(tmp_path: Path, number: int) -> None:
    store, _ = kept(tmp_path / "s.sqlite")
    with pytest.raises(StoreError, match=f"^there is no session {number} in "):
        store.events(number)


def used(path: Path) -> None:
    """Use a store in each way there is; only AdvisorError is a fair answer."""
    store, trouble = opened(path)
    at = begun(store, trouble)
    at.add(EVENTS[0])
    at.remember("at hand", 1)
    at.habit("at hand")
    at.add(EVENTS[3])
    assert at.events == [EVENTS[0], EVENTS[3]]
    with suppress(AdvisorError):
        reading = store or Store.copied(path)
        with suppress(AdvisorError):
            listed(reading, "bench")
        for number in (1, 2, 3, None):
            with suppress(AdvisorError):
                resumed(reading, "bench", number, trouble).add(EVENTS[3])
        reading.close()


def damaged(path: Path, seed: int) -> None:
    """Flip, blank or cut off bytes anywhere in a file; where to, the seed says."""
    draw, data = random.Random(seed), bytearray(path.read_bytes())
    match seed % 4:
        case 0:
            data[draw.randrange(len(data))] ^= 1 << draw.randrange(8)
        case 1:
            for _ in range(20):
                data[draw.randrange(len(data))] = draw.randrange(256)
        case 2:
            place = draw.randrange(len(data))
            data[place : place + 2000] = bytes(len(data[place : place + 2000]))
        case _:
            del data[draw.randrange(len(data)) :]
    path.write_bytes(data)


def flipped(folder: Path, seeds: range) -> None:
    """Damage stores: every other one was killed, with most of it in its write-ahead log, and that is damaged."""
    path = folder / "whole.sqlite"
    Store(path).close()
    alive, _ = kept(path)
    for _ in range(5):
        kept(path)
    parts = ("", "-wal", "-shm")
    killed = {part: Path(f"{path}{part}").read_bytes() for part in parts}
    alive.close()
    closed = {"": path.read_bytes()}
    for seed in seeds:
        part = parts[seed // 8 % 3] if seed // 4 % 2 else ""
        for end, data in (killed if seed // 4 % 2 else closed).items():
            Path(f"{folder / str(seed)}{end}").write_bytes(data)
        damaged(Path(f"{folder / str(seed)}{part}"), seed)
        used(folder / str(seed))


def test_bytes_damaged_anywhere_end_no_session(tmp_path: Path) -> None:
    flipped(tmp_path, range(20))


@pytest.mark.slow
def test_bytes_damaged_anywhere_end_no_session_in_many_stores(tmp_path: Path) -> None:
    flipped(tmp_path, range(20, 1500))
