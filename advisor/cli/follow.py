"""`--follow`: readings from a table that an instrument writes, beside what is typed."""

import os
import select
import sys
import time
from pathlib import Path

from rich.console import Console

from advisor import interrupt
from advisor.cli.common import LONGEST, PROMPT, readable
from advisor.errors import AdvisorError
from advisor.intake.growing import STANDARD_INPUT
from advisor.intake.incoming import Incoming
from advisor.intake.live_table import Row
from advisor.session.dialogue import Dialogue
from advisor.session.following import Follower, Says, Taken
from advisor.session.place import ForAnswer
from advisor.show.live import live_line

TICK_S = 0.1  # s: how long it waits for a typed line before it looks for rows
PLAIN_S = 5.0  # s of the table between two lines, where none can be redrawn
NO_ROW = "no reading yet"
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
        self._incoming = Incoming(path)
        self._typed = Typed(terminal=str(path) == STANDARD_INPUT)
        self._follower: Follower | None = None
        self._plain_at: float | None = None

    def __call__(self, dialogue: Dialogue, screen: Console) -> str | None:
        """Return the next line; None where nothing more can come."""
        if self._follower is None:
            self._follower = Follower(dialogue.session.base)
        view, follower, incoming = _View(screen), self._follower, self._incoming
        view.begin(_drawn(follower, screen))
        while True:
            typed = self._typed.line(0.0 if incoming.came else TICK_S)
            if typed is not None:
                meant = _asks(dialogue) and (typed.strip() or dialogue.place.answers)  # else Enter shows the rest of it
                says = follower.typed(typed, dialogue.session.question) if meant else None
                view.typed()
                if says is None:
                    return typed
                view.say(says.whole)
                view.begin(_drawn(follower, screen))
            if (taken := self._rows(follower, dialogue, view)) is not None:
                view.say(f"→ {taken}")
                view.typed()
                return taken
            incoming.read()
            if self._typed.over and not incoming.came and incoming.ends:
                view.typed()
                return None
            view.now(_drawn(follower, screen))

    def close(self) -> None:
        """Close the table."""
        self._incoming.close()

    def _rows(self, follower: Follower, dialogue: Dialogue, view: "_View") -> str | None:
        """Go through what came, up to a reading that settled; return it."""
        while self._incoming.came:
            one = self._incoming.came.popleft()
            for said in follower.came(one, dialogue.session.question if _asks(dialogue) else None):
                match said:
                    case Says():
                        view.say(said.whole)
                    case Taken():
                        return said.line
            if isinstance(one, Row) and _asks(dialogue):
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
