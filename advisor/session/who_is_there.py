"""Who is there: asked once at the bike and then remembered, as is each tool; on the phone it is the rider."""

import msgspec

from advisor.case import Means
from advisor.rulebase.model import Rulebase
from advisor.session.events import PHONE, AtHand
from advisor.session.schema import from_json
from advisor.session.store import Journal

HABIT = "at hand"  # the store's name for it


class Habit(Means, frozen=True, kw_only=True):
    """Who is there, as remembered from one session to the next; `sure` as in `AtHand`."""

    sure: frozenset[str] | None = None


HABITS = msgspec.json.Decoder(Habit)


def known(kind: str, journal: Journal, base: Rulebase) -> AtHand | None:
    """Return who is there in a session of a kind, or None if that must be asked."""
    if kind == PHONE:
        return AtHand(Means(person=base.persons[0], tools=frozenset(), engine=""))
    found = from_json(journal.habit(HABIT), HABITS)
    if found is None:
        return None
    return AtHand(Means(person=found.person, tools=found.tools, engine=found.engine), found.sure)


def as_person(person: str, means: Means, sure: frozenset[str] | None, base: Rulebase) -> AtHand:
    """Return that this person is there: a workshop has every tool, others keep those that are known so far."""
    if person == base.persons[-1]:
        return AtHand(Means(person=person, tools=None, engine=means.engine))
    if sure is None:  # nobody was asked
        return AtHand(Means(person=person, tools=None, engine=means.engine), frozenset())
    return AtHand(Means(person=person, tools=means.tools, engine=means.engine), sure)


def remember(means: Means, sure: frozenset[str] | None, journal: Journal) -> None:
    """Keep it for the next session, if possible."""
    journal.remember(HABIT, Habit(person=means.person, tools=means.tools, engine=means.engine, sure=sure))
