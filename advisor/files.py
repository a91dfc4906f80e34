"""Files in and out: only plain files are read, and no more of them than is expected; a file is written whole or not."""

import contextlib
import errno
import io
import os
import stat
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

from advisor.errors import AdvisorError, Problem

NO_WAIT = getattr(os, "O_NONBLOCK", 0)  # a pipe without a writer would hold up the reader for ever
BINARY = getattr(os, "O_BINARY", 0)
MEGABYTE = 1_000_000


def read_plain(path: Path, most: int, needed: str) -> bytes:
    """Return the bytes of a plain file that holds at most `most` of them.

    Raises AdvisorError with one problem: it is not there, or it is a folder, a pipe or a device, or it is too large.
    `needed` says in one word or two what would be right, as in 'a CSV table is needed'.
    """
    with open_plain(path, needed) as stream:
        return _at_most(path, stream.read, most, needed)


@contextlib.contextmanager
def open_plain(path: Path, needed: str) -> Iterator[io.FileIO]:
    """Open a plain file to be read in pieces. Raises AdvisorError as `read_plain` does, also while it is read."""
    try:
        handle = os.open(path, os.O_RDONLY | NO_WAIT | BINARY)
    except OSError as error:
        raise _unreadable(path, error) from error
    except ValueError as error:  # a NUL in the name
        raise _refused(path, "this is not a file name") from error
    kind = os.fstat(handle).st_mode
    if not stat.S_ISREG(kind):
        os.close(handle)
        what = "a folder" if stat.S_ISDIR(kind) else "not a plain file but a pipe or a device"
        raise _refused(path, f"this is {what}; {needed} is needed")
    with io.FileIO(handle) as stream:
        try:
            yield stream
        except OSError as error:
            raise _unreadable(path, error) from error


def _unreadable(path: Path, error: OSError) -> AdvisorError:
    return _refused(path, f"cannot be read: {(error.strerror or 'no access').lower()}")


def _at_most(path: Path, read: Callable[[int], bytes], most: int, needed: str) -> bytes:
    """Return all that can be read. What a file says of its size is not believed: some say nothing and never end."""
    parts, left = [], most + 1
    while left > 0 and (part := read(min(left, 16 * MEGABYTE))):
        parts.append(part)
        left -= len(part)
    if left <= 0:
        raise _refused(path, f"is over {most // MEGABYTE} MB; {needed} is needed, or a part of it")
    return b"".join(parts)


def write_whole(path: Path, data: bytes, *, lasting: bool = True) -> None:
    """Write a file in one step: until it is done, an old one stays as it is. Raises OSError, also over a device.

    A `lasting` one is still there after a power cut. The draft lies in the same folder and is removed on failure.
    """
    path = path.resolve()  # a link is followed, not replaced
    if path.exists() and not path.is_file():
        raise OSError(errno.EEXIST, "not a plain file")
    draft = path.with_name(f".{os.getpid()}-{threading.get_ident()}.draft")  # unique to each writer
    try:
        with draft.open("wb") as stream:
            stream.write(data)
            if lasting:
                stream.flush()
                os.fsync(stream.fileno())
        draft.replace(path)
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)


def _refused(path: Path, text: str) -> AdvisorError:
    return AdvisorError([Problem(str(path), 0, text)])
