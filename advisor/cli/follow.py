"""`--follow`: readings from a table that an instrument writes, beside what is typed."""

import os
import select
import sys
import time
from collections import deque
from pathlib import Path

from rich.console import Console

from advisor import interrupt
from advisor.cli.common import LONGEST, PROMPT, readable
from advisor.errors import AdvisorError
from advisor.intake.growing import STANDARD_INPUT, Growing
from advisor.intake.live_table import LiveTable, Row
from advisor.session.dialogue import Dialogue
from advisor.session.following import Follower, Says, Taken
from advisor.session.place import ForAnswer
from advisor.show.live import live_line

TICK_S = 0.1  # s: how long it waits for a typed line before it looks for rows
PLAIN_S = 5.0  # s of the table between two lines, where none can be redrawn
QUIET_S = 10.0  # s without a row, after which it is said
ENDS_S = 3.0  # s without a row, after which it ends where nothing more can be typed
QUIET = "No new rows: does the instrument still record? Typing works as before."
OVER = "The recording has ended. Type the rest, or 'stop': all is kept."
FIRST_OLD = "What was recorded before the last minutes is left out."
NO_ROW = "no reading yet"
BEGINS = "\0"  # among what came: what comes after it is another recording
ABOVE, CLEARED, BACK = "\x1b7\x1b[1A\r", "\x1b[K", "\x1b8"


class Typed:
    """Lines typed while something else goes on: at the terminal, or from a pipe or a file."""

    def __init__(self, *, terminal: bool) -> None:
        """Read standard input, or the `terminal` where that is taken for the readings; nothing if there is none."""
        handle = _terminal() if terminal else sys.stdin.fileno()
        self._handle = -1 if handle is None else handle
        self._rest = b""
        self.over = handle is None

    def line(self, wait: float) -> str | None:
        """Return a line if one is there within so many seconds; raises KeyboardInterrupt for a Ctrl-C meanwhile.

        Raises AdvisorError for a line that nobody types.
        """
        if b"\n" not in self._rest and not self.over:
            with interrupt.raised():
                there, _, _ = select.select([self._handle], [], [], wait)
                data = os.read(self._handle, LONGEST) if there else None
            self.over = data == b""
            self._rest += data or b""
        elif self.over:
            with interrupt.raised():
                time.sleep(wait)
        line, found, rest = self._rest.partition(b"\n")
        if found or (self.over and line):
            self._rest = rest
            return readable(line.decode("utf-8", "surrogateescape").rstrip("\r"))
        if len(self._rest) > LONGEST:
            self._rest = b""
            msg = f"a line of input is over {LONGEST:,} characters long; one answer a line is needed"
            raise AdvisorError(msg)
        return None


def _terminal() -> int | None:
    try:
        return os.open("/dev/tty", os.O_RDONLY)
    except OSError:
        return None


