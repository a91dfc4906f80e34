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

from advisor.case import Bike
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session import choices, shown, who_is_there
from advisor.session.events import PHONE, Answered, Corrected, Read, Undone
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
    ForTool,
    ForToolRoll,
    ForTools,
    ForWords,
    OfferMore,
    OfferTroubles,
    Over,
    Place,
    Step,
    Understand,
    WhoIsThere,
)
from advisor.session.prompts import asked, at_once, contradicts, ended, goes_on, other_rules, prompt, question_shown
from advisor.session.said_aloud import confirmed
from advisor.session.session import Session
from advisor.session.shown import Shown
from advisor.session.store import Journal
from advisor.session.typed_line import Wish, note_in, typed
from advisor.session.understood import understood
from advisor.session.wishes import granted, has_a_record, record_shown

NOT_UNDERSTOOD = "nothing is known by these words; try others for what is seen or heard"
NOR_THESE = "nothing is known by these words either; 'also WORDS' tells more at any time"
NOT_HERE = "on the phone it is the rider"


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

    def there_already(self, name: str, *, record: bool = False, sheet: bool = False) -> list[Shown]:
        """Ask whether the session, its record or its sheet is to replace the file of this name; return what to show."""
        with self._lock:
            self._now(asks=ForReplace(name=name, record=record, sheet=sheet))
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
            yield shown.Begins(session=self.session.journal.session, kind=asks.kind)
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
        if not who_is_there.is_known(self.session):
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
        if who_is_there.lacks_the_tool_roll(self.session.state, self.session.question):
            self._now(asks=ForToolRoll(tools=self.session.base.tool_roll))
            yield from self.asked()
        elif tool := self.session.tool_to_ask_for():
            self._now(asks=ForTool(tool=tool))
            yield from prompt(self.place.asks, self.session)
        else:
            yield self._question()

    def _step(self, step: Step) -> Iterator[Shown]:
        match step:
            case WhoIsThere():
                yield from self._who_is_there()
            case Understand():
                yield from self._offer(step.words, step.told)
            case OfferMore():
                yield from self._offered(step.signs, step.told, step.instead)
            case OfferTroubles():
                if not self.session.state.undoable:
                    troubles = self.session.hearing.troubles(self.session.state.case.means.person)
                    self._now(asks=ForNumbers(signs=tuple(troubles), told=CHOSEN))
                    yield from self.asked()

    def _who_is_there(self) -> Iterator[Shown]:
        means = who_is_there.known(self.session.state.kind, self.session.journal, self.session.base)
        if means is not None:
            self.session.at_hand(means.means, means.sure)
        else:
            self._now(asks=ForPerson())
            yield from prompt(self.place.asks, self.session)

    def _offer(self, words: str, told: str, before: Sequence[MayMean] = (), instead: int = 0) -> Iterator[Shown]:
        """Offer what words may mean, after what was understood before; `instead` of what that number says, if any.

        If they mean nothing, say so, unless the words are offered again.
        """
        found = self.session.hearing.understood(words) if words else []
        if found:
            found = list(({one.about: one for one in before} | {one.about: one for one in found}).values())
            found.sort(key=lambda one: not one.warns)
            yield from self._offered(found, told, instead)
        elif words and told != AGAIN:
            yield shown.Mistake(says=NOT_UNDERSTOOD)

    def _offered(self, found: Sequence[MayMean], told: str, instead: int) -> Iterator[Shown]:
        """Offer as much as fits on a screen, and the rest afterwards."""
        many = at_once(found, self.session.hearing)
        rest = (OfferMore(signs=tuple(found[many:]), told=told, instead=instead),) if found[many:] else ()
        self._now(
            asks=ForNumbers(signs=tuple(found[:many]), told=told, instead=instead), to_do=(*rest, *self.place.to_do)
        )
        yield from self.asked()

    def _question(self, part: int = 0) -> Shown:
        """Return the question, or a part of it; its cautions in full count as heard from now on."""
        found = question_shown(self.session, self.place.heard, part)
        told = [one.says for one in (*found.cautions, *found.dangers) if found.cares and not one.again]
        heard = tuple(dict.fromkeys([*self.place.heard, *told]))
        self._now(heard=heard, part=part % len(found.parts), answers=found.answers)
        return found

    def _cautions(self) -> Shown:
        """Return all cautions of the question in full; they count as heard from now on."""
        asked = question_shown(self.session)
        says = tuple(one.says for one in (*asked.dangers, *asked.cautions))
        self._now(heard=tuple(dict.fromkeys([*self.place.heard, *says])))
        return shown.Cautions(says=says)

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
        note = note_in(line, self.session.state.kind, self.place.asks)
        if note is not None:
            self.session.noted(note)
            yield shown.NotedDown(about=note.about, says=note.says)
            yield from self._trouble()
            yield from prompt(self.place.asks, self.session)
            return
        match self.place.asks:
            case ForWords() as asks:
                yield from self._open(line, asks)
            case ForPerson():
                yield who_is_there.take_person(line, self.session)
                yield from self._go_on()
            case ForTools():
                yield from who_is_there.take_tools(line, self.session)
                yield from self._go_on()
            case ForTool(tool=tool):
                yield from self._tool(tool, line)
            case ForToolRoll(tools=tools):
                yield from self._tool_roll(tools, line)
            case ForNumbers() as asks:
                yield from self._numbers(asks, line)
            case ForAnswer():
                yield from self._answer(line)
            case ForReplace() as asks:
                yield from self._replace(asks, line)

    def _tool(self, tool: str, line: str) -> Iterator[Shown]:
        """Take whether a tool is there, or whatever else may be typed at the step that needs it."""
        if who_is_there.take_tool(tool, line, self.session):
            yield from self._go_on()
            return
        if line.strip():
            yield from self._answer(line)
        if self.place.asks == ForTool(tool=tool):
            yield from prompt(self.place.asks, self.session)

    def _tool_roll(self, tools: Sequence[str], line: str) -> Iterator[Shown]:
        if choices.stops(line):
            yield from self._end()
            return
        self.session.at_hand(who_is_there.of_a_rider(choices.tool_roll(line, tools), self.session.base).means)
        yield from self._go_on()

    def _numbers(self, asks: ForNumbers, line: str) -> Iterator[Shown]:
        if choices.stops(line):
            yield from self._end()
            return
        if choices.again(line):
            yield from self.asked()
            return
        if look := choices.looks(line):
            yield from granted(Wish(look), self.session)
            yield from self.asked()
            return
        said = choices.chosen(line, len(asks.signs))
        if isinstance(said, str):
            yield from self._other_words(said, asks)
            return
        known = self.session.opposed() if asks.told == ALSO else ()
        chosen = [asks.signs[number - 1] for number in said]
        self.session.told(chosen, asks.instead)
        if chosen and not any(one.warns for one in chosen):  # nothing stands before what can hurt
            yield shown.ToldSoFar(kind=self.session.state.kind, says=self.session.told_so_far())
        yield from understood(self.session)
        yield from self._trouble()
        if chosen:
            yield from contradicts(known, self.session)
        yield from self._go_on()

    def _other_words(self, words: str, asks: ForNumbers) -> Iterator[Shown]:
        """Offer what other words may mean, beside what was understood before: they add, and take nothing away.

        If they mean nothing, the list is shown again, but not the troubles.
        """
        if self.session.hearing.understood(words):
            if asks.told == CHOSEN:
                yield from self._offer(words, OPENING)
            else:
                yield from self._offer(words, asks.told, asks.signs, asks.instead)
        elif asks.told == CHOSEN:
            yield shown.Mistake(says=NOR_THESE)
            yield from self._go_on()
        else:
            yield shown.Mistake(says=NOT_UNDERSTOOD)
            yield from self.asked()

    def _answer(self, line: str) -> Iterator[Shown]:
        session = self.session
        if session.question.kind in {DONE, WELL} and choices.ends(line):
            yield from self._end()
            return
        if not line.strip():
            yield self._question(self.place.part + 1)
            return
        steps, known = session.kept(), session.opposed()
        wish = session.answer(line)
        if wish is not None:
            yield from self._wish(wish)
            return
        yield from self._acknowledged(steps)
        yield from understood(session, line)
        yield from self._trouble()
        yield from contradicts(known, session)
        undone = isinstance(session.journal.events[-1], Undone)
        if undone and not session.state.undoable:  # the slip was in what was understood
            yield from self._go_on(Understand(words=session.state.case.complaint, told=AGAIN))
        else:
            yield from self._go_on()

    def _acknowledged(self, steps: Sequence[str]) -> Iterator[Shown]:
        """Yield an answer as understood, to be read back to a rider; or which of the `steps` were taken back."""
        last = self.session.journal.events[-1]
        if isinstance(last, Undone):
            yield shown.TakenBack(steps=tuple(steps[len(self.session.kept()) :]))
        elif isinstance(last, Corrected):
            says, forgotten = self.session.set_right(last)
            yield shown.SetRight(kind=self.session.state.kind, says=says, forgotten=forgotten)
        elif isinstance(last, Read) and self.session.state.kind == PHONE:
            yield shown.ReadingsTaken(says=tuple(self.session.in_words(last)))
        elif self.session.state.kind == PHONE and isinstance(last, Answered):
            yield shown.ReadBack(says=confirmed(last, self.session))

    def _wish(self, wish: Wish) -> Iterator[Shown]:
        match wish.name:
            case "stop":
                yield from self._end()
            case "tools" if self.session.state.kind == PHONE:
                self._now(asks=ForToolRoll(tools=self.session.base.tool_roll))
                yield from self.asked()
            case "who" if self.session.state.kind == PHONE:
                yield shown.Mistake(says=NOT_HERE)
            case "tools" | "who":
                self._now(asks=ForTools() if wish.name == "tools" else ForPerson())
                yield from self.asked()
            case "also":
                yield from self._offer(wish.what, ALSO)
            case "instead":
                number, _, words = wish.what.partition(" ")
                yield from self._offer(words, ALSO, instead=int(number))
            case "again":
                yield self._question(self.place.part)
            case "cautions":
                yield self._cautions()
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
        wish = Wish("sheet" if asks.sheet else "record" if asks.record else "save", asks.name)
        yield from (msgspec.structs.replace(one, replace=True) for one in granted(wish, self.session))

    # What is said once

    def _trouble(self) -> Iterator[Shown]:
        trouble = self.session.journal.trouble
        if trouble and trouble != self.place.trouble:
            self._now(trouble=trouble)
            yield shown.Trouble(says=trouble)

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
