"""The practice rounds on the pages: what each apprentice has before him of a bike, and his lines taken one at a time.

A form carries how many steps were done when its page was shown. A line is taken only while that is still so; a double
click is one line. What is half-way is brought back from where practice keeps it, so a restart of the server costs no
step; what the last line brought is shown once more only while the server runs.
"""

import threading
from collections import OrderedDict
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from advisor.diagnose import Advisor
from advisor.lazy import lazy

if TYPE_CHECKING:
    from advisor.practice import dialogue, keeper, replies
    from advisor.practice.levels import BikeId
else:  # numpy comes with them, and a server starts without
    dialogue = lazy("advisor.practice.dialogue")
    keeper = lazy("advisor.practice.keeper")
    replies = lazy("advisor.practice.replies")

MOST_ROUNDS = 200  # kept, some 200 kB each
TOO_OLD = "that page was older than what has been done since, so nothing was done; look at what it says now"


class RoundShown(msgspec.Struct, frozen=True, kw_only=True):
    """A round as a page shows it: its talk, what the last line brought, and how many steps were done."""

    talk: "dialogue.Talk"
    said: tuple["replies.Reply", ...]
    steps: int


class _AtBike:
    """A round with what its last line brought. One line at a time is taken."""

    def __init__(self, talk: "dialogue.Talk") -> None:
        self.talk = talk
        self.lock = threading.RLock()
        self.said: tuple[replies.Reply, ...] = ()
        self.last: tuple[int, str] | None = None  # the last line, and how many steps were done then

    @property
    def steps(self) -> int:
        """How many steps were done."""
        return len(self.talk.round.steps)

    def shown(self) -> RoundShown:
        """Return it as a page shows it."""
        return RoundShown(talk=self.talk, said=self.said, steps=self.steps)


class Rounds:
    """All rounds of a server, by where each is kept (None: beside the sessions) and its bike."""

    def __init__(self, advisor: Advisor) -> None:
        self.advisor = advisor
        self._lock, self._reviewing = threading.RLock(), threading.Lock()
        self._rounds: OrderedDict[tuple[Path | None, BikeId], _AtBike] = OrderedDict()

    def at(self, where: Path | None, bike: "BikeId") -> RoundShown:
        """Return how a round stands. Raises AdvisorError, CannotGoOnError among it."""
        found = self._found(where, bike)
        with found.lock:
            return found.shown()

    def anew(self, where: Path | None, bike: "BikeId") -> None:
        """Begin a bike from the start; what was kept of it goes with the first step."""
        self._keep(where, bike, dialogue.begin(self.advisor, bike.seed, bike.level, bike.area, where))

    def take(self, where: Path | None, bike: "BikeId", steps: int, line: str) -> RoundShown:
        """Take a line from a page that was shown after so many steps. Raises AdvisorError."""
        found = self._found(where, bike)
        with found.lock:
            if found.last != (steps, line):  # else a double click, or the page loaded again
                found.said = tuple(self._said(found, steps, line))
                found.last = (steps, line)
            if found.talk.left:
                with self._lock:
                    self._rounds.pop((where, bike), None)
            return found.shown()

    def review(self, now: RoundShown) -> "list[replies.Reply]":
        """Return how a round went. One at a time is worked out: it takes seconds of the server's own processor."""
        with self._reviewing:
            return now.talk.review()

    def _said(self, found: _AtBike, steps: int, line: str) -> "Sequence[replies.Reply]":
        return found.talk.take(line) if steps == found.steps else [replies.Mistake(text=TOO_OLD)]

    def _found(self, where: Path | None, bike: "BikeId") -> _AtBike:
        with self._lock:
            found = self._rounds.get((where, bike))
            if found is not None:
                self._rounds.move_to_end((where, bike))
                return found
            half_way = keeper.half_way_path(bike, where).exists()
            talk = (
                dialogue.resume(self.advisor, bike, where)
                if half_way
                else dialogue.begin(self.advisor, bike.seed, bike.level, bike.area, where)
            )
            return self._keep(where, bike, talk)

    def _keep(self, where: Path | None, bike: "BikeId", talk: "dialogue.Talk") -> _AtBike:
        with self._lock:
            found = self._rounds[where, bike] = _AtBike(talk)
            while len(self._rounds) > MOST_ROUNDS:
                self._rounds.popitem(last=False)
            return found
