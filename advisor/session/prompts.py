"""What a dialogue shows of its state: what it asks, what comes above that, and how it ended."""

import shlex
import time
from collections.abc import Collection, Iterator, Sequence

import msgspec

from advisor.rulebase.model import Rulebase
from advisor.session import place, room, shown
from advisor.session.contradictions import Opposed
from advisor.session.events import PHONE, Answered, Event, Told
from advisor.session.hearing import Hearing, MayMean
from advisor.session.listing import led_words
from advisor.session.needless import needed
from advisor.session.next_question import LED, dangers, is_done
from advisor.session.notes import noted
from advisor.session.place import Asks
from advisor.session.said_aloud import explanations, sentence
from advisor.session.session import Session
from advisor.session.shown import Shown
from advisor.session.store import default_path


def asked(asks: Asks, session: Session) -> Iterator[Shown]:
    """Yield what is asked with everything above it; cautions in full."""
    match asks:
        case place.ForTools():
            yield _tools(session)
        case place.ForToolRoll(tools=tools):
            titles = tuple(session.base.tools[name].title for name in tools)
            yield shown.AskToolRoll(titles=titles, aloud=session.base.tool_roll_asked)
        case place.ForNumbers(signs=signs, told=told) if told == place.CHOSEN:
            yield shown.Troubles(signs=signs)
        case place.ForNumbers(signs=signs):
            yield understood(signs, session.hearing)
        case place.ForAnswer() | place.ForAnew():
            yield question_shown(session)
        case place.Over():
            yield ended(session)
    yield from prompt(asks, session)


def _tools(session: Session) -> shown.ToolsListed:
    has, sure, every = session.state.case.means.tools, session.state.sure, session.base.tools
    lacking = set() if has is None else set(every) - has
    there = set(every) - lacking if sure is None else sure
    known = {name: name in there for name in every if name in there | lacking}
    return shown.ToolsListed(tools=tuple((tool.title, known.get(name)) for name, tool in every.items()))


def understood(signs: Sequence[MayMean], hearing: Hearing) -> shown.Understood:
    """Return what words may mean with what can hurt then, shortened where there is no room."""
    dangers = hearing.dangers_of(signs)
    _, full = room.listed(dangers, [one.title for one in signs])
    return shown.Understood(
        signs=tuple(signs), dangers=tuple(one if one in full else room.in_short(one) for one in dangers)
    )


def at_once(signs: Sequence[MayMean], hearing: Hearing) -> int:
    """Return how many of these, which may be meant, fit on a screen."""
    return room.listed(hearing.dangers_of(signs), [f"not: {one.title}" for one in signs])[0]


def prompt(asks: Asks, session: Session) -> Iterator[Shown]:
    """Yield what is asked again after a slip: the prompt alone, nothing for a question, which is still on screen."""
    match asks:
        case place.ForWords():
            yield shown.AskWords()
        case place.ForPerson():
            yield shown.AskWho(persons=tuple(session.base.persons))
        case place.ForTools():
            yield shown.AskTools()
        case place.ForTool(tool=tool):
            yield shown.AskTool(tool=session.base.tools[tool].title, step=session.question.title)
        case place.ForNumbers(signs=signs):
            yield shown.AskNumbers(most=len(signs))
        case place.ForReplace(name=name):
            yield shown.AskReplace(name=name)


def question_shown(session: Session, heard: Collection[str] = (), part: int = 0) -> shown.QuestionShown:
    """Return a part of the session's question with what can hurt; cautions already `heard` in full are shortened."""
    question, report, kind = session.question, session.report, session.state.kind
    first = dangers(question, report)
    hurts, more = needed(first, question.cautions, session.base), needed(question.cautions, first, session.base)
    plain = shown.QuestionShown(
        kind=kind,
        question=question,
        dangers=tuple(shown.Caution(says=says, again=says in heard) for says in hurts),
        cautions=tuple(shown.Caution(says=says, again=says in heard) for says in more),
        may_ride="riding" not in report.forbidden,
        aloud=sentence(question, session) if kind == PHONE else "",
        words=explanations(question, session) if kind == PHONE else (),
    )
    return fitted(msgspec.structs.replace(plain, brief=_in_brief(plain, session.base)), part)


def _in_brief(found: shown.QuestionShown, base: Rulebase) -> str:
    """Return the cautions of a led step in a few words each; '' unless all were heard and have some."""
    brief = {one.says: one.brief for one in base.cautions.values()}
    says = [brief.get(one.says, "") for one in found.cautions]
    led = found.question.kind == LED and found.kind != PHONE
    return " ".join(says) if led and all(says) and all(one.again for one in found.cautions) else ""


def fitted(found: shown.QuestionShown, part: int = 0) -> shown.QuestionShown:
    """Return a part of a question that fits a screen, with cautions shortened for which there is no room."""
    phone, asked, hurts = found.kind == PHONE, found.question, (*found.dangers, *found.cautions)
    doing, answers = room.on_the_phone(asked, found.aloud, found.words) if phone else room.at_the_bike(asked)
    care = room.above(dangers=bool(found.dangers), rides=found.may_ride, phone=phone)
    says, heard = [one.says for one in hurts], {one.says for one in hurts if one.again}
    dangers, cautions = says[: len(found.dangers)], says[len(found.dangers) :]
    fits = room.parts(dangers, cautions, heard, care=care, doing=doing, answers=answers)
    now = [shown.Caution(says=one.says, again=one.says not in fits.full) for one in hurts]
    return msgspec.structs.replace(
        found,
        dangers=tuple(now[: len(found.dangers)]),
        cautions=tuple(now[len(found.dangers) :]),
        part=fits.names[part % len(fits.names)],
        parts=fits.names,
        more=any(new.again and not one.again for one, new in zip(hurts, now, strict=True)),
    )


def contradicts(known: Collection[Opposed], session: Session) -> Iterator[shown.Contradiction]:
    """Yield what cannot all be so and was not known before, so that a slip of the tongue is not carried along."""
    before = [one.said for one in known]
    words = dict(session.all_said())
    for one in session.opposed():
        if one.said not in before:
            yield shown.Contradiction(
                says=tuple((number, words[number]) for number in one.numbers),
                mends=tuple(_mend(number, said.event) for number, said in zip(one.numbers, one.said, strict=True)),
            )


def _mend(number: int, said: Event) -> str:
    """Return what may be typed to set something right."""
    if isinstance(said, Told) and said.reports:
        return f"not {number}"
    return f"{number}:" if isinstance(said, Answered) else f"drop {number}"


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
        complaint=session.state.case.complaint or led_words(session.state.counting),
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
