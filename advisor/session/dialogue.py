"""A session as a dialogue: one line in, a list of records to show out. It prints nothing and reads nothing.

A dialogue opens in this order: what is wrong; who is there with which tools; what the words may mean, dangers first;
the main troubles, if nothing was understood; the first question.

All that a dialogue knows is in the session's journal and in its own `place`. A web page can therefore make a new one
for each request: `Dialogue(advisor, Journal(store, number, store.events(number)), place).take(line)`. Once it has
shown a `Trouble`, the journal is in memory only, and the page must hold on to the dialogue itself.
"""

import threading
from collections.abc import Callable, Iterator, Sequence

import msgspec

from advisor.case import Bike, Means
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.report import Conflict
from advisor.session import choices, shown, who_is_there
from advisor.session.events import PHONE, Answered, AtHand, Forgotten, Read, Told, Undone
from advisor.session.handover import hand_over
from advisor.session.hearing import Hearing, MayMean
from advisor.session.next_question import DONE, WELL
from advisor.session.place import (
    AGAIN,
    ALSO,
    CHOSEN,
    OPENING,
    ForAnswer,
    ForNumbers,
    ForPerson,
    ForReplace,
    ForTools,
    ForWords,
    OfferTroubles,
    Over,
    Place,
    Step,
    Understand,
    WhoIsThere,
)
from advisor.session.prompts import asked, ended, goes_on, other_rules, prompt, question_shown
from advisor.session.session import Session
from advisor.session.shown import Shown
from advisor.session.store import Journal
from advisor.session.typed_line import Wish, typed
from advisor.session.understood import understood
from advisor.session.wishes import granted, has_a_record, record_shown

NOT_UNDERSTOOD = "nothing is known by these words; try others for what is seen or heard"
NOR_THESE = "nothing is known by these words either; 'also WORDS' tells more at any time"
NO_TOOLS = "on the phone it is the rider, with no tools"


