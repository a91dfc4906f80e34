"""The table from which a balance on the pages takes its readings: one file, named where the server was started.

A thread reads it as it grows. One session at a time follows it, for there is one instrument: the last for which
somebody asked. What settles is taken at the turn of the browser that looks, as if it had been typed there; so what came
is gone through whenever its page, or what moves on it, is asked for.
"""

import threading
import time
from collections import deque
from pathlib import Path

import msgspec

from advisor.intake.incoming import Begins, Incoming, News
from advisor.intake.live_table import Row
from advisor.session.following import Follower, Says, Taken, waits
from advisor.session.next_question import Question
from advisor.session.place import ForAnswer
from advisor.web.desk import Desk
from advisor.web.people import Browser

EVERY_S = 0.2  # s between two readings of the file
KEPT_S = 60.0  # s: what nobody looked at for longer tells nothing of now
MOST_SAID = 4


class Came(msgspec.Struct, frozen=True):
    """One thing that came of the table: its number, when it came (s of a clock that never jumps), and what it is."""

    number: int
    at: float
    what: Row | News | Begins


class Live(msgspec.Struct, frozen=True, kw_only=True):
    """What moves on a page: the newest row, how it stands, and what was said of it, the newest last.

    `held`: nothing is taken before somebody says that he has looked. `turns`: a turn is asked for; `checks`: something
    else is to be done first.
    """

    table: str
    row: Row | None
    state: str
    said: tuple[str, ...]
    held: bool
    turns: bool
    checks: bool
    turn: str

    @property
    def page(self) -> str:
        """What a page that shows this must have been made for; with another it is loaded again."""
        return f"{self.turn}{' held' if self.held else ''}"


class Followed:
    """A table that grows, and the session that follows it. Several threads may ask."""

    def __init__(self, path: Path, desk: Desk) -> None:
        """Open the table. Raises AdvisorError for one that is of no use."""
        self.name = "standard input" if str(path) == "-" else path.name
        self.desk = desk
        self.session = 0  # which follows; 0: none
        self._incoming = Incoming(path)
        self._came: deque[Came] = deque()
        self._number, self._seen = 0, 0
        self._follower = Follower(desk.advisor.base)
        self._said: deque[str] = deque(maxlen=MOST_SAID)
        self._lock, self._reading, self._over = threading.RLock(), threading.Lock(), threading.Event()
        self._thread = threading.Thread(target=self._read_on, daemon=True)

    def start(self) -> None:
        """Read on from now."""
        self._thread.start()

    def close(self) -> None:
        """End the thread, and close the table."""
        self._over.set()
        if self._thread.is_alive():
            self._thread.join()
        self._incoming.close()

    def read(self) -> None:
        """Read what is new, and let go of what is old."""
        self._incoming.read()
        now = time.monotonic()
        with self._reading:
            while self._incoming.came:
                self._number += 1
                self._came.append(Came(self._number, now, self._incoming.came.popleft()))
            while self._came and now - self._came[0].at > KEPT_S:
                self._came.popleft()

    def follow(self, number: int) -> None:
        """Let a session take its readings from here, from now on, and no other."""
        with self._lock:
            self.session = number
            self._follower = Follower(self.desk.advisor.base)
            self._said.clear()
            with self._reading:
                rows = [one.what for one in self._came if isinstance(one.what, Row)]
                self._seen = self._number
            self._follower.last = rows[-1] if rows else None

    def stop(self, number: int) -> None:
        """Let a session take nothing from here any more."""
        with self._lock:
            if self.session == number:
                self.session = 0

    def done(self, number: int, browser: Browser) -> None:
        """Take the word of somebody that the screw is turned, or that he has looked at the hoses."""
        with self._lock:
            turn = self.look(number, browser)
            question = self._question(number, browser)
            if turn is not None and question is not None:
                found = self._follower.typed("", question)
                if found is not None:
                    self._said.append(found.says)

    def look(self, number: int, browser: Browser) -> Live | None:
        """Go through what came for a session, and return what moves on its page; None if it follows nothing.

        A reading that has settled is taken at the turn of this browser. Raises AdvisorError.
        """
        with self._lock:
            if self.session != number:
                return None
            question = self._question(number, browser)
            for one in self._new():
                if self._taken(one.what, question, number, browser):
                    question = self._question(number, browser)
            return Live(
                table=self.name,
                row=self._follower.last,
                state=self._follower.state,
                said=tuple(self._said),
                held=self._follower.held,
                turns=bool(question and question.turns),
                checks=bool(question and waits(question) and not question.turns),
                turn=self.desk.turn(number, browser).id,
            )

    def _new(self) -> list[Came]:
        """Return what came since the last look; where that was too long ago, as another recording."""
        with self._reading:
            found = [one for one in self._came if one.number > self._seen]
            missed = self._number - self._seen > len(found)
            self._seen = self._number
        if missed:
            self._follower.begins_again()
        return found

    def _taken(self, what: Row | News | Begins, question: Question | None, number: int, browser: Browser) -> bool:
        """Go through one thing that came; return whether a reading was taken of it."""
        says = []
        for said in self._follower.came(what, question):
            match said:
                case Says():
                    says.append(said.says)
                case Taken():
                    self.desk.take(number, browser, self.desk.turn(number, browser).id, said.line)
                    self._said = deque([*says, *self._as_kept(number)], MOST_SAID)
                    return True
        self._said.extend(says)
        return False

    def _as_kept(self, number: int) -> list[str]:
        """Return the last of a session in words."""
        session = self.desk.session(number)
        return list(session.in_words(session.journal.events[-1]))

    def _question(self, number: int, browser: Browser) -> Question | None:
        """Return what a session asks this browser; None where it waits for something else."""
        waits = isinstance(self.desk.turn(number, browser).place.asks, ForAnswer)
        return self.desk.session(number).question if waits else None

    def _read_on(self) -> None:
        while not self._over.wait(EVERY_S):
            self.read()
