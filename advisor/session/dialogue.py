"""A session as a dialogue: one line in, a list of records to show out. It prints nothing and reads nothing.

A dialogue opens in this order: what is wrong; who is there with which tools; what the words may mean, dangers first;
the main troubles, if nothing was understood; the first question.

All that a dialogue knows is in the session's journal and in its own `place`. A web page can therefore make a new one
for each request: `Dialogue(advisor, Journal(store, number, store.events(number)), place).take(line)`. Once it has
shown a `Trouble`, the journal is in memory only, and the page must hold on to the dialogue itself.
"""

import threading
from collections.abc import Callable, Iterator

from advisor.case import Bike
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session import shown, who_is_there
from advisor.session.balance_needs import refuse_without
from advisor.session.ending import end
from advisor.session.events import BALANCE
from advisor.session.hearing import Hearing
from advisor.session.place import (
    AGAIN,
    OPENING,
    ForReplace,
    ForWords,
    Over,
    Place,
    Step,
    Understand,
    WhoIsThere,
)
from advisor.session.prompts import ended, goes_on, other_rules
from advisor.session.session import Session
from advisor.session.shown import Shown
from advisor.session.store import Journal
from advisor.session.taken import replaced, taken
from advisor.session.talk import Talk
from advisor.session.typed_line import typed
from advisor.session.went_over import LED_KINDS


class Dialogue:
    """One session, line by line. Threads may share a dialogue: it takes one line at a time."""

    def __init__(
        self, advisor: Advisor, journal: Journal, place: Place | None = None, hearing: Hearing | None = None
    ) -> None:
        """Stand where `place` says, or before the beginning. Dialogues on one rule base may share a `hearing`."""
        self._talk = Talk(Session(advisor, journal, hearing), place or Place())
        self._lock = threading.RLock()

    @property
    def session(self) -> Session:
        """The session itself."""
        return self._talk.session

    @property
    def place(self) -> Place:
        """Where the dialogue stands: with the journal it is all that must be kept to go on elsewhere."""
        return self._talk.place

    @property
    def over(self) -> bool:
        """Whether it waits for nothing more."""
        return isinstance(self.place.asks, Over)

    def begin(
        self, kind: str, sentence: str = "", bike: Bike | None = None, rules: tuple[str, ...] = ()
    ) -> list[Shown]:
        """Begin a session of a kind and return what to show, up to the first thing asked.

        Raises AdvisorError where the rules lack what a balance needs.

        `rules` are the folders of a shop's own pages, as whole paths: they are kept, to be named when it goes on.
        """
        return self._done(lambda: self._begin(sentence, ForWords(kind=kind, bike=bike, rules=rules)))

    def resume(self, sentence: str = "", bike: Bike | None = None, rules: tuple[str, ...] = ()) -> list[Shown]:
        """Go on with the session in the journal, from where it ended; a `sentence` tells more. `rules` as above.

        Raises AdvisorError when the session cannot be ranked by this rule base.
        """
        return self._done(lambda: self._resume(sentence, bike, rules))

    def take(self, line: str | None) -> list[Shown]:
        """Take one line and return what to show, up to the next thing asked. None means that the input has ended."""
        return self._done(lambda: self._take(line))

    def asked(self) -> list[Shown]:
        """Return what is asked now, in full: for a page that is loaded again."""
        with self._lock:
            return list(self._talk.asked())

    def there_already(self, name: str, wish: str = "save") -> list[Shown]:
        """Ask whether what was wished (save, record, sheet, report) is to replace the file; return what to show."""
        with self._lock:
            self._talk.now(asks=ForReplace(name=name, wish=wish))
            return list(self._talk.prompt())

    def broken_off(self) -> Shown:
        """Return what to show if it is left here, as by Ctrl-C."""
        return ended(self.session)

    def _done(self, talk: Callable[[], Iterator[Shown]]) -> list[Shown]:
        with self._lock:
            return list(talk())

    def _begin(self, sentence: str, asks: ForWords) -> Iterator[Shown]:
        self._talk.place = Place(asks=asks)
        if asks.kind == BALANCE:
            refuse_without(self.session.base)
        yield from self._talk.trouble()
        if self.session.journal.store is not None:
            yield shown.Begins(session=self.session.journal.session, kind=asks.kind)
        if sentence:
            yield from self._take(sentence)
        elif asks.kind in LED_KINDS:  # what is to be done is known
            self.session.begin(asks.kind, "", bike=asks.bike, rules=asks.rules)
            yield from self._talk.go_on()
        else:
            yield from self._talk.prompt()

    def _resume(self, sentence: str, bike: Bike | None, rules: tuple[str, ...]) -> Iterator[Shown]:
        self._talk.place = Place()
        sentence = typed(sentence)
        yield from self._talk.trouble()
        complaint = self.session.state.case.complaint
        yield goes_on(self.session)
        yield from other_rules(self.session, rules)
        if bike is not None:
            self.session.of_bike(bike)
        missed: list[Step] = []
        led = self.session.state.kind in LED_KINDS
        if not (led or who_is_there.is_known(self.session)):
            missed.append(WhoIsThere())
        if not (led or self.session.state.undoable):
            missed.append(Understand(words=complaint, told=AGAIN))
        yield from self._talk.go_on(*missed, Understand(words=sentence, told=OPENING))

    def _take(self, line: str | None) -> Iterator[Shown]:
        if self.over or line is None:
            yield from self._cut_off()
            return
        try:
            yield from taken(typed(line), self._talk)
        except AdvisorError as error:
            for problem in error.problems:
                yield shown.Mistake(says=problem.text, typed=problem.typed)
            yield from self._talk.prompt()

    def _cut_off(self) -> Iterator[Shown]:
        """End where there is no more input, or say once more how it ended."""
        match self.place.asks:
            case Over():
                yield ended(self.session)
            case ForReplace() as asks:
                yield from replaced(asks, "stop", self._talk)
            case _:
                yield from end(self._talk)