class Dialogue:
    """One session, line by line. Threads may share a dialogue: it takes one line at a time."""

    def __init__(
        self, advisor: Advisor, journal: Journal, place: Place | None = None, hearing: Hearing | None = None
    ) -> None:
        """Stand where `place` says, or before the beginning. Dialogues on one rule base may share a `hearing`."""
        self.session = Session(advisor, journal, hearing)
        self.place = place or Place()
        self._lock = threading.RLock()

    @property
    def over(self) -> bool:
        """Whether it waits for nothing more."""
        return isinstance(self.place.asks, Over)

    def begin(
        self, kind: str, sentence: str = "", bike: Bike | None = None, rules: tuple[str, ...] = ()
    ) -> list[Shown]:
        """Begin a session of a kind (bench or phone) and return what to show, up to the first thing asked.

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
            return list(asked(self.place.asks, self.session))

    def there_already(self, name: str, *, record: bool = False) -> list[Shown]:
        """Ask whether the session, or its record, is to replace the file of this name; return what to show."""
        with self._lock:
            self._now(asks=ForReplace(name=name, record=record))
            return list(prompt(self.place.asks, self.session))

    def broken_off(self) -> Shown:
        """Return what to show if it is left here, as by Ctrl-C."""
        return ended(self.session)

    def _done(self, talk: Callable[[], Iterator[Shown]]) -> list[Shown]:
        with self._lock:
            return list(talk())

    def _now(self, **changes: object) -> None:
        self.place = msgspec.structs.replace(self.place, **changes)

    # The opening

    def _begin(self, sentence: str, asks: ForWords) -> Iterator[Shown]:
        self.place = Place(asks=asks)
        yield from self._trouble()
        if self.session.journal.store is not None:
            yield shown.Begins(session=self.session.journal.session)
        if sentence:
            yield from self._take(sentence)
        else:
            yield from prompt(asks, self.session)

    def _open(self, sentence: str, asks: ForWords) -> Iterator[Shown]:
        self.session.begin(asks.kind, sentence, bike=asks.bike, rules=asks.rules)
        yield from self._go_on(WhoIsThere(), Understand(words=sentence, told=OPENING), OfferTroubles())

    def _resume(self, sentence: str, bike: Bike | None, rules: tuple[str, ...]) -> Iterator[Shown]:
        self.place = Place()
        sentence = typed(sentence)
        yield from self._trouble()
        complaint = self.session.state.case.complaint
        yield goes_on(self.session)
        yield from other_rules(self.session, rules)
        if bike is not None:
            self.session.of_bike(bike)
        missed: list[Step] = []
        if not self._asked_who():
            missed.append(WhoIsThere())
        if not self.session.state.undoable:
            missed.append(Understand(words=complaint, told=AGAIN))
        yield from self._go_on(*missed, Understand(words=sentence, told=OPENING))

    def _go_on(self, *steps: Step) -> Iterator[Shown]:
        """Take these steps and any still to do, up to the first that asks something; else show the question."""
        self._now(asks=ForAnswer(), to_do=(*steps, *self.place.to_do))
        yield from self._trouble()
        while self.place.to_do:
            step, *rest = self.place.to_do
            self._now(to_do=tuple(rest))
            yield from self._step(step)
            yield from self._trouble()
            if not isinstance(self.place.asks, ForAnswer):
                return
        yield self._question()

    def _step(self, step: Step) -> Iterator[Shown]:
        match step:
            case WhoIsThere():
                yield from self._who_is_there()
            case Understand():
                yield from self._offer(step.words, step.told)
            case OfferTroubles():
                if not self.session.state.undoable:
                    self._now(asks=ForNumbers(signs=tuple(self.session.hearing.troubles()), told=CHOSEN))
                    yield from self.asked()

    def _who_is_there(self) -> Iterator[Shown]:
        means = who_is_there.known(self.session.state.kind, self.session.journal, self.session.base)
        if means is not None:
            self.session.at_hand(means)
        else:
            self._now(asks=ForPerson())
            yield from prompt(self.place.asks, self.session)

    def _offer(self, words: str, told: str, before: Sequence[MayMean] = ()) -> Iterator[Shown]:
        """Offer what words may mean, after what was understood before.

        If they mean nothing, say so, unless the words are offered again.
        """
        found = self.session.hearing.understood(words) if words else []
        if found:
            found = list(({one.about: one for one in before} | {one.about: one for one in found}).values())
            found.sort(key=lambda one: not one.warns)
            self._now(asks=ForNumbers(signs=tuple(found), told=told))
            yield from self.asked()
        elif words and told != AGAIN:
            yield shown.Mistake(says=NOT_UNDERSTOOD)

    def _question(self) -> Shown:
        """Return the question; its cautions count as heard from now on."""
        found = question_shown(self.session, self.place.heard)
        told = [one.says for one in (*found.cautions, *found.dangers)]
        self._now(heard=tuple(dict.fromkeys([*self.place.heard, *told])))
        return found

    # A line

    def _take(self, line: str | None) -> Iterator[Shown]:
        if self.over or line is None:
            yield from self._cut_off()
            return
        try:
            yield from self._taken(typed(line))
        except AdvisorError as error:
            for problem in error.problems:
                yield shown.Mistake(says=problem.text)
            yield from prompt(self.place.asks, self.session)

    def _cut_off(self) -> Iterator[Shown]:
        """End where there is no more input, or say once more how it ended."""
        match self.place.asks:
            case Over():
                yield ended(self.session)
            case ForReplace() as asks:
                yield from self._replace(asks, "stop")
            case _:
                yield from self._end()

    def _taken(self, line: str) -> Iterator[Shown]:
        match self.place.asks:
            case ForWords() as asks:
                yield from self._open(line, asks)
            case ForPerson():
                yield from self._person(line)
            case ForTools(person=person):
                yield from self._tools(person, line)
            case ForNumbers() as asks:
                yield from self._numbers(asks, line)
            case ForAnswer():
                yield from self._answer(line)
            case ForReplace() as asks:
                yield from self._replace(asks, line)

    def _person(self, line: str) -> Iterator[Shown]:
        self._now(asks=ForTools(person=choices.person(line, self.session.base.persons)))
        yield from self.asked()

    def _tools(self, person: str, line: str) -> Iterator[Shown]:
        means = Means(person=person, tools=choices.tools(line, list(self.session.base.tools)), engine="")
        yield shown.Remembered(means=means)
        who_is_there.remember(means, self.session.journal)
        self.session.at_hand(means)
        yield from self._go_on()

    def _asked_who(self) -> bool:
        return any(isinstance(event, AtHand) for event in self.session.state.known)

    def _numbers(self, asks: ForNumbers, line: str) -> Iterator[Shown]:
        if choices.stops(line):
            yield from self._end()
            return
        said = choices.chosen(line, len(asks.signs))
        if isinstance(said, str):
            yield from self._other_words(said, asks)
            return
        known = self.session.report.conflicts if asks.told == ALSO else ()
        chosen = [asks.signs[number - 1] for number in said]
        self.session.told(chosen)
        if chosen and not any(one.warns for one in chosen):  # nothing stands before what can hurt
            yield shown.ToldSoFar(kind=self.session.state.kind, says=self.session.told_so_far())
        yield from understood(self.session)
        yield from self._trouble()
        if asks.told == ALSO:
            yield from self._contradictions(known)
        yield from self._go_on()

    def _other_words(self, words: str, asks: ForNumbers) -> Iterator[Shown]:
        """Offer what other words may mean, beside what was understood before: they add, and take nothing away.

        If they mean nothing, the list is shown again, but not the troubles.
        """
        if self.session.hearing.understood(words):
            if asks.told == CHOSEN:
                yield from self._offer(words, OPENING)
            else:
                yield from self._offer(words, asks.told, asks.signs)
        elif asks.told == CHOSEN:
            yield shown.Mistake(says=NOR_THESE)
            yield from self._go_on()
        else:
            yield shown.Mistake(says=NOT_UNDERSTOOD)
            yield from self.asked()

    def _answer(self, line: str) -> Iterator[Shown]:
        session = self.session
        if session.question.kind in {DONE, WELL} and not line.strip():
            yield from self._end()
            return
        if not line.strip():
            return
        steps, known = session.steps_taken(), session.report.conflicts
        wish = session.answer(line)
        if wish is not None:
            yield from self._wish(wish)
            return
        yield from self._acknowledged(steps)
        yield from understood(session, line)
        yield from self._trouble()
        yield from self._contradictions(known)
        undone = isinstance(session.journal.events[-1], Undone)
        if undone and not session.state.undoable:  # the slip was in what was understood
            yield from self._go_on(Understand(words=session.state.case.complaint, told=AGAIN))
        else:
            yield from self._go_on()

    def _acknowledged(self, steps: Sequence[str]) -> Iterator[Shown]:
        """Yield an answer as understood, to be read back to a rider; or which of the `steps` were taken back."""
        last = self.session.journal.events[-1]
        if isinstance(last, Undone):
            yield shown.TakenBack(steps=tuple(steps[len(self.session.steps_taken()) :]))
        elif isinstance(last, Told | Forgotten):
            yield shown.ToldSoFar(kind=self.session.state.kind, says=self.session.told_so_far())
        elif isinstance(last, Read) and self.session.state.kind == PHONE:
            yield shown.ReadingsTaken(says=tuple(self.session.in_words(last)))
        elif self.session.state.kind == PHONE and isinstance(last, Answered):
            yield shown.ReadBack(says=last.says)

    def _wish(self, wish: Wish) -> Iterator[Shown]:
        match wish.name:
            case "stop":
                yield from self._end()
            case "tools" if self.session.state.kind == PHONE:
                yield shown.Mistake(says=NO_TOOLS)
            case "tools":
                self._now(asks=ForPerson())
                yield from prompt(self.place.asks, self.session)
            case "also":
                yield from self._offer(wish.what, ALSO)
            case _:
                yield from granted(wish, self.session)
        if wish.name == "hand over":
            self._now(handed_over=len(self.session.journal.events))

    def _replace(self, asks: ForReplace, line: str) -> Iterator[Shown]:
        if choices.stops(line):
            self._now(asks=ForAnswer())
            yield shown.LeftAlone(name=asks.name)
            yield from self._end()
            return
        replace = choices.replaces(line)
        self._now(asks=ForAnswer())
        if not replace:
            yield shown.LeftAlone(name=asks.name)
            return
        wish = Wish("record" if asks.record else "save", asks.name)
        yield from (msgspec.structs.replace(one, replace=True) for one in granted(wish, self.session))

    # What is said once

    def _trouble(self) -> Iterator[Shown]:
        trouble = self.session.journal.trouble
        if trouble and trouble != self.place.trouble:
            self._now(trouble=trouble)
            yield shown.Trouble(says=trouble)

    def _contradictions(self, known: Sequence[Conflict]) -> Iterator[Shown]:
        """Yield what the last answer contradicts, so that a slip of the finger or the tongue is not carried along."""
        for pair in self.session.report.conflicts:
            if pair.never and pair not in known:
                yield shown.Contradiction(pair=pair)

    # The end

    def _end(self) -> Iterator[Shown]:
        if self._has_a_sheet():
            if self.place.handed_over != len(self.session.journal.events):  # else the last sheet said the same
                yield shown.Sheet(found=hand_over(self.session))
            self.session.handed_over()
            yield from self._trouble()
        elif has_a_record(self.session):
            yield record_shown(self.session)
        self._now(asks=Over(), to_do=())
        yield ended(self.session)

    def _has_a_sheet(self) -> bool:
        """Whether a call ends with a sheet: once there is something to say."""
        told = isinstance(self.place.asks, ForAnswer) or self.session.state.undoable > 0
        return self.session.state.kind == PHONE and told
