"""A file that is written while it is read, or a pipe: what is new in it, again and again, without waiting for more."""

import os
import stat
import sys
from pathlib import Path

from advisor.errors import AdvisorError, Problem
from advisor.files import BINARY, NO_WAIT

STANDARD_INPUT = "-"
AT_ONCE = 1_000_000  # bytes
OLD_ENOUGH = 64_000  # bytes of a table that is there already: some minutes of it, and no more of it is of use
TRUNCATED = "The file was cut short: it is read from its beginning again."
REPLACED = "Another file has taken its place: that one is read now."
GONE = "The file is gone; what was typed and read is kept."


class Growing:
    """A plain file or a pipe that somebody writes. `news` says in a sentence what happened to it, once."""

    def __init__(self, path: Path) -> None:
        """Open it. Raises AdvisorError: it is not there, or it is a folder or a device."""
        self.path = path
        self.news = ""
        self.over = False  # a pipe whose writer has gone: nothing more comes
        self.begins_again = False  # what comes next begins with a header
        self._written, self._said_gone = False, False
        self._handle = self._opened()
        self.plain = stat.S_ISREG(os.fstat(self._handle).st_mode)

    def _opened(self) -> int:
        try:
            standard = str(self.path) == STANDARD_INPUT
            handle = sys.stdin.fileno() if standard else os.open(self.path, os.O_RDONLY | NO_WAIT | BINARY)
            kind = os.fstat(handle).st_mode
        except OSError as error:
            why = f"cannot be read: {(error.strerror or 'no access').lower()}"
            raise self._refused(why) from error
        except ValueError as error:  # a NUL in the name
            why = "this is not a file name"
            raise self._refused(why) from error
        if not (stat.S_ISREG(kind) or stat.S_ISFIFO(kind) or stat.S_ISSOCK(kind)):
            if not standard:
                os.close(handle)
            what = "a folder" if stat.S_ISDIR(kind) else "a terminal or a device"
            why = f"this is {what}; a CSV table that an instrument writes is needed, or a pipe"
            raise self._refused(why)
        if not stat.S_ISREG(kind):
            os.set_blocking(handle, False)
        return handle

    def _refused(self, why: str) -> AdvisorError:
        return AdvisorError([Problem(str(self.path), 0, why)])

    def more(self) -> bytes:
        """Return what is new, b'' if nothing is. Never waits, and raises nothing: a fault is said in `news`."""
        self.begins_again = False
        try:
            data = os.read(self._handle, AT_ONCE)
        except BlockingIOError:
            return b""
        except OSError as error:
            self.news, self.over = f"It cannot be read any more: {(error.strerror or 'no access').lower()}.", True
            return b""
        if data:
            self._written = True
            return data
        if self.plain:
            return self._from_the_start() if self._has_changed() else b""
        self.over = self.over or self._written or str(self.path) == STANDARD_INPUT
        return b""

    def to_the_end(self) -> bool:
        """Go on to the last of a long file; return whether anything was left out."""
        if not self.plain:
            return False
        end, here = os.fstat(self._handle).st_size, os.lseek(self._handle, 0, os.SEEK_CUR)
        if end - here <= OLD_ENOUGH:
            return False
        os.lseek(self._handle, end - OLD_ENOUGH, os.SEEK_SET)
        return True

    def close(self) -> None:
        """Close it."""
        if str(self.path) != STANDARD_INPUT:
            os.close(self._handle)

    def _has_changed(self) -> bool:
        """Whether another file stands there now, or this one was cut short."""
        if str(self.path) == STANDARD_INPUT:
            return False
        mine = os.fstat(self._handle)
        try:
            there = self.path.stat()
        except OSError:
            self.news = "" if self._said_gone else GONE
            self._said_gone = True
            return False
        if (there.st_dev, there.st_ino) != (mine.st_dev, mine.st_ino):
            try:
                handle = self._opened()
            except AdvisorError:  # as good as gone
                return False
            os.close(self._handle)
            self._handle, self._said_gone, self.news = handle, False, REPLACED
            return True
        if mine.st_size < os.lseek(self._handle, 0, os.SEEK_CUR):
            os.lseek(self._handle, 0, os.SEEK_SET)
            self.news = TRUNCATED
            return True
        return False

    def _from_the_start(self) -> bytes:
        self.begins_again = True
        try:
            return os.read(self._handle, AT_ONCE)
        except OSError:
            return b""
