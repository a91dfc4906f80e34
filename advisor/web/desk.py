"""The sessions on the pages: where each browser stands in each, and its lines taken one at a time.

A page shows one turn: what the dialogue has said, and the place where it waits. Its forms carry the turn and the number
of events then. A line is taken only if nothing was added since and the turn got no line yet; so no answer is taken
twice, and none goes to a question that its sender has not seen.
"""

import threading
from collections import OrderedDict
from collections.abc import Sequence
from typing import TypeVar

import msgspec

from advisor.case import Bike
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.dialogue import Dialogue
from advisor.session.events import BENCH, PHONE, Event
from advisor.session.hearing import Hearing
from advisor.session.place import Place
from advisor.session.prompts import question_shown
from advisor.session.schema import StoreError
from advisor.session.session import Session
from advisor.session.shown import (
    AskNumbers,
    AskReplace,
    AskTool,
    AskToolRoll,
    AskTools,
    AskWho,
    AskWords,
    Ended,
    GoesOn,
    QuestionShown,
    Shown,
    ToolsListed,
    Trouble,
    Troubles,
    Understood,
)
from advisor.session.store import Journal, Store, resumed, taken_over
from advisor.session.typed_line import typed
from advisor.web.people import Browser, new_browser

MOST_TURNS = 1000  # kept, some 20 kB each
LOCKS = 64  # sessions share them
MOST_BEGUN = 500  # start forms remembered, so that a double click begins one session
ASKING = (
    *(AskNumbers, AskReplace, AskTool, AskToolRoll, AskTools, AskWho, AskWords, Ended, QuestionShown, ToolsListed),
    *(Troubles, Understood),
)  # what stands for what a dialogue waits for: it is asked for in full
K = TypeVar("K")
V = TypeVar("V")
SAY_FIRST = "say first what is wrong, in your own words; for the balance or a tune-up no words are needed"
SOMEBODY, ANSWERED, RESTARTED = "somebody else", "answered", "restarted"  # why a line was not taken


class NotTaken(msgspec.Struct, frozen=True, kw_only=True):
    """A line that was not taken, why, and what came meanwhile, in words. `typed`: it was not the text of a button."""

    line: str
    why: str
    typed: bool
    meanwhile: tuple[str, ...] = ()


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """What one browser has before it of one session: after so many events (`seen`), with what its dialogue showed.

    `asks` is what the dialogue waits for, with all that stands above it. `heard` are the cautions that stood in full on
    an earlier page. `stuck`: the store failed, and the session goes on in memory.
    """

    id: str
    browser: str
    session: int
    seen: int
    place: Place
    shown: tuple[Shown, ...]
    asks: tuple[Shown, ...]
    heard: tuple[str, ...] = ()
    not_taken: NotTaken | None = None
    stuck: bool = False