class Follow:
    """Waits for the next line of a session: what is typed, or a settled reading as it would be typed."""

    def __init__(self, path: Path) -> None:
        """Open the table and read its header, if it is there yet. Raises AdvisorError for one that is of no use."""
        self._growing = Growing(path)
        self._table = LiveTable(str(path))
        self._typed = Typed(terminal=str(path) == STANDARD_INPUT)
        self._follower: Follower | None = None
        self._came: deque[Row | str] = deque()
        self._last_row, self._said_quiet, self._said_over = time.monotonic(), False, False
        self._plain_at: float | None = None
        self._refused = False
        self._take(self._growing.more())

    def __call__(self, dialogue: Dialogue, screen: Console) -> str | None:
        """Return the next line; None where nothing more can come."""
        if self._follower is None:
            self._follower = Follower(dialogue.session.base)
        view, follower = _View(screen), self._follower
        view.begin(_drawn(follower, screen))
        while True:
            typed = self._typed.line(0.0 if self._came else TICK_S)
            if typed is not None:
                meant = _asks(dialogue) and (typed.strip() or dialogue.place.answers)  # else Enter shows the rest of it
                says = follower.typed(typed, dialogue.session.question) if meant else None
                view.typed()
                if says is None:
                    return typed
                view.say(says.says)
                view.begin(_drawn(follower, screen))
            if (taken := self._rows(follower, dialogue, view)) is not None:
                view.say(f"→ {taken}")
                view.typed()
                return taken
            self._read()
            if self._typed.over and not self._came and self._ends():
                view.typed()
                return None
            view.now(_drawn(follower, screen))

    def close(self) -> None:
        """Close the table."""
        self._growing.close()

    def _read(self) -> None:
        """Read what is new in the table; a fault is said like a row."""
        if self._came:
            return
        data = self._growing.more()
        if self._growing.begins_again:
            self._table.restart()
            self._refused = False
            self._came.append(BEGINS)
        if self._growing.news:
            self._came.append(self._growing.news)
            self._growing.news = ""
        if data:
            self._last_row, self._said_quiet = time.monotonic(), False
            try:
                self._take(data)
            except AdvisorError as error:
                if not self._refused:
                    self._came.extend(problem.text for problem in error.problems)
                self._refused = True
        self._say_if_it_ends()

    def _take(self, data: bytes) -> None:
        """Take what was written; of a long table that was there already, only the last. Raises AdvisorError."""
        had_header = self._table.has_header
        self._came.extend(self._table.take(data))
        if not had_header and self._table.has_header and self._growing.to_the_end():
            self._came.clear()
            self._came.append(FIRST_OLD)
            self._table.skip()

    def _say_if_it_ends(self) -> None:
        if self._growing.over and not self._said_over:
            self._said_over = True
            self._came.append(OVER)
        elif self._quiet_for() > QUIET_S and not (self._said_quiet or self._growing.over):
            self._said_quiet = True
            self._came.append(QUIET)

    def _ends(self) -> bool:
        """Whether no more rows are to be expected: a pipe says so, a file only by being quiet."""
        return self._growing.over or (self._growing.plain and self._quiet_for() > ENDS_S)

    def _quiet_for(self) -> float:
        return time.monotonic() - self._last_row

    def _rows(self, follower: Follower, dialogue: Dialogue, view: "_View") -> str | None:
        """Go through the rows that came, up to a reading that they settle; return it."""
        while self._came:
            one = self._came.popleft()
            if isinstance(one, str):
                if one == BEGINS:
                    follower.begins_again()
                else:
                    view.say(one)
                continue
            if not _asks(dialogue):
                follower.last = one
                continue
            for said in follower.take(one, dialogue.session.question):
                match said:
                    case Says():
                        view.say(said.says)
                    case Taken():
                        return said.line
            self._plain(one, follower.state, view)
        return None

    def _plain(self, row: Row, state: str, view: "_View") -> None:
        """Say a row now and then, where no line can be redrawn."""
        if not view.redraws and (self._plain_at is None or not 0 <= row.time - self._plain_at < PLAIN_S):
            self._plain_at = row.time
            view.say(live_line(row, state, view.wide))


def _drawn(follower: Follower, screen: Console) -> str:
    row = follower.last
    return live_line(row, follower.state, screen.width) if row is not None else NO_ROW


def _asks(dialogue: Dialogue) -> bool:
    """Whether the session waits for an answer to its question, and for nothing else."""
    return isinstance(dialogue.place.asks, ForAnswer)


class _View:
    """The live line above the prompt, redrawn in place on a terminal; elsewhere plain lines only."""

    def __init__(self, screen: Console) -> None:
        self.screen, self.wide = screen, screen.width
        self.redraws = sys.stdout.isatty() and os.environ.get("TERM", "") not in {"", "dumb"}
        self._line = ""

    def begin(self, line: str) -> None:
        """Draw the line, and the prompt below it."""
        if self.redraws:
            self._line = line
            self._write(f"{line}\n{PROMPT}")

    def now(self, line: str) -> None:
        """Draw the line as it is now; what is being typed stays."""
        if self.redraws and line != self._line:
            self._line = line
            self._write(f"{ABOVE}{line}{CLEARED}{BACK}")

    def say(self, text: str) -> None:
        """Say something on a line of its own, above the live one."""
        if self.redraws and self._line:
            self._write(f"\r{CLEARED}\x1b[1A{CLEARED}")
        self.screen.print(text if text.startswith(("→", " ")) or not self.redraws else f"  {text}", markup=False)
        if self.redraws and self._line:
            self._write(f"{self._line}\n{PROMPT}")

    def typed(self) -> None:
        """Leave the line as it is, for what comes next stands below it."""
        self._line = ""

    def _write(self, text: str) -> None:
        self.screen.file.write(text)
        self.screen.file.flush()
