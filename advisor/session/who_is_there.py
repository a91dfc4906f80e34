"""Who is there with which tools: asked once at the bike, then remembered; on the phone it is the rider."""

import contextlib

import msgspec

from advisor.case import Means
from advisor.rulebase.model import Rulebase
from advisor.session.events import PHONE
from advisor.session.store import Store, StoreError

HABIT = "at hand"  # the store's name for it


def known(kind: str, store: Store | None, base: Rulebase) -> Means | None:
    """Return who is there in a session of a kind, or None if that must be asked."""
    if kind == PHONE:
        return Means(person=base.persons[0], tools=frozenset(), engine="")
    with contextlib.suppress(StoreError, msgspec.MsgspecError):  # if the habit cannot be read, the user is asked
        kept = store.habit(HABIT) if store else None
        return msgspec.json.decode(kept, type=Means) if kept else None
    return None


def remember(means: Means, store: Store | None) -> None:
    """Keep it for the next session, if possible: the journal reports trouble with its store anyway."""
    with contextlib.suppress(StoreError):
        if store is not None:
            store.remember(HABIT, means)


def not_said(base: Rulebase) -> Means:
    """Return who is assumed to be there if the input ends before it says: a mechanic with every tool."""
    return Means(person=base.persons[1], tools=None, engine="")
