"""Only plain files are read, and no more than is expected; a file is written whole or not at all."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.errors import AdvisorError
from advisor.files import read_plain, write_whole


def refusal(path: Path, most: int = 1_000_000) -> str:
    started = time.perf_counter()
    with pytest.raises(AdvisorError) as caught:
        read_plain(path, most, "a CSV table")
    assert time.perf_counter() - started < 1
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    return problem.text


def test_a_plain_file_is_read_to_its_last_byte(tmp_path: Path) -> None:
    data = os.urandom(40_000)
    (tmp_path / "log").write_bytes(data)
    assert read_plain(tmp_path / "log", len(data), "a log") == data


def test_a_file_of_one_byte_too_many_is_refused_with_the_limit(tmp_path: Path) -> None:
    (tmp_path / "log").write_bytes(b"x" * 2_000_001)
    assert refusal(tmp_path / "log", 2_000_000) == "is over 2 MB; a CSV table is needed, or a part of it"


def test_what_is_no_plain_file_is_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert refusal(tmp_path) == "this is a folder; a CSV table is needed"
    for path in (tmp_path / "pipe", Path("/dev/zero"), Path("/dev/null")):
        assert refusal(path) == "this is not a plain file but a pipe or a device; a CSV table is needed"


def test_a_file_that_says_it_is_empty_is_not_believed() -> None:
    """The files of /proc say that they hold 0 bytes (proc(5))."""
    assert read_plain(Path("/proc/self/status"), 1_000_000, "a log").startswith(b"Name:")


def test_a_missing_file_and_a_name_that_is_none_are_said(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none") == "cannot be read: no such file or directory"
    assert refusal(Path("a\0b")) == "this is not a file name"
    assert refusal(tmp_path / ("n" * 300)) == "cannot be read: file name too long"


def test_a_file_is_replaced_in_one_step_and_leaves_no_draft(tmp_path: Path) -> None:
    place = tmp_path / "sheet"
    for data in (b"first", b"second"):
        write_whole(place, data)
        assert place.read_bytes() == data
    assert [one.name for one in tmp_path.iterdir()] == ["sheet"]


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_bytes(b"old")
    (tmp_path / "link").symlink_to("real")
    write_whole(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"


@pytest.mark.parametrize("fails", ["fsync", "replace"])
def test_a_write_that_fails_leaves_the_old_file_and_no_draft(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    (tmp_path / "sheet").write_bytes(b"old")
    where: Callable[..., None] = full
    monkeypatch.setattr(os if fails == "fsync" else Path, fails, where)
    with pytest.raises(OSError, match="No space left"):
        write_whole(tmp_path / "sheet", b"new")
    assert (tmp_path / "sheet").read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["sheet"]


def test_a_pipe_or_a_folder_is_not_replaced(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", tmp_path, Path("/dev/null")):
        with pytest.raises(OSError, match="not a plain file"):
            write_whole(path, b"new")
    assert (tmp_path / "pipe").is_fifo()
