"""What a dialogue shows of its state: what it asks, what comes above that, and how it ended."""

from collections.abc import Collection, Iterator

from advisor.rulebase.aloud import aloud
from advisor.session import shown
from advisor.session.events import PHONE
from advisor.session.next_question import CHECK, dangers, is_done
from advisor.session.place import CHOSEN, Asks, ForAnswer, ForNumbers, ForPerson, ForReplace, ForTools, ForWords, Over
from advisor.session.session import Session
from advisor.session.shown import Shown


def asked(asks: Asks, session: Session) -> Iterator[Shown]:
    """Yield what is asked with everything above it; cautions in full."""
    match asks:
        case ForTools():
            yield shown.ToolsListed(titles=tuple(one.title for one in session.base.tools.values()))
        case ForNumbers(signs=signs, told=told) if told == CHOSEN:
            yield shown.Troubles(signs=signs)
        case ForNumbers(signs=signs):
            yield shown.Understood(signs=signs, dangers=session.hearing.dangers_of(signs))
        case ForAnswer():
            yield question_shown(session)
        case Over():
            yield ended(session)
    yield from prompt(asks, session)


def prompt(asks: Asks, session: Session) -> Iterator[Shown]:
    """Yield what is asked again after a slip: the prompt alone, nothing for a question, which is still on screen."""
    match asks:
        case ForWords():
            yield shown.AskWords()
        case ForPerson():
            yield shown.AskWho(persons=tuple(session.base.persons))
        case ForTools():
            yield shown.AskTools()
        case ForNumbers(signs=signs):
            yield shown.AskNumbers(most=len(signs))
        case ForReplace(name=name):
            yield shown.AskReplace(name=name)


def question_shown(session: Session, heard: Collection[str] = ()) -> shown.QuestionShown:
    """Return the session's question with what can hurt; cautions already `heard` in full are shortened."""
    question, report, kind = session.question, session.report, session.state.kind
    check = session.base.checks[question.name] if kind == PHONE and question.kind == CHECK else None
    return shown.QuestionShown(
        kind=kind,
        question=question,
        dangers=tuple(shown.Caution(says=says, again=says in heard) for says in dangers(question, report)),
        cautions=tuple(shown.Caution(says=says, again=says in heard) for says in question.cautions),
        may_ride="riding" not in report.forbidden,
        aloud=aloud(check, question.side, session.base) if check else "",
    )


def ended(session: Session) -> shown.Ended:
    """Return how a session that ends now has ended."""
    journal = session.journal
    lost = len(journal.events) - journal.kept
    if not journal.events:
        how = shown.NOTHING_TOLD
    elif is_done(session.state):
        how = shown.FIXED
    elif not lost:
        how = shown.KEPT
    else:
        how = shown.KEPT_IN_PART if journal.kept else shown.NOT_KEPT
    number = journal.session if journal.kept else 0
    return shown.Ended(kind=session.state.kind, how=how, session=number, lost=lost)
