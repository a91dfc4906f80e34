"""Writes what a session saves: whole or not at all, and never over what is not a case file."""

import stat
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.files import write_whole
from advisor.places import data_folder
from advisor.session.shown import SaveAs

SQLITE = b"SQLite format 3\0"  # the first bytes of every database; SQLite file format, section 1.3
BESIDE = ("-wal", "-shm", "-journal")  # files that belong to a database; same document, section 4
MOST_SHOWN = 60  # characters of a name that is too long


def saved(found: SaveAs) -> bool:
    """Write a session as a case file; return False, and write nothing, if a file is there that may be replaced.

    Raises AdvisorError when it cannot be written, or would destroy something else.
    """
    path = _path(found.name)
    there = _is_there(path)
    if data_folder().resolve() in path.resolve().parents:
        raise _refused(path, "this folder keeps sessions and practice; save it elsewhere")
    if there and not found.replace:
        return False
    try:
        write_whole(path, found.text.encode("utf-8"))
    except OSError as error:
        raise _refused(path, f"cannot be written: {(error.strerror or 'no access').lower()}") from error
    return True


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
    if _is_database(path) or any(path.name.endswith(one) and _is_database(_without(path, one)) for one in BESIDE):
        raise _refused(path, "this is a store of sessions or another database; write another name")
    return kind is not None


def _without(path: Path, end: str) -> Path:
    return path.with_name(path.name.removesuffix(end) or path.name)


def _is_database(path: Path) -> bool:
    """Whether a file is a database. Raises AdvisorError when that cannot be told."""
    if not path.is_file():
        return False
    try:
        with path.open("rb") as file:
            return file.read(len(SQLITE)) == SQLITE
    except OSError as error:
        msg = f"is there already and cannot be read: {(error.strerror or 'no access').lower()}; write another name"
        raise _refused(path, msg) from error


def _refused(path: Path | str, text: str) -> AdvisorError:
    name = str(path)
    return AdvisorError(f"{name if len(name) <= MOST_SHOWN * 4 else name[:MOST_SHOWN] + '...'}: {text}")
