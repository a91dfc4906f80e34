"""What a dialogue shows of its state: what it asks, what comes above that, and how it ended."""

import shlex
import time
from collections.abc import Collection, Iterator, Sequence

from advisor.session import shown
from advisor.session.events import PHONE
from advisor.session.needless import needed
from advisor.session.next_question import dangers, is_done
from advisor.session.notes import noted
from advisor.session.place import (
    CHOSEN,
    Asks,
    ForAnswer,
    ForNumbers,
    ForPerson,
    ForReplace,
    ForToolRoll,
    ForTools,
    ForWords,
    Over,
)
from advisor.session.said_aloud import explanations, sentence
from advisor.session.session import Session
from advisor.session.shown import Shown
from advisor.session.store import default_path


def asked(asks: Asks, session: Session) -> Iterator[Shown]:
    """Yield what is asked with everything above it; cautions in full."""
    match asks:
        case ForTools():
            yield shown.ToolsListed(titles=tuple(one.title for one in session.base.tools.values()))
        case ForToolRoll(tools=tools):
            titles = tuple(session.base.tools[name].title for name in tools)
            yield shown.AskToolRoll(titles=titles, aloud=session.base.tool_roll_asked)
        case ForNumbers(signs=signs, told=told) if told == CHOSEN:
            yield shown.Troubles(signs=signs)
        case ForNumbers(signs=signs):
            hurts = needed(session.hearing.dangers_of(signs), (), session.base)
            yield shown.Understood(signs=signs, dangers=hurts)
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
    first = dangers(question, report)
    hurts, more = needed(first, question.cautions, session.base), needed(question.cautions, first, session.base)
    return shown.QuestionShown(
        kind=kind,
        question=question,
        dangers=tuple(shown.Caution(says=says, again=says in heard) for says in hurts),
        cautions=tuple(shown.Caution(says=says, again=says in heard) for says in more),
        may_ride="riding" not in report.forbidden,
        aloud=sentence(question, session) if kind == PHONE else "",
        words=explanations(question, session) if kind == PHONE else (),
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
    command = goes_on_with(session, session.state.rules or ()) if number else ""
    return shown.Ended(kind=session.state.kind, how=how, session=number, lost=lost, command=command)


def goes_on(session: Session) -> shown.GoesOn:
    """Return which earlier session goes on."""
    journal = session.journal
    age = None if journal.touched is None else max(0.0, time.time() - journal.touched)
    return shown.GoesOn(
        session=journal.session,
        complaint=session.state.case.complaint,
        age=age,
        kind=session.state.kind,
        notes=noted(session.state.counting),
    )


def other_rules(session: Session, rules: tuple[str, ...]) -> Iterator[shown.OtherRules]:
    """Yield that a session was written with other rules than it goes on with, which have these folders of a shop."""
    state = session.state
    same = state.rules in {rules, None}
    if state.unknown or not same:
        command = "" if same else goes_on_with(session, state.rules or ())
        yield shown.OtherRules(begun_with=state.rules, unknown=state.unknown, command=command)


def goes_on_with(session: Session, rules: Sequence[str]) -> str:
    """Return the command that goes on with a session under these folders of rules."""
    journal = session.journal
    words = ["advisor", session.state.kind, "--session", str(journal.session)]
    if journal.path is not None and journal.path != default_path():
        words += ["--store", str(journal.path)]
    for folder in rules:
        words += ["--rules", folder]
    return shlex.join(words)
