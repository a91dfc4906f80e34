"""Files of practice: damaged lines are skipped, several may write at once, a crash in mid-write loses nothing older."""

import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import Self

import msgspec
import pytest

from advisor.practice.storage import StorageError, add_line, newest, read_lines, read_whole, remove, write_whole

WRITERS, LINES = 4, 40
# What a process does that adds lines, and one that dies in the middle of writing a whole file.
ADDS = """
import sys
from pathlib import Path
from tests.practice.test_storage import LINES, One
from advisor.practice.storage import add_line
for number in range(LINES):
    add_line(Path(sys.argv[1]), One(name=sys.argv[2], number=number))
"""
DIES = """
import os, sys
from pathlib import Path
from tests.practice.test_storage import One
from advisor.practice import storage
os.fsync = lambda _: os._exit(9)
storage.write_whole(Path(sys.argv[1]), One(name="new", number=2))
"""


class One(msgspec.Struct, frozen=True, kw_only=True):
    """A record of these tests."""

    name: str
    number: int


FIRST, SECOND = (One(name="old", number=number) for number in (1, 2))


def python(code: str, *words: str) -> list[str]:
    return [sys.executable, "-c", code, *words]


def test_lines_that_are_added_are_read_in_their_order(tmp_path: Path) -> None:
    path = tmp_path / "new" / "lines"
    assert read_lines(path, One) == ([], [])
    add_line(path, FIRST)
    add_line(path, SECOND)
    assert read_lines(path, One) == ([FIRST, SECOND], [])


def test_a_damaged_line_is_skipped_and_said(tmp_path: Path) -> None:
    path = tmp_path / "lines"
    add_line(path, FIRST)
    with path.open("ab") as file:
        file.write(b'\xff\xfe nonsense\n\n{"name": 1}\n{"name": "torn of')
    add_line(path, SECOND)
    found, skipped = read_lines(path, One)
    assert found == [FIRST, SECOND]
    assert [f"{path}:{number}: this line is damaged" in text for number, text in zip((2, 4, 5), skipped, strict=True)]


def test_threads_and_processes_may_add_at_once(tmp_path: Path) -> None:
    path = tmp_path / "lines"

    def add(name: str) -> None:
        for number in range(LINES):
            add_line(path, One(name=name, number=number))

    processes = [subprocess.Popen(python(ADDS, str(path), f"process {number}")) for number in range(2)]
    threads = [threading.Thread(target=add, args=(f"thread {number}",)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one.wait() for one in processes] == [0, 0]
    found, skipped = read_lines(path, One)
    assert skipped == []
    for name in {one.name for one in found}:
        assert [one.number for one in found if one.name == name] == list(range(LINES))
    assert len(found) == (WRITERS + 2) * LINES


def test_a_disk_that_fills_up_in_mid_line_spoils_no_other_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "lines"
    add_line(path, FIRST)
    opened = Path.open

    class Full:
        """A file that takes half of what is written."""

        def __init__(self, file: object) -> None:
            self.file = file

        def __enter__(self) -> Self:
            return self

        def __exit__(self, *_: object) -> None:
            self.file.close()  # type: ignore[attr-defined]

        def write(self, data: bytes) -> int:
            return int(self.file.write(data[: len(data) // 2]))  # type: ignore[attr-defined]

    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", lambda self, mode, **more: Full(opened(self, mode, **more)))
        patch.setattr("advisor.practice.storage._torn", lambda _: False)
        with pytest.raises(StorageError, match=r"this bike cannot be kept \(the disk is full\)"):
            add_line(path, SECOND)
    add_line(path, SECOND)
    found, skipped = read_lines(path, One)
    assert (found, len(skipped)) == ([FIRST, SECOND], 1)


def test_a_crash_in_mid_write_leaves_the_old_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    path = tmp_path / "tuneup-advisor" / "one.json"
    write_whole(path, FIRST)
    assert subprocess.run(python(DIES, str(path)), check=False).returncode == 9
    assert len(list(path.parent.iterdir())) == 2  # what the crash left behind ...
    assert newest("*.json", path.parent) == [path]  # ... is taken for nothing
    assert read_whole(path, One) == FIRST
    write_whole(path, SECOND)
    assert read_whole(path, One) == SECOND


def test_a_disk_that_is_full_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "one.json"
    write_whole(path, FIRST)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(StorageError, match=r"these steps cannot be kept \(no space left on device\)"):
            write_whole(path, SECOND)
    assert list(tmp_path.iterdir()) == [path]
    assert read_whole(path, One) == FIRST


def test_threads_may_write_one_file_at_once(tmp_path: Path) -> None:
    path = tmp_path / "one.json"
    failed: list[StorageError] = []

    def write(name: str) -> None:
        try:
            for number in range(LINES):
                write_whole(path, One(name=name, number=number))
                read_whole(path, One)  # whole at any time
        except StorageError as error:
            failed.append(error)

    threads = [threading.Thread(target=write, args=(f"thread {number}",)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert read_whole(path, One).number == LINES - 1


def test_what_cannot_be_used_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    under_a_file = tmp_path / "file" / "lines"
    with pytest.raises(StorageError, match="cannot be kept"):
        add_line(under_a_file, FIRST)
    with pytest.raises(StorageError, match="cannot be kept"):
        write_whole(under_a_file, FIRST)
    with pytest.raises(StorageError, match="this is a folder; a file of practice is needed"):
        read_lines(tmp_path, One)
    with pytest.raises(StorageError, match="cannot be removed"):
        remove(tmp_path)
    with pytest.raises(StorageError, match="cannot be read"):
        read_whole(tmp_path / "none.json", One)
    for text in (b'{"name": "x", "num', b"\xff", b'{"name": "x"}'):
        (tmp_path / "file").write_bytes(text)
        with pytest.raises(StorageError, match="this file is damaged"):
            read_whole(tmp_path / "file", One)


def test_the_newest_is_the_one_written_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    where = tmp_path / "tuneup-advisor"
    assert newest("*.json", where) == []
    paths = [tmp_path / "tuneup-advisor" / f"{name}.json" for name in ("b", "a", "c")]
    for order, path in enumerate(paths):
        write_whole(path, FIRST)
        os.utime(path, (order, order))
    assert newest("*.json", where) == [paths[2], paths[1], paths[0]]
    remove(paths[2])
    remove(paths[2])  # gone already is no mistake
    assert newest("*.json", where) == [paths[1], paths[0]]
    assert newest("x*.json", where) == []
