"""Who is there with which tools: asked once at the bike, then remembered; on the phone it is the rider.

A rider is taken to have a tool roll, until the first check that needs something out of it: then he is asked.
"""

from collections.abc import Iterable

import msgspec

from advisor.case import Means
from advisor.rulebase.model import Rulebase
from advisor.session.events import PHONE, AtHand
from advisor.session.next_question import Question
from advisor.session.schema import from_json
from advisor.session.state import State
from advisor.session.store import Journal

HABIT = "at hand"  # the store's name for it
MEANS = msgspec.json.Decoder(Means)


def known(kind: str, journal: Journal, base: Rulebase) -> Means | None:
    """Return who is there in a session of a kind, or None if that must be asked."""
    if kind == PHONE:
        return of_a_rider(base.tool_roll, base)
    return from_json(journal.habit(HABIT), MEANS)


def of_a_rider(tools: Iterable[str], base: Rulebase) -> Means:
    """Return who is there on the phone: a rider with these tools."""
    return Means(person=base.persons[0], tools=frozenset(tools), engine="")


def lacks_the_tool_roll(state: State, question: Question) -> bool:
    """Whether a call has come to the first question that needs a tool: until then tools were taken for granted."""
    asked = sum(isinstance(event, AtHand) for event in state.known) > 1
    return state.kind == PHONE and not asked and bool(question.tools)


def remember(means: Means, journal: Journal) -> None:
    """Keep it for the next session, if possible."""
    journal.remember(HABIT, means)