class Desk:
    """All sessions of a store as pages. Several threads may ask; a session takes one line at a time."""

    def __init__(self, advisor: Advisor, store: Store, rules: tuple[str, ...] = (), bike: Bike | None = None) -> None:
        """Sessions begun here are on this `bike`; `rules` are the folders of a shop's own pages."""
        self.advisor = advisor
        self.store = store
        self.rules = rules
        self.bike = bike
        self.hearing = Hearing(advisor.base)
        self._locks = [threading.RLock() for _ in range(LOCKS)]
        self._lock = threading.Lock()  # of what follows
        self._turns: OrderedDict[str, Turn] = OrderedDict()
        self._last: OrderedDict[tuple[str, int], str] = OrderedDict()
        self._lines: OrderedDict[str, str] = OrderedDict()  # of turns that got one
        self._begun: OrderedDict[tuple[str, str], int] = OrderedDict()  # by browser and form
        self._in_memory: dict[int, Dialogue] = {}

    def begin(self, kind: str, sentence: str, browser: Browser, form: str) -> int:
        """Begin a session of a kind and return its number; one form of a browser begins one. Raises AdvisorError."""
        sentence = typed(" ".join(sentence.split()))
        if kind in {BENCH, PHONE} and not sentence:
            raise AdvisorError(SAY_FIRST)
        key = browser.name, form
        with self._locks[hash(key) % LOCKS]:
            if key in self._begun:
                return self._begun[key]
            journal = self._new_journal()
            dialogue = Dialogue(self.advisor, journal, hearing=self.hearing)
            shown = dialogue.begin(kind, sentence, self.bike, self.rules)
            if journal.trouble:  # its number was kept, and nothing more
                self._in_memory[journal.session] = dialogue
            self._keep(dialogue, browser, shown, ())
            with self._lock:
                _put(self._begun, key, journal.session, MOST_BEGUN)
            return journal.session

    def _new_journal(self) -> Journal:
        try:
            return Journal(self.store, self.store.begin())
        except StoreError as error:
            msg = f"{error}; nothing was begun"
            raise AdvisorError(msg) from error

    def before_damage(self, events: Sequence[Event]) -> int:
        """Begin a session with these events of one that is damaged after them, and return its number."""
        journal = taken_over(self.store, events)
        if journal.trouble:
            raise AdvisorError(journal.trouble)
        return journal.session

    def session(self, number: int) -> Session:
        """Return a session as it stands, to look at. Raises AdvisorError."""
        held = self._in_memory.get(number)
        return held.session if held else Session(self.advisor, self._journal(number), self.hearing)

    def turn(self, number: int, browser: Browser) -> Turn:
        """Return what a browser has before it of a session. Raises AdvisorError."""
        with self._locks[number % LOCKS]:
            last = self._newest(browser, number)
            journal = self._journal(number)
            if last is not None and last.seen == len(journal.events):
                return last
            dialogue = self._in_memory.get(number) or Dialogue(self.advisor, journal, hearing=self.hearing)
            shown = dialogue.resume(rules=self.rules)
            if last is not None:  # it was before this browser already
                shown = [one for one in shown if not isinstance(one, GoesOn)]
            return self._keep(dialogue, browser, shown, last.heard if last else ())

    def has(self, number: int) -> bool:
        """Whether there is a session of this number. Raises StoreError."""
        return number in self._in_memory or bool(self.store.rows(number))

    def many(self, number: int) -> int:
        """Return how many events a session has. Raises StoreError."""
        held = self._in_memory.get(number)
        return len(held.session.journal.events) if held else len(self.store.rows(number))

    def turn_of(self, turn_id: str, browser: Browser, number: int) -> Turn | None:
        """Return a turn that a form carries; None if it is not known any more, or another browser's."""
        with self._lock:
            found = self._turns.get(turn_id)
        return found if found and (found.browser, found.session) == (browser.name, number) else None

    def again(self, number: int, browser: Browser) -> None:
        """Let a browser come to a session as to one that it has not seen."""
        with self._lock:
            self._last.pop((browser.name, number), None)

    def take(self, number: int, browser: Browser, turn_id: str, line: str, *, pressed: bool = False) -> Turn:
        """Take a line at a turn, and return the next; if it cannot be taken there, that says why.

        `pressed`: it is what stands on a button, not typed; then no list of something else is meant. Raises
        AdvisorError.
        """
        with self._locks[number % LOCKS]:
            turn, journal = self.turn_of(turn_id, browser, number), self._journal(number)
            if turn is not None and self._lines.get(turn.id) == line:  # a double click, or the page loaded again
                return self.turn(number, browser)
            why = self._why_not(turn, journal)
            found = self._take(turn, journal, browser, line, pressed=pressed) if turn is not None and not why else None
            if found is not None:
                return found
            not_taken = NotTaken(line=line, why=why or SOMEBODY, typed=not pressed, meanwhile=self._since(turn))
            return self._refused(number, browser, not_taken)

    def _why_not(self, turn: Turn | None, journal: Journal) -> str:
        """Return why no line is taken at a turn any more; '' if one is."""
        if turn is None:
            return RESTARTED
        if turn.id in self._lines:
            return ANSWERED
        return SOMEBODY if turn.seen != len(journal.events) else ""

    def _take(self, turn: Turn, journal: Journal, browser: Browser, line: str, *, pressed: bool) -> Turn | None:
        """Take a line and return the next turn; None if another process has added to the session just then."""
        place = msgspec.structs.replace(turn.place, covered=False) if pressed else turn.place
        dialogue = self._in_memory.get(turn.session) or Dialogue(self.advisor, journal, place, self.hearing)
        shown = dialogue.take(line)
        if journal.trouble and turn.session not in self._in_memory:
            if self._went_on_elsewhere(turn):
                return None
            self._in_memory[turn.session] = dialogue
        with self._lock:
            _put(self._lines, turn.id, line, MOST_TURNS)
        return self._keep(dialogue, browser, shown, (*turn.heard, *_in_full(turn)))

    def _went_on_elsewhere(self, turn: Turn) -> bool:
        """Whether the store refused an event because another process has added one in its place."""
        try:
            return len(self.store.events(turn.session)) > turn.seen
        except AdvisorError:
            return False

    def _since(self, turn: Turn | None) -> tuple[str, ...]:
        """Return what came to a session since a turn, in words."""
        if turn is None:
            return ()
        session = self.session(turn.session)
        return tuple(line for event in session.journal.events[turn.seen :] for line in session.in_words(event))

    def _refused(self, number: int, browser: Browser, not_taken: NotTaken) -> Turn:
        now = self.turn(number, browser)
        told = msgspec.structs.replace(now, not_taken=not_taken)
        with self._lock:
            self._turns[told.id] = told
        return told

    def _journal(self, number: int) -> Journal:
        held = self._in_memory.get(number)
        return held.session.journal if held else resumed(self.store, "", number)

    def _newest(self, browser: Browser, number: int) -> Turn | None:
        with self._lock:
            return self._turns.get(self._last.get((browser.name, number), ""))

    def _keep(self, dialogue: Dialogue, browser: Browser, shown: Sequence[Shown], heard: Sequence[str]) -> Turn:
        journal = dialogue.session.journal
        turn = Turn(
            id=new_browser().secret,
            browser=browser.name,
            session=journal.session,
            seen=len(journal.events),
            place=dialogue.place,
            shown=tuple(one for one in shown if not isinstance(one, ASKING)),
            asks=tuple(_as_heard(one, dialogue.session, heard) for one in dialogue.asked()),
            heard=tuple(dict.fromkeys(heard)),
            stuck=journal.session in self._in_memory or any(isinstance(one, Trouble) for one in shown),
        )
        with self._lock:
            _put(self._turns, turn.id, turn, MOST_TURNS)
            _put(self._last, (browser.name, turn.session), turn.id, MOST_TURNS)
        return turn


def _as_heard(one: Shown, session: Session, heard: Sequence[str]) -> Shown:
    """Return what is asked as it is for somebody who has read these cautions in full."""
    return question_shown(session, heard) if isinstance(one, QuestionShown) else one


def _in_full(turn: Turn) -> tuple[str, ...]:
    """Return the cautions that stood in full on the page of a turn."""
    asked = [one for one in turn.asks if isinstance(one, QuestionShown)]
    return tuple(caution.says for one in asked for caution in (*one.dangers, *one.cautions))


def _put(kept: "OrderedDict[K, V]", key: K, value: V, most: int) -> None:
    """Keep something as the newest; the oldest are forgotten."""
    kept[key] = value
    kept.move_to_end(key)
    while len(kept) > most:
        kept.popitem(last=False)
