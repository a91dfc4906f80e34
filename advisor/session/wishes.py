"""What a session shows for requests that change nothing in it."""

from collections.abc import Iterator

from advisor.report import RankedCause
from advisor.session.events import BALANCE, PHONE, TUNE_UP
from advisor.session.handover import hand_over
from advisor.session.job import job_of
from advisor.session.led_standing import balance_stands, balance_why, tune_up_stands
from advisor.session.next_question import ENDS
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.session import Session
from advisor.session.shown import (
    AnswersShown,
    Explained,
    Help,
    LedStands,
    RecordShown,
    SaveAs,
    SaveReport,
    SaveSheet,
    Sheet,
    Shown,
    Standing,
    ToldSoFar,
    WhyAsked,
    WouldBe,
)
from advisor.session.told_so_far import answers_of
from advisor.session.typed_line import Wish
from advisor.sides import fill

MOST_SUSPECTED, SUSPECTED_FROM = 5, 0.02  # causes shown as likely now: at most a screenful, and the least probability


def granted(wish: Wish, session: Session) -> Iterator[Shown]:  # noqa: C901 - one case a kind of wish
    """Yield what answers a wish. Raises AdvisorError when it names no known cause or answer."""
    match wish.name:
        case "help":
            yield Help(kind=session.state.kind)
        case "hand over":
            yield Sheet(found=hand_over(session))
        case "told":
            yield ToldSoFar(kind=session.state.kind, says=session.all_said(), listed=True)
        case "answers":
            yield _answers(int(wish.what), session)
        case "where":
            yield from _where(session)
        case "why":
            yield from _why(session)
        case "why not":
            yield _explained(session.cause(wish.what), session)
        case "what if":
            yield WouldBe(answer=wish.what, causes=session.what_if(wish.what))
        case "sheet":
            yield SaveSheet(name=wish.what, found=hand_over(session))
        case "save":
            yield SaveAs(name=wish.what, text=session.as_case())
        case "record":
            yield _record(wish.what, session)
        case "report":
            yield SaveReport(name=wish.what, found=job_of(session))


def _record(name: str, session: Session) -> Shown:
    """Return the record of a session: to be shown, or to be written to a file of this name."""
    found = record_shown(session)
    return SaveAs(name=name, text=found.text, wish="record") if name else found


def has_a_record(session: Session) -> bool:
    """Whether a session at the bike that ends now ends with its record: it has come to an end of its own."""
    started = session.state.undoable > 0
    return started and session.state.kind != PHONE and session.question.kind in ENDS


def record_shown(session: Session) -> RecordShown:
    """Return the record of a session as it stands."""
    found = record_of(session)
    return RecordShown(found=found, text=record_text(found))


def _answers(number: int, session: Session) -> AnswersShown:
    (check, side), answers = answers_of(number, session.state, session.base)
    return AnswersShown(number=number, title=fill(session.base.checks[check].title, side), answers=answers)


def _where(session: Session) -> Iterator[Shown]:
    """Yield where what is led stands; a balance has no likely causes."""
    if session.state.leads == BALANCE:
        yield LedStands(says=tuple(balance_stands(session)))
        return
    if session.state.leads == TUNE_UP:
        yield LedStands(says=tuple(tune_up_stands(session.report)))
    yield _standing(session)


def _why(session: Session) -> Iterator[Shown]:
    """Yield why the question is asked."""
    if session.state.leads == BALANCE:
        yield LedStands(says=tuple(balance_why(session)), why=True)
        return
    yield WhyAsked(question=session.question)
    if session.state.leads != TUNE_UP:
        yield _explained(session.report.causes[0], session)


def _standing(session: Session) -> Standing:
    likely = [one for one in session.report.causes[:MOST_SUSPECTED] if one.probability >= SUSPECTED_FROM]
    return Standing(
        likely=tuple((one.title, one.probability) for one in likely),
        said=session.all_said(),
        conflicts=session.report.conflicts,
    )


def _explained(cause: RankedCause, session: Session) -> Explained:
    reasons = session.advisor.reasons()
    quoted = {rule for why in cause.why for rule in why.rules if rule in reasons}
    return Explained(cause=cause, reasons={rule: reasons[rule] for rule in sorted(quoted)})
