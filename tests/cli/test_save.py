"""What a session saves is written whole or not at all, and never over what is not a case file."""

import os
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from advisor.cli.save import saved
from advisor.errors import AdvisorError
from advisor.session.shown import SaveAs

TEXT = "complaint: it idles unevenly\n"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the working folder; sessions are kept in `own` below it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def save(name: str | Path, *, replace: bool = False) -> bool:
    return saved(SaveAs(name=str(name), text=TEXT, replace=replace))


def refusal(name: str | Path) -> str:
    """Return why a name is refused, with and without leave to replace; nothing is written or left behind."""
    before = _all_files()
    texts = set()
    for replace in (False, True):
        with pytest.raises(AdvisorError) as caught:
            save(name, replace=replace)
        texts.add(str(caught.value))
    assert _all_files() == before
    (text,) = texts
    assert "\n" not in text
    assert len(text) < 400
    return text


def _all_files() -> dict[str, bytes]:
    found = (path for path in Path().rglob("*") if stat.S_ISREG(path.lstat().st_mode))
    return {str(path): path.read_bytes() for path in found}


def test_a_new_file_is_written_below_the_working_folder(folder: Path) -> None:
    assert save("case.yaml")
    assert (folder / "case.yaml").read_text(encoding="utf-8") == TEXT
    assert list(_all_files()) == ["case.yaml"]


def test_a_file_that_is_there_is_replaced_only_with_leave(folder: Path) -> None:
    (folder / "case.yaml").write_text("old", encoding="utf-8")
    assert not save("case.yaml")
    assert (folder / "case.yaml").read_text(encoding="utf-8") == "old"
    assert save("case.yaml", replace=True)
    assert (folder / "case.yaml").read_text(encoding="utf-8") == TEXT


def test_a_name_that_begins_at_the_home_folder(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(folder))
    assert save("~/case.yaml")
    assert list(_all_files()) == ["case.yaml"]
    assert "there is no such home folder" in refusal("~nosuch/case.yaml")


def test_no_database_is_written_over_by_any_name(folder: Path) -> None:
    with sqlite3.connect(folder / "kept") as store:
        store.execute("PRAGMA journal_mode=WAL")
        store.execute("CREATE TABLE session (number INTEGER)")
        store.commit()
        (folder / "link").symlink_to("kept")
        os.link(folder / "kept", folder / "twin")
        for name in ("kept", "./kept", "link", "twin", "kept-wal", "kept-shm", "kept-journal"):
            assert "this is a store of sessions or another database" in refusal(name)
    store.close()


def test_nothing_is_written_into_the_folder_of_sessions_and_practice(folder: Path) -> None:
    own = folder / "own" / "tuneup-advisor"
    own.mkdir(parents=True)
    (own / "practice.jsonl").write_text("{}\n", encoding="utf-8")
    (folder / "way").symlink_to(own)
    for name in (own / "practice.jsonl", own / "new.yaml", "way/practice.jsonl"):
        assert "this folder keeps sessions and practice" in refusal(name)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("below", "below: this is a folder; write the name of a file"),
        (".", ".: this is a folder"),
        ("new/", "new/: this names a folder"),
        ("pipe", "pipe: this is a pipe or a device"),
        ("/dev/full", "/dev/full: this is a pipe or a device"),
        ("nowhere/case.yaml", "nowhere/case.yaml: cannot be written: no such file or directory"),
        ("plain/case.yaml", "plain/case.yaml: cannot be written: not a directory"),
        ("a\0b", "this is not a file name"),
        ("n" * 300, "cannot be written: file name too long"),
        ("n" * 5000, "n...: cannot be written: file name too long"),
        ("loop", "loop: cannot be written: too many levels of symbolic links"),
    ],
)
def test_what_cannot_be_written_is_one_clear_line(folder: Path, name: str, says: str) -> None:
    (folder / "below").mkdir()
    (folder / "plain").write_text("old", encoding="utf-8")
    (folder / "loop").symlink_to("loop")
    os.mkfifo(folder / "pipe")
    assert says in refusal(name)


def test_a_full_disk_leaves_the_old_file_and_nothing_else(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    (folder / "case.yaml").write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(AdvisorError, match=r"case\.yaml: cannot be written: no space left on device"):
        save("case.yaml", replace=True)
    assert _all_files() == {"case.yaml": b"old"}


def test_what_cannot_be_read_is_not_replaced(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It may be a store of somebody else."""

    def shut(*_: object, **__: object) -> None:
        msg = "unable to open database file"
        raise sqlite3.OperationalError(msg)

    (folder / "theirs").write_text("old", encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(sqlite3, "connect", shut)
        with pytest.raises(AdvisorError, match=r"theirs: is there already and cannot be read: unable to open"):
            save("theirs", replace=True)
    assert _all_files() == {"theirs": b"old"}


@pytest.mark.parametrize("end", ["", "-wal", "-shm"])
def test_a_look_at_the_own_store_leaves_its_locks_alone(folder: Path, end: str) -> None:
    """Else the next session that ends takes the log away under this one, and a kill then costs its answers."""
    path = folder / "s.sqlite"
    with closing(sqlite3.connect(path, isolation_level=None)) as own:
        own.execute("PRAGMA journal_mode=WAL")
        own.execute("CREATE TABLE entry (event)")
        with pytest.raises(AdvisorError, match="a store of sessions"):
            save(f"{path}{end}")
        _ran("own = sqlite3.connect(sys.argv[1]); own.execute('SELECT * FROM entry'); own.close()", path)
        own.execute("INSERT INTO entry VALUES (1)")
        assert _ran("print(*sqlite3.connect(sys.argv[1]).execute('SELECT * FROM entry'))", path) == "(1,)\n"


def _ran(code: str, path: Path) -> str:
    """Return what another process prints."""
    words = [sys.executable, "-c", f"import sqlite3, sys; {code}", str(path)]
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout
