"""The minutes that the pages give for what was done in a session."""

from advisor.rulebase.model import Rulebase
from advisor.session.events import Answered, Event, PutRight, Read, RuledOut


def minutes_of(event: Event, base: Rulebase) -> float:
    """Return the minutes that the pages give for what an event says was done."""
    match event:
        case Answered(check=check):
            return base.checks[check].minutes if check in base.checks else 0.0
        case PutRight(cause=cause) | RuledOut(cause=cause, in_vain=True):
            return base.causes[cause].minutes
        case Read(readings=readings):
            names = {one.reading for one in readings}
            return min((one.minutes for one in base.checks.values() if names & {*one.takes}), default=0.0)
    return 0.0
