"""Who is there with which tools: asked once at the bike, then remembered; on the phone it is the rider."""

import msgspec

from advisor.case import Means
from advisor.rulebase.model import Rulebase
from advisor.session.events import PHONE
from advisor.session.schema import from_json
from advisor.session.store import Journal

HABIT = "at hand"  # the store's name for it
MEANS = msgspec.json.Decoder(Means)


def known(kind: str, journal: Journal, base: Rulebase) -> Means | None:
    """Return who is there in a session of a kind, or None if that must be asked."""
    if kind == PHONE:
        return Means(person=base.persons[0], tools=frozenset(), engine="")
    return from_json(journal.habit(HABIT), MEANS)


def remember(means: Means, journal: Journal) -> None:
    """Keep it for the next session, if possible."""
    journal.remember(HABIT, means)
