"""Who is there: asked once at the bike and then remembered, as is each tool; on the phone it is the rider.

A rider is taken to have a tool roll, until the first check that needs something out of it: then he is asked.
"""

from collections.abc import Iterable, Iterator

import msgspec

from advisor.case import Means
from advisor.rulebase.model import Rulebase
from advisor.session import choices
from advisor.session.events import PHONE, AtHand
from advisor.session.next_question import Question
from advisor.session.schema import from_json
from advisor.session.session import Session
from advisor.session.shown import Remembered
from advisor.session.state import State
from advisor.session.store import Journal

HABIT = "at hand"  # the store's name for it


class Habit(Means, frozen=True, kw_only=True):
    """Who is there, as remembered from one session to the next; `sure` as in `AtHand`."""

    sure: frozenset[str] | None = None


HABITS = msgspec.json.Decoder(Habit)


def known(kind: str, journal: Journal, base: Rulebase) -> AtHand | None:
    """Return who is there in a session of a kind, or None if that must be asked."""
    if kind == PHONE:
        return of_a_rider(base.tool_roll, base)
    found = from_json(journal.habit(HABIT), HABITS)
    if found is None:
        return None
    return AtHand(Means(person=found.person, tools=found.tools, engine=found.engine), found.sure)


def of_a_rider(tools: Iterable[str], base: Rulebase) -> AtHand:
    """Return who is there on the phone: a rider with these tools."""
    return AtHand(Means(person=base.persons[0], tools=frozenset(tools), engine=""))


def lacks_the_tool_roll(state: State, question: Question) -> bool:
    """Whether a call has come to the first question that needs a tool: until then tools were taken for granted."""
    asked = sum(isinstance(event, AtHand) for event in state.known) > 1
    return state.kind == PHONE and not asked and bool(question.tools)


def as_person(person: str, means: Means, sure: frozenset[str] | None, base: Rulebase) -> AtHand:
    """Return that this person is there: a workshop has every tool, others keep those that are known so far."""
    if person == base.persons[-1]:
        return AtHand(Means(person=person, tools=None, engine=means.engine))
    if sure is None:  # nobody was asked
        return AtHand(Means(person=person, tools=None, engine=means.engine), frozenset())
    return AtHand(Means(person=person, tools=means.tools, engine=means.engine), sure)


def is_known(session: Session) -> bool:
    """Whether it was said in this session who is there."""
    return any(isinstance(event, AtHand) for event in session.state.known)


def take_person(line: str, session: Session) -> Remembered:
    """Keep who is there, and return it as it is remembered. Raises AdvisorError."""
    state, base = session.state, session.base
    sure = state.sure if is_known(session) else None
    there = as_person(choices.person(line, base.persons), state.case.means, sure, base)
    session.at_hand(there.means, there.sure)
    return _remembered(session)


def take_tools(line: str, session: Session) -> Iterator[Remembered]:
    """Keep which tools a line says are there or not, if any, and yield what is then remembered. Raises AdvisorError."""
    there, lacking = choices.tools(line, session.base.tools)
    if there or lacking:
        session.has_tools(there, lacking)
        yield _remembered(session)


def take_tool(tool: str, line: str, session: Session) -> bool:
    """Keep whether a tool is there; False if the line says neither. Raises AdvisorError."""
    there = choices.has_it(line)
    if there is not None:
        session.has_tools(frozenset({tool} if there else ()), frozenset(() if there else {tool}))
        _remembered(session)
    return there is not None


def _remembered(session: Session) -> Remembered:
    means, sure = session.state.case.means, session.state.sure
    remember(means, sure, session.journal)
    return Remembered(means=means, sure=sure)


def remember(means: Means, sure: frozenset[str] | None, journal: Journal) -> None:
    """Keep it for the next session, if possible."""
    journal.remember(HABIT, Habit(person=means.person, tools=means.tools, engine=means.engine, sure=sure))
