"""A file that is written while it is read, or a pipe."""

import os
from pathlib import Path

import pytest

from advisor.errors import AdvisorError
from advisor.intake.growing import GONE, OLD_ENOUGH, REPLACED, TRUNCATED, Growing


def test_what_is_new_comes_once(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(b"one\n")
    at = Growing(log)
    assert (at.more(), at.more()) == (b"one\n", b"")
    with log.open("ab") as more:
        more.write(b"two")
    assert (at.more(), at.more(), at.news) == (b"two", b"", "")
    at.close()


def test_a_file_cut_short_or_replaced_is_read_from_its_beginning(tmp_path: Path) -> None:
    log, other = tmp_path / "log.csv", tmp_path / "other.csv"
    log.write_bytes(b"a long first text\n")
    at = Growing(log)
    at.more()
    log.write_bytes(b"new\n")
    assert at.more() == b"new\n"
    assert (at.news, at.begins_again) == (TRUNCATED, True)
    other.write_bytes(b"another file\n")
    other.replace(log)
    assert at.more() == b"another file\n"
    assert (at.news, at.begins_again) == (REPLACED, True)
    at.news = ""
    log.unlink()
    assert (at.more(), at.news) == (b"", GONE)
    at.news = ""
    assert (at.more(), at.news) == (b"", "")
    log.write_bytes(b"back\n")
    assert (at.more(), at.news) == (b"back\n", REPLACED)
    at.close()


def test_of_a_long_file_only_the_last_is_read(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(b"0123456789" * OLD_ENOUGH * 2)
    at = Growing(log)
    at.more()
    assert at.to_the_end()
    assert len(at.more()) == OLD_ENOUGH
    assert not at.to_the_end()
    at.close()


def test_a_pipe_waits_for_nobody_and_ends_with_its_writer(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    at = Growing(pipe)
    assert (at.more(), at.over) == (b"", False)
    writer = os.open(pipe, os.O_WRONLY)
    assert (at.more(), at.over) == (b"", False)
    os.write(writer, b"row\n")
    assert at.more() == b"row\n"
    os.close(writer)
    assert (at.more(), at.over) == (b"", True)
    at.close()


@pytest.mark.parametrize("name", ["", "missing.csv", "/dev/zero", "a\0b"])
def test_what_is_no_file_is_refused_in_one_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(AdvisorError) as refused:
        Growing(tmp_path / name)
    assert len(refused.value.problems) == 1
