"""What comes of a table while an instrument writes it: rows and news, in the order in which they came. Never waits."""

import time
from collections import deque
from collections.abc import Callable
from pathlib import Path

import msgspec

from advisor.errors import AdvisorError, with_typed
from advisor.intake.growing import Growing
from advisor.intake.live_table import LiveTable, Row

QUIET_S = 10.0  # s without a row, after which it is said
ENDS_S = 3.0  # s without a row, after which it ends where nothing more can be typed


class News(msgspec.Struct, frozen=True):
    """Something to say of the table, in a sentence; `typed` is what to type then, where lines are typed."""

    says: str
    typed: str = ""

    @property
    def whole(self) -> str:
        """Both."""
        return with_typed(self.says, self.typed)


class Begins(msgspec.Struct, frozen=True):
    """What comes after this is another recording."""


QUIET = News("No new rows: does the instrument still record?", "Typing works as before.")
OVER = News("The recording has ended.", "Type the rest, or 'stop': all is kept.")
FIRST_OLD = News("What was recorded before the last minutes is left out.")


class Incoming:
    """A table that grows. `came` is what was read and not yet taken from there."""

    def __init__(self, path: Path, clock: Callable[[], float] = time.monotonic) -> None:
        """Open the table and read its header, if it is there yet. Raises AdvisorError for one that is of no use."""
        self.came: deque[Row | News | Begins] = deque()
        self._growing = Growing(path)
        self._table = LiveTable(str(path))
        self._clock = clock
        self._last_row, self._said_quiet, self._said_over, self._refused = clock(), False, False, False
        self._take(self._growing.more())

    def read(self) -> None:
        """Read what is new in the table; a fault of it is news."""
        data = self._growing.more()
        if self._growing.begins_again:
            self._table.restart()
            self._refused = False
            self.came.append(Begins())
        if self._growing.news:
            self.came.append(News(self._growing.news))
            self._growing.news = ""
        if data:
            self._last_row, self._said_quiet = self._clock(), False
            try:
                self._take(data)
            except AdvisorError as error:
                if not self._refused:
                    self.came.extend(News(problem.text) for problem in error.problems)
                self._refused = True
        self._say_if_it_ends()

    @property
    def ends(self) -> bool:
        """Whether no more rows are to be expected: a pipe says so, a file only by being quiet."""
        return self._growing.over or (self._growing.plain and self._quiet_for > ENDS_S)

    def close(self) -> None:
        """Close the table."""
        self._growing.close()

    def _take(self, data: bytes) -> None:
        """Take what was written; of a long table that was there already, only the last. Raises AdvisorError."""
        had_header = self._table.has_header
        self.came.extend(News(one) if isinstance(one, str) else one for one in self._table.take(data))
        if not had_header and self._table.has_header and self._growing.to_the_end():
            self.came.clear()
            self.came.append(FIRST_OLD)
            self._table.skip()

    def _say_if_it_ends(self) -> None:
        if self._growing.over and not self._said_over:
            self._said_over = True
            self.came.append(OVER)
        elif self._quiet_for > QUIET_S and not (self._said_quiet or self._growing.over):
            self._said_quiet = True
            self.came.append(QUIET)

    @property
    def _quiet_for(self) -> float:
        return self._clock() - self._last_row
