"""What a session shows for requests that change nothing in it."""

from collections.abc import Iterator

from advisor.report import RankedCause
from advisor.session.handover import hand_over
from advisor.session.session import Session
from advisor.session.shown import (
    Explained,
    Help,
    SaveAs,
    SaveSheet,
    Sheet,
    Shown,
    Standing,
    ToldSoFar,
    WhyAsked,
    WouldBe,
)
from advisor.session.typed_line import Wish

MOST_SUSPECTED, SUSPECTED_FROM = 5, 0.02  # causes shown as likely now: at most a screenful, and the least probability


def granted(wish: Wish, session: Session) -> Iterator[Shown]:
    """Yield what answers a wish. Raises AdvisorError when it names no known cause or answer."""
    match wish.name:
        case "help":
            yield Help(kind=session.state.kind)
        case "hand over":
            yield Sheet(found=hand_over(session))
        case "told":
            yield ToldSoFar(kind=session.state.kind, says=session.told_so_far(), listed=True)
        case "where":
            yield _standing(session)
        case "why":
            yield WhyAsked(question=session.question)
            yield _explained(session.report.causes[0], session)
        case "why not":
            yield _explained(session.cause(wish.what), session)
        case "what if":
            yield WouldBe(answer=wish.what, causes=session.what_if(wish.what))
        case "sheet":
            yield SaveSheet(name=wish.what, found=hand_over(session))
        case "save":
            yield SaveAs(name=wish.what, text=session.as_case())


def replaced(name: str, session: Session, *, sheet: bool) -> Shown:
    """Return the session, or its sheet for the workshop, to be written over the file of this name."""
    if sheet:
        return SaveSheet(name=name, found=hand_over(session), replace=True)
    return SaveAs(name=name, text=session.as_case(), replace=True)


def _standing(session: Session) -> Standing:
    likely = [one for one in session.report.causes[:MOST_SUSPECTED] if one.probability >= SUSPECTED_FROM]
    return Standing(
        likely=tuple((one.title, one.probability) for one in likely),
        taken=tuple(session.steps_taken()),
        conflicts=session.report.conflicts,
    )


def _explained(cause: RankedCause, session: Session) -> Explained:
    reasons = session.advisor.reasons()
    quoted = {rule for why in cause.why for rule in why.rules if rule in reasons}
    return Explained(cause=cause, reasons={rule: reasons[rule] for rule in sorted(quoted)})
