"""What is read aloud in a call: the question, the words explained in it, and the answer read back."""

from collections.abc import Iterator

from advisor.rulebase.aloud import aloud, read_back
from advisor.rulebase.glossary import explained
from advisor.session.acceptance import waits_for_a_ride
from advisor.session.events import Answered, Event, Skipped
from advisor.session.in_doubt import is_in_doubt
from advisor.session.next_question import CHECK, DONE, HOLDS, REPAIR, WELL, Question
from advisor.session.rider_now import rider_now
from advisor.session.session import Session
from advisor.sides import Side, fill

AGAIN = "Try it again now. Is all of that gone?"


def sentence(question: Question, session: Session) -> str:
    """Return what is read aloud for a question; at the end of a call, what the rider does now."""
    base = session.base
    if question.kind == CHECK:
        return aloud(base.checks[question.name], question.side, base)
    if question.kind == REPAIR:
        return fill(base.causes[question.name].say, question.side)
    if question.kind == HOLDS:
        return (
            rider_now(session.report, session.state.case, base, mended=True)
            if waits_for_a_ride(session.state)
            else AGAIN
        )
    mended, sound = question.kind == DONE, question.kind == WELL
    return rider_now(session.report, session.state.case, base, mended=mended, sound=sound)


def explanations(question: Question, session: Session) -> tuple[str, ...]:
    """Return what is explained with a question: the words of the trade that the rider has not heard in this call."""
    said = " ".join((sentence(question, session), *question.cautions))
    return explained(said, _heard(session.state.counting, session), session.base)


def confirmed(event: Answered, session: Session) -> str:
    """Return the statement by which an answer is read back."""
    said = read_back(_asked(event.check, event.side, session), event.says)
    return f"{said} You are not sure of it." if is_in_doubt(event, session.base) else said


def _heard(events: tuple[Event, ...], session: Session) -> Iterator[str]:
    """Yield what was read aloud in a call so far."""
    for event in events:
        if isinstance(event, Answered | Skipped):
            yield _asked(event.check, event.side, session)
            check = session.base.checks.get(event.check)
            yield from (session.base.cautions[name].says for name in (check.cautions if check else ()))


def _asked(name: str, side: Side, session: Session) -> str:
    check = session.base.checks.get(name)
    return aloud(check, side if check.sided else None, session.base) if check else ""
