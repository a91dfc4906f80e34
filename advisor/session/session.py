"""A session at work: one question at a time, each answer kept before the next question shows."""

from collections.abc import Iterable, Sequence

import msgspec

from advisor.case import Bike, Means, Measured, SignReport
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.explain.which import find_cause_by_words
from advisor.intake.caseout import case_text
from advisor.report import RankedCause, Report
from advisor.session import events
from advisor.session.answer_in_words import InWords
from advisor.session.answer_meant import meant
from advisor.session.balance_in_words import done_in_words
from advisor.session.contradictions import Opposed, opposed
from advisor.session.figures_say import FigureSays, figure_said, figures_say, readings_of
from advisor.session.hearing import Hearing, MayMean
from advisor.session.in_doubt import NOT_SURE, in_doubt, is_in_doubt
from advisor.session.known_here import known_here, knows
from advisor.session.next_question import BALANCED, CHECK, LED, Question
from advisor.session.state import State, fold
from advisor.session.statements import Statement, parts
from advisor.session.store import Journal
from advisor.session.told_so_far import counts, still_told, told_in_words, told_instead, told_so_far
from advisor.session.typed_line import Wish, understand
from advisor.session.what_next import what_next
from advisor.sides import Side, Sided, fill, named
from advisor.visible import as_said

NOT_KNOWN = "not known here"
OWN_WORDS = 'own words: "{words}"'


