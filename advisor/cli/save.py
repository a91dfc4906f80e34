"""Writes the files that a user asks for: whole or not at all, and never over a store, a folder or a device."""

import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import msgspec
from rich.console import Console

from advisor.cli.common import typed_line
from advisor.errors import AdvisorError
from advisor.files import write_whole
from advisor.places import data_folder
from advisor.session import choices
from advisor.session.shown import AskReplace, LeftAlone, SaveAs
from advisor.show.dialogue import drawn

BESIDE = ("-wal", "-shm", "-journal")  # files that belong to a database; SQLite file format, section 4
MOST_SHOWN = 60  # characters of a name that is too long


def saved(found: SaveAs) -> bool:
    """Write a session as a case file; return False, and write nothing, if a file is there that may be replaced.

    Raises AdvisorError when it cannot be written, or would destroy something else.
    """
    path, there = destination(found.name)
    if there and not found.replace:
        return False
    written(path, found.text)
    return True


def written_or_left(file: SaveAs, screen: Console) -> None:
    """Write a file; if one of that name is there, ask first. Raises AdvisorError when it cannot be written."""
    done = saved(file)
    while not done:
        screen.print(drawn(AskReplace(name=file.name)))
        try:
            replace = choices.replaces(typed_line() or "")
        except AdvisorError as error:
            screen.print(f"! {error}")
            continue
        if not replace:
            screen.print(drawn(LeftAlone(name=file.name)))
            return
        done = saved(msgspec.structs.replace(file, replace=True))
    screen.print(drawn(file))


def destination(name: str) -> tuple[Path, bool]:
    """Return the path of a file to write, and whether there is one already that may be replaced.

    Raises AdvisorError when the name is none, or writing there would destroy something else.
    """
    path = _path(name)
    there = _is_there(path)
    if data_folder().resolve() in path.resolve().parents:
        raise _refused(path, "this folder keeps sessions and practice; save it elsewhere")
    return path, there


def written(path: Path, text: str) -> None:
    """Write a file of this text in one step. Raises AdvisorError when it cannot be written."""
    try:
        write_whole(path, text.encode("utf-8"))
    except OSError as error:
        raise _refused(path, f"cannot be written: {(error.strerror or 'no access').lower()}") from error


def _path(name: str) -> Path:
    if name.endswith("/"):
        raise _refused(name, "this names a folder; write a file name after it")
    try:
        return Path(name).expanduser()
    except RuntimeError as error:
        raise _refused(name, "there is no such home folder; write the whole path") from error


def _is_there(path: Path) -> bool:
    """Whether a file is there that may be replaced. Raises AdvisorError when what is there must stay, or cannot be."""
    try:
        kind = path.stat().st_mode
    except FileNotFoundError:
        kind = None
    except OSError as error:
        raise _refused(path, f"cannot be written: {(error.strerror or 'no access').lower()}") from error
    except ValueError as error:  # a NUL in the name
        raise _refused(path, "this is not a file name") from error
    if kind is not None and not stat.S_ISREG(kind):
        what = "a folder" if stat.S_ISDIR(kind) else "a pipe or a device"
        raise _refused(path, f"this is {what}; write the name of a file")
    beside = any(path.name.endswith(one) and _is_database(_without(path, one)) for one in BESIDE)
    if beside or _is_database(path):  # in this order: the files beside a store hold locks of this process too
        raise _refused(path, "this is a store of sessions or another database; write another name")
    return kind is not None


def _without(path: Path, end: str) -> Path:
    return path.with_name(path.name.removesuffix(end) or path.name)


def _is_database(path: Path) -> bool:
    """Whether a file is a database. Raises AdvisorError when that cannot be told."""
    try:
        return path.is_file() and path.stat().st_size > 0 and _has_tables(path)
    except OSError as error:
        msg = f"is there already and cannot be read: {(error.strerror or 'no access').lower()}; write another name"
        raise _refused(path, msg) from error


def _has_tables(path: Path) -> bool:
    """Whether SQLite reads a file.

    It must not be opened otherwise: once it is closed again, the locks of this process on its own store would be gone
    (https://www.sqlite.org/howtocorrupt.html, section 2.2), and another session could remove the log under it.
    """
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as database:
            database.execute("PRAGMA schema_version")
    except sqlite3.OperationalError as error:
        raise OSError(None, str(error)) from error
    except sqlite3.DatabaseError as error:
        return error.sqlite_errorname != "SQLITE_NOTADB"
    return True


def _refused(path: Path | str, text: str) -> AdvisorError:
    name = str(path)
    return AdvisorError(f"{name if len(name) <= MOST_SHOWN * 4 else name[:MOST_SHOWN] + '...'}: {text}")
