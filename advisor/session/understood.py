"""What is shown of the last answer before the session goes on: what words were taken for, and what figures say."""

from collections.abc import Iterator

from advisor.session.events import Answered
from advisor.session.in_doubt import NOT_SURE, is_in_doubt
from advisor.session.session import Session
from advisor.session.shown import FigureMeans, Shown, TakenAs
from advisor.session.typed_line import NUMBERS


def understood(session: Session, line: str = "0") -> Iterator[Shown]:
    """Yield how the last line was understood, if it was not the number of an answer."""
    last = session.journal.events[-1]
    typed = " ".join(line.split())
    chosen = last.says if isinstance(last, Answered) and not NUMBERS.match(typed) else ""
    if chosen and isinstance(last, Answered) and is_in_doubt(last, session.base):
        chosen = f"{chosen} ({NOT_SURE})"
    if chosen and isinstance(last, Answered) and (beside := session.told_beside(last)):
        chosen = f"{chosen} And: {'; '.join(beside)}."
    if chosen or session.unheard:
        yield TakenAs(says=chosen, unheard=session.unheard)
    yield from (FigureMeans(found=one) for one in session.figures_say())