class Session:
    """One session with its journal. Each answer is one more event, and everything else follows from the events.

    A diagnosis takes a tenth of a second: the question and its report are worked out when first needed, and
    once for each event.
    """

    def __init__(self, advisor: Advisor, journal: Journal, hearing: Hearing | None = None) -> None:
        """Begin, or go on after the journal's events. A `hearing` of the same rule base may be shared by sessions."""
        self.advisor = advisor
        self.base = advisor.base
        self.journal = journal
        self.hearing = hearing or Hearing(advisor.base)
        self.state: State = fold(journal.events, self.base)
        self.unheard = ""  # what of the last answer meant nothing here
        self._next: tuple[Question, Report] | None = None

    @property
    def question(self) -> Question:
        """What is asked now. Raises AdvisorError when the session cannot be ranked."""
        return self._worked_out()[0]

    @property
    def report(self) -> Report:
        """What is known now. Raises AdvisorError when the session cannot be ranked."""
        return self._worked_out()[1]

    def _worked_out(self) -> tuple[Question, Report]:
        if self._next is None:
            self._next = what_next(self.state, self.advisor)
        return self._next

    def begin(
        self, kind: str, sentence: str, means: Means | None = None, bike: Bike | None = None, rules: Sequence[str] = ()
    ) -> None:
        """Keep how it began, and with which rules of a shop; who is there with what if already known."""
        self._keep(events.Began(kind, sentence, tuple(rules)))
        if means is not None:
            self.at_hand(means)
        if bike is not None:
            self.of_bike(bike)

    def of_bike(self, bike: Bike) -> None:
        """Keep which bike it is."""
        self._keep(events.OfBike(bike))

    def noted(self, note: events.Noted) -> None:
        """Keep a note with the call."""
        self._keep(note)

    def at_hand(self, means: Means, sure: frozenset[str] | None = None) -> None:
        """Keep who is there with what, from now on; `sure` are the tools known to be there (None: all of them)."""
        before, found = self.state.case, self._next
        self._keep(events.AtHand(means, sure))
        if self.state.case == before:  # nothing else is worked out than before
            self._next = found

    def tool_to_ask_for(self) -> str:
        """Return a tool that the question needs and of which nobody has said whether it is there; '' for none."""
        sure, asked = self.state.sure, self.base.checks.get(self.question.name)
        if sure is None or asked is None or self.question.kind != CHECK:
            return ""
        return next((tool for tool in asked.tools if tool not in sure), "")

    def has_tools(self, there: frozenset[str], lacking: frozenset[str]) -> None:
        """Keep that these tools are there, and that others are not."""
        means, sure = self.state.case.means, self.state.sure
        every = frozenset(self.base.tools) if means.tools is None else means.tools
        known = (every if sure is None else sure) | there
        left = (every | there) - lacking
        tools = None if left == frozenset(self.base.tools) else left
        self.at_hand(Means(person=means.person, tools=tools, engine=means.engine), known - lacking)

    def handed_over(self) -> None:
        """Keep that the workshop has its sheet."""
        if not isinstance(self.journal.events[-1], events.HandedOver):
            self.journal.add(events.HandedOver())

    def _keep(self, event: events.Event) -> None:
        self.journal.add(event)
        self.state, self._next = fold(self.journal.events, self.base), None

    def told(self, chosen: list[MayMean], instead: int = 0) -> None:
        """Keep what the user's own words meant, `instead` of what was said under that number, if any.

        If it raises AdvisorError, nothing is kept.
        """
        how = self.base.words.opening
        self.unheard = ""
        last = {one.about: one for one in chosen}.values()  # two figures of one thing: the later one counts
        reports = [SignReport(sign=one.sign, side=one.side, seen=one.seen, how=how) for one in last if one.sign]
        event = events.Told(
            tuple(one for one in reports if instead or one not in self.state.case.seen),
            tuple(one.reading for one in last if one.reading is not None),
            tuple((one.cause, one.side) for one in last if one.cause),
        )
        if event != events.Told(()):
            self._try(told_instead(instead, event, self.state) if instead else event)

    def told_words(self, words: str) -> int:
        """Keep words that mean nothing here, as they were said, and return their number."""
        self.unheard, found = "", self._next
        self._keep(events.Told((), words=as_said(words)))
        self._next = found  # they weigh nothing
        return told_so_far(self.state)[-1].number

    def told_so_far(self) -> tuple[tuple[int, str], ...]:
        """Return what was told in words and counts, each with its number and in words."""
        said = [one for one in told_so_far(self.state) if one.told and counts(one, self.state)]
        return self._numbered(said)

    def still_told(self) -> tuple[str, ...]:
        """Return what was told in words and was not settled otherwise since, in words."""
        return tuple(self._single(one.event) for one in still_told(self.state))

    def told_in_words(self) -> tuple[str, ...]:
        """Return the last word on each thing that was told, in words, whatever was found of it since."""
        return tuple(self._single(one.event) for one in told_in_words(self.state))

    def all_said(self) -> tuple[tuple[int, str], ...]:
        """Return all that was said and was not taken back, each with its number and in words."""
        return self._numbered(told_so_far(self.state))

    def _numbered(self, said: Iterable[Statement]) -> tuple[tuple[int, str], ...]:
        return tuple(sorted((one.number, self._single(one.event)) for one in said))

    def opposed(self) -> tuple[Opposed, ...]:
        """Return the statements that cannot all be so. Raises AdvisorError when the session cannot be ranked."""
        return opposed(self.state, self.report, self.base)

    def _single(self, event: events.Event) -> str:
        return "; ".join(self.in_words(event)).removeprefix("told: ").removeprefix("measured: ")

    def answer(self, line: str) -> Wish | None:
        """Take one line: an answer is kept and the next question worked out; a wish is returned.

        Raises AdvisorError, and changes nothing, when the line means nothing here.
        """
        said = understand(line, self.question, self.state, self.base)
        if isinstance(said, Wish):
            return said
        event, self.unheard = self._meant(said)
        self._try(event)
        return None

    def _meant(self, said: events.Event | InWords) -> tuple[events.Event, str]:
        """Return what a line of figures and words means here, and what of it means nothing. Raises AdvisorError."""
        if not isinstance(said, InWords):
            return said, ""
        read = fold([*self.journal.events, events.Read(said.readings)], self.base)
        chained, _ = self.advisor.rank(read.case)
        known = {(one.id, one.side): one.state == "seen" for one in chained.signs if one.rules}
        event, unheard = meant(said, self.question, known, self.base)
        if isinstance(event, events.Read) and self.question.turns:
            event = msgspec.structs.replace(event, turned=self.question.turns)
        return (in_doubt(event, self.question, self.base) if said.doubt else event), unheard

    def _try(self, event: events.Event) -> None:
        """Keep an event if the session can be ranked with it. Raises AdvisorError when it cannot."""
        state = fold([*self.journal.events, event], self.base)
        found = what_next(state, self.advisor)
        self.journal.add(event)
        self.state, self._next = state, found

    def figures_say(self) -> list[FigureSays]:
        """Return what the readings of the last answer say; nothing if it held none."""
        if self.question.kind in {LED, BALANCED} or not (self.journal.events and readings_of(self.journal.events[-1])):
            return []  # a balance says itself what its readings mean
        return figures_say(self.state.known[-1], self.state.case, self.report, self.advisor)

    def told_beside(self, event: events.Answered) -> list[str]:
        """Return what an answer tells beside what its check can show, in words."""
        check = self.base.checks.get(event.check)
        shown = {one.sign for outcome in check.outcomes for one in outcome.shows} if check else set()
        return [self._sign(one) for one in event.reports if check and one.sign not in shown]

    def what_if(self, answer: str) -> tuple[tuple[str, float], ...]:
        """Return what would lead if an answer were given, as (title, probability). Nothing is kept.

        Raises AdvisorError.
        """
        said = understand(answer, self.question, self.state, self.base)
        if isinstance(said, Wish):
            msg = "write it like 'what if 2'"
            raise AdvisorError(msg)
        event, _ = self._meant(said)
        report = self.advisor.diagnose(fold([*self.journal.events, event], self.base).case)
        return tuple((one.title, one.probability) for one in report.causes[:3])

    def cause(self, words: str) -> RankedCause:
        """Return a cause by its name or by plain words. Raises AdvisorError."""
        return find_cause_by_words(self.report.causes, words, self.base)

    def as_case(self) -> str:
        """Return the session as the text of a case file. What is not known here stands in remarks at its end."""
        aside = [line for event in self.state.counting for line in self._aside(event)]
        remarks = [f"# {_on_one_line(line)}\n" for line in ("Told with other rules:", *aside)] if aside else []
        return case_text(self.state.case, self.base) + "".join(remarks)

    def _aside(self, event: events.Event) -> list[str]:
        """Return an event in words if not all of it is known here."""
        unknown = known_here(event, self.base).unknown
        return (self.in_words(event) or [f"{', '.join(unknown)} ({NOT_KNOWN})"]) if unknown else []

    def steps_taken(self) -> list[str]:
        """Return what was answered so far and counts, in words: one line for each answer."""
        return ["; ".join(lines) for event in self.state.counting if (lines := self.in_words(event))]

    def kept(self) -> list[str]:
        """Return one line in words for each answer and correction that can be taken back."""
        return ["; ".join(lines) for event in self.state.kept if (lines := self.in_words(event))]

    def in_words(self, event: events.Event) -> list[str]:  # noqa: PLR0911 - one return a kind of event
        """Return an event in words; nothing for how a session began."""
        match event:
            case events.Told():
                return self._told(event)
            case events.Forgotten():
                names = [self._titled(one) for one in (*event.signs, *event.readings, *event.suspected)]
                return [f"forgotten: {', '.join(names)}"]
            case events.Answered():
                taken = self._readings(event.readings)
                doubt = f" ({NOT_SURE})" if is_in_doubt(event, self.base) else ""
                return [f"{self._title(event.check, event.side)}: {event.says}{doubt}", *taken]
            case events.Read():
                return [*done_in_words(event), *self._readings(event.readings)]
            case events.Skipped():
                return [f"{event.why}: {self._title(event.check, event.side)}"]
            case events.PutRight():
                return [f"put right: {self._title(event.cause, event.side)}"]
            case events.RuledOut():
                return [
                    f"{'put right in vain' if event.in_vain else 'found sound'}: {self._title(event.cause, event.side)}"
                ]
            case events.Corrected():
                return self._corrected(event)
            case events.ScrewsTurned() | events.Throttled() | events.WentOver():
                return done_in_words(event)
        return []

    def _corrected(self, event: events.Corrected) -> list[str]:
        says, forgotten = self.set_right(event)
        return [*(f"set right: {one}" for one in says), *(f"forgotten: {one}" for one in forgotten)]

    def set_right(self, event: events.Corrected) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return what a correction says in words, and what it makes forgotten where it says nothing instead."""
        says, forgotten = list[str](), list[str]()
        for one in event.changes:
            before = list(parts(self.journal.events[one.at]))
            after = list(parts(one.instead)) if one.instead else []
            new = [self._single(part) for part in after if part not in before]
            says += new
            forgotten += [] if new else [self._single(part) for part in before if part not in after]
        return tuple(says), tuple(forgotten)

    def _told(self, event: events.Told) -> list[str]:
        signs = ", ".join(self._sign(one) for one in event.reports)
        causes = ", ".join(self._title(*one) for one in event.suspected)
        told = [f"told: {signs}"] if signs else []
        readings = self._readings(event.readings)
        suspected = [f"suspected: {causes}"] if causes else []
        return [*told, *readings, *suspected, *([OWN_WORDS.format(words=event.words)] if event.words else [])]

    def _titled(self, one: Sided) -> str:
        name, side = one
        page = self.base.signs.get(name) or self.base.readings.get(name) or self.base.causes.get(name)
        return fill(page.title, side) if page else named(name, side)

    def _title(self, name: str, side: Side) -> str:
        """Return the title of a check or a cause; its name if no page here has it."""
        page = self.base.checks.get(name) or self.base.causes.get(name)
        return fill(page.title, side) if page else f"{named(name, side)} ({NOT_KNOWN})"

    def _sign(self, report: SignReport) -> str:
        page = self.base.signs.get(report.sign)
        title = fill(page.title, report.side) if page else named(report.sign, report.side)
        return f"{'' if report.seen else 'not: '}{title}{'' if knows(report, self.base) else f' ({NOT_KNOWN})'}"

    def _reading(self, one: Measured) -> str:
        return self._readings([one])[0]

    def _readings(self, taken: Sequence[Measured]) -> list[str]:
        """Return readings in words: one line for each kind, with its sides."""
        names = dict.fromkeys(one.reading for one in taken)
        return [f"measured: {self._kind(name)}: {self._figures(name, taken)}" for name in names]

    def _kind(self, name: str) -> str:
        page = self.base.readings.get(name)
        return page.title.replace("{side}", "each side") if page else name

    def _figures(self, name: str, taken: Sequence[Measured]) -> str:
        return ", ".join(f"{figure_said(one)}{self._aside_of(one)}" for one in taken if one.reading == name)

    def _aside_of(self, one: Measured) -> str:
        return "" if knows(one, self.base) else f" ({NOT_KNOWN})"


def _on_one_line(text: str) -> str:
    """Return text that can stand in a remark of a YAML file."""
    return "".join(one if one.isprintable() else f"\\u{ord(one):04x}" for one in text)
