"""A session at work: one question at a time, each answer kept before the next question shows."""

from collections import Counter
from pathlib import Path

import msgspec

from advisor.case import Bike, Means, SignReport
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.explain.which import find_cause_by_words
from advisor.intake.caseout import case_text
from advisor.intake.sentence import MOST_UNDERSTOOD
from advisor.intake.sentence import understand as heard
from advisor.report import RankedCause, Report
from advisor.rulebase.model import SignIs
from advisor.session.events import Answered, AtHand, Began, Event, OfBike, PutRight, Read, RuledOut, Skipped, Told
from advisor.session.next_question import Question, next_question
from advisor.session.state import State, fold
from advisor.session.store import Journal
from advisor.session.typed_line import Wish, understand
from advisor.sides import Side, fill, named


class Understood(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that a sentence may mean, on a side where it has one."""

    sign: str
    side: Side
    title: str
    question: str
    warns: bool  # whether it is dangerous if it is so


class WouldBe(msgspec.Struct, frozen=True, kw_only=True):
    """What would lead if an answer were given."""

    answer: str
    causes: tuple[tuple[str, float], ...]


class Desk:
    """One session with its journal. Every answer changes the case by being added to the events, in no other way."""

    def __init__(self, advisor: Advisor, journal: Journal) -> None:
        """Begin or continue."""
        self.advisor = advisor
        self.base = advisor.base
        self.journal = journal
        self.warning = {
            when.sign
            for rule in self.base.rules.values()
            if (rule.warns or rule.forbids) and len(rule.when) == 1  # dangerous by itself
            for when in rule.when
            if isinstance(when, SignIs) and when.seen
        }
        self.state: State
        self.question: Question
        self.report: Report
        self._refresh()

    def _refresh(self) -> None:
        self.state = fold(self.journal.events, self.base)
        self.question, self.report = next_question(self.state, self.advisor)

    def begin(self, kind: str, sentence: str, means: Means | None = None, bike: Bike | None = None) -> None:
        """Keep how it began, and who is there with what if that is known already."""
        self.journal.add(Began(kind, sentence))
        if means is not None:
            self.journal.add(AtHand(means))
        if bike is not None:
            self.journal.add(OfBike(bike))
        self._refresh()

    def of_bike(self, bike: Bike) -> None:
        """Keep which bike it is."""
        self.journal.add(OfBike(bike))
        self._refresh()

    def at_hand(self, means: Means) -> None:
        """Keep who is there with what, from now on."""
        self.journal.add(AtHand(means))
        self._refresh()

    def understood(self, sentence: str) -> list[Understood]:
        """Return the signs that a sentence may mean, likeliest first; on both sides where none is said."""
        return [self._offered(one.sign, one.side) for one in heard(sentence, self.base)]

    def _offered(self, name: str, side: Side) -> Understood:
        sign = self.base.signs[name]
        return Understood(
            sign=name,
            side=side,
            title=fill(sign.title, side),
            question=fill(sign.question, side),
            warns=name in self.warning,
        )

    def troubles(self) -> list[Understood]:
        """Return the main troubles that a rider may have: what has kinds, but for what is as wide as 'runs badly'."""
        kinds = Counter(sign.kind_of for sign in self.base.signs.values() if sign.kind_of)
        wide = {name for name, many in kinds.items() if not self.base.signs[name].kind_of and many > MOST_UNDERSTOOD}
        return [
            self._offered(name, None)
            for name, _ in kinds.most_common()
            if name not in wide and self._is_trouble(name) and self.base.signs[name].kind_of in {"", None, *wide}
        ]

    def _is_trouble(self, name: str) -> bool:
        sign = self.base.signs[name]
        return sign.seen_by == self.base.persons[0] and not sign.past and not sign.sided

    def dangers_of(self, found: list[Understood]) -> tuple[str, ...]:
        """Return what can hurt if any of these is so: the cautions of the rules that such a sign alone sets off."""
        signs = {one.sign for one in found}
        names = [
            name
            for rule in self.base.rules.values()
            if all(isinstance(when, SignIs) and when.seen and when.sign in signs for when in rule.when)
            for name in rule.warns
        ]
        return tuple(self.base.cautions[name].says for name in dict.fromkeys(names))

    def told(self, chosen: list[Understood]) -> None:
        """Keep the signs that were meant by what was said unasked."""
        how = self.base.words.opening
        if chosen:
            self.journal.add(
                Told(tuple(SignReport(sign=one.sign, side=one.side, seen=True, how=how) for one in chosen))
            )
            self._refresh()

    def answer(self, line: str) -> Wish | None:
        """Take one line: an answer is kept and the next question worked out; a wish is returned.

        Raises AdvisorError, and changes nothing, when the line means nothing here.
        """
        event = understand(line, self.question, self.state, self.base)
        if isinstance(event, Wish):
            return event
        trial = fold([*self.journal.events, event], self.base)
        found = next_question(trial, self.advisor)  # an answer that cannot be ranked is not kept
        self.journal.add(event)
        self.state, (self.question, self.report) = trial, found
        return None

    def what_if(self, answer: str) -> WouldBe:
        """Return what would lead if an answer were given. Nothing is kept. Raises AdvisorError."""
        event = understand(answer, self.question, self.state, self.base)
        if isinstance(event, Wish):
            msg = "write it like 'what if 2'"
            raise AdvisorError(msg)
        report = self.advisor.diagnose(fold([*self.journal.events, event], self.base).case)
        return WouldBe(answer=answer, causes=tuple((one.title, one.probability) for one in report.causes[:3]))

    def cause(self, words: str) -> RankedCause:
        """Return a cause by its name or by plain words. Raises AdvisorError."""
        return find_cause_by_words(self.report.causes, words, self.base)

    def save(self, path: Path) -> None:
        """Write the session as a case file. Raises AdvisorError where it cannot be written."""
        try:
            path.write_text(case_text(self.state.case, self.base), encoding="utf-8")
        except OSError as error:
            msg = f"{path}: cannot be written: {(error.strerror or 'no access').lower()}"
            raise AdvisorError(msg) from error

    def steps_taken(self) -> list[str]:
        """Return what was answered so far, in words: one line for each answer that can be taken back."""
        return ["; ".join(lines) for event in self.state.counting if (lines := self.in_words(event))]

    def in_words(self, event: Event) -> list[str]:  # noqa: PLR0911 - one return a kind of event
        """Return an event in words; nothing for how a session began."""
        match event:
            case Told():
                return [f"told: {', '.join(self._sign(one) for one in event.reports)}"]
            case Answered():
                title = self._title(event)
                return [f"{title}: {event.says}" if title else event.says]
            case Read():
                return [f"measured: {named(one.reading, one.side)}: {one.given}" for one in event.readings]
            case Skipped():
                return [f"{event.why}: {fill(self.base.checks[event.check].title, event.side)}"]
            case PutRight():
                return [f"put right: {fill(self.base.causes[event.cause].title, event.side)}"]
            case RuledOut():
                return [f"found sound: {fill(self.base.causes[event.cause].title, event.side)}"]
        return []

    def _title(self, event: Answered) -> str:
        """Return the title of what was answered; nothing where the rule base knows it no more."""
        page = self.base.checks.get(event.check) or self.base.causes.get(event.check)
        return fill(page.title, event.side) if page else ""

    def _sign(self, report: SignReport) -> str:
        return f"{'' if report.seen else 'not: '}{fill(self.base.signs[report.sign].title, report.side)}"
