"""A line taken at the place where a dialogue stands: what it means there, and what is shown of it."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.errors import AdvisorError
from advisor.session import choices, place, shown, who_is_there
from advisor.session.contradictions import Opposed
from advisor.session.ending import end
from advisor.session.events import PHONE, Answered, Corrected, Read, Undone
from advisor.session.hearing import MayMean
from advisor.session.next_question import DONE, WELL
from advisor.session.prompts import contradicts
from advisor.session.said_aloud import confirmed
from advisor.session.shown import Shown
from advisor.session.talk import NOT_UNDERSTOOD, Talk
from advisor.session.typed_line import NUMBERS, Wish, note_in
from advisor.session.understood import understood
from advisor.session.wishes import granted

NOR_THESE, TELL_MORE = "nothing is known by these words either", "'also WORDS' tells more at any time"
NOT_HERE = "on the phone it is the rider"
COVERED = "the last list is of what was said"
UNCOVER = "'2: 1' or 'drop 2' set its 2 right; Enter shows the question again, and then a number answers it"
LISTS = (shown.ToldSoFar, shown.Standing)  # what is numbered and below the question


def taken(line: str, talk: Talk) -> Iterator[Shown]:
    """Take a line and yield what to show. Raises AdvisorError if it means nothing here."""
    note = note_in(line, talk.session.state.kind, talk.place.asks)
    if note is not None:
        talk.session.noted(note)
        yield shown.NotedDown(about=note.about, says=note.says)
        yield from talk.trouble()
        yield from talk.prompt()
    else:
        yield from _taken(line, talk)


def _taken(line: str, talk: Talk) -> Iterator[Shown]:
    match talk.place.asks:
        case place.ForWords() as asks:
            yield from begun(line, asks, talk)
        case place.ForPerson():
            yield who_is_there.take_person(line, talk.session)
            yield from talk.go_on()
        case place.ForTools():
            yield from who_is_there.take_tools(line, talk.session)
            yield from talk.go_on()
        case place.ForTool(tool=tool):
            yield from _tool(tool, line, talk)
        case place.ForToolRoll(tools=tools):
            yield from _tool_roll(tools, line, talk)
        case place.ForNumbers() as asks:
            yield from _numbers(asks, line, talk)
        case place.ForAnew(number=number):
            yield from _anew(number, line, talk)
        case place.ForAnswer():
            yield from _answer(line, talk)
        case place.ForReplace() as asks:
            yield from replaced(asks, line, talk)


def begun(sentence: str, asks: place.ForWords, talk: Talk) -> Iterator[Shown]:
    """Begin a session with what is wrong."""
    talk.session.begin(asks.kind, sentence, bike=asks.bike, rules=asks.rules)
    heard = place.Understand(words=sentence, told=place.OPENING)
    yield from talk.go_on(place.WhoIsThere(), heard, place.OfferTroubles())


def _tool(tool: str, line: str, talk: Talk) -> Iterator[Shown]:
    """Take whether a tool is there, or whatever else may be typed at the step that needs it."""
    if who_is_there.take_tool(tool, line, talk.session):
        yield from talk.go_on()
        return
    if line.strip():
        yield from _answer(line, talk)
    if talk.place.asks == place.ForTool(tool=tool):
        yield from talk.prompt()


def _tool_roll(tools: Sequence[str], line: str, talk: Talk) -> Iterator[Shown]:
    if choices.stops(line):
        yield from end(talk)
        return
    has = choices.tool_roll(line, tools)
    talk.session.at_hand(who_is_there.of_a_rider(has, talk.session.base).means)
    yield from talk.go_on()


# What words may mean


def _numbers(asks: place.ForNumbers, line: str, talk: Talk) -> Iterator[Shown]:
    if choices.stops(line):
        yield from end(talk)
        return
    if choices.again(line):
        yield from talk.asked()
        return
    if look := choices.looks(line):
        yield from granted(Wish(look), talk.session)
        yield from talk.asked()
        return
    said = choices.chosen(line, len(asks.signs))
    if isinstance(said, str):
        yield from _other_words(said, asks, talk)
        return
    known = talk.session.opposed() if asks.told == place.ALSO else ()
    yield from _chosen([asks.signs[number - 1] for number in said], asks, known, talk)


def _chosen(chosen: list[MayMean], asks: place.ForNumbers, known: Sequence[Opposed], talk: Talk) -> Iterator[Shown]:
    """Keep what was chosen of what words may mean; the words themselves, if nothing was."""
    session = talk.session
    session.told(chosen, asks.instead)
    if chosen and not any(one.warns for one in chosen):  # nothing stands before what can hurt
        yield shown.ToldSoFar(kind=session.state.kind, says=session.told_so_far())
    yield from understood(session)
    yield from talk.trouble()
    if chosen:
        yield from contradicts(known, session)
    elif asks.told == place.ALSO and asks.words and not asks.instead:
        yield from talk.keep(asks.words, offered=True)
    yield from talk.go_on()


def _other_words(words: str, asks: place.ForNumbers, talk: Talk) -> Iterator[Shown]:
    """Offer what other words may mean, beside what was understood before: they add, and take nothing away.

    If they mean nothing, the list is shown again, but not the troubles.
    """
    if talk.session.hearing.understood(words):
        if asks.told == place.CHOSEN:
            yield from talk.offer(words, place.OPENING)
        else:
            yield from talk.offer(words, asks.told, asks.signs, asks.instead)
    elif asks.told == place.CHOSEN:
        yield shown.Mistake(says=NOR_THESE, typed=TELL_MORE)
        yield from talk.go_on()
    else:
        yield shown.Mistake(says=NOT_UNDERSTOOD)
        yield from talk.asked()


# An answer


def _anew(number: int, line: str, talk: Talk) -> Iterator[Shown]:
    """Take another answer of what was answered under a number; anything else as an answer to the question."""
    talk.now(asks=place.ForAnswer())
    anew = NUMBERS.match(line.strip()) is not None
    try:
        yield from _answer(f"{number}: {line.strip()}" if anew else line, talk)
    except AdvisorError:
        talk.now(asks=place.ForAnew(number=number))
        raise


def _answer(line: str, talk: Talk) -> Iterator[Shown]:
    session = talk.session
    if session.question.kind in {DONE, WELL} and choices.ends(line):
        yield from end(talk)
        return
    if not line.strip():
        yield talk.question(talk.place.part + (not talk.place.covered))
        return
    if talk.place.covered and NUMBERS.match(line.strip()):
        raise AdvisorError(COVERED, UNCOVER)
    steps, known = session.kept(), session.opposed()
    wish = session.answer(line)
    if wish is not None:
        yield from _wish(wish, talk)
        return
    yield from _acknowledged(steps, talk)
    yield from understood(session, line)
    yield from talk.trouble()
    yield from contradicts(known, session)
    undone = isinstance(session.journal.events[-1], Undone)
    if undone:
        talk.now(open=None)
    if undone and not session.state.undoable:  # the slip was in what was understood
        yield from talk.go_on(place.Understand(words=session.state.case.complaint, told=place.AGAIN))
    else:
        yield from talk.go_on()


def _acknowledged(steps: Sequence[str], talk: Talk) -> Iterator[Shown]:
    """Yield an answer as understood, to be read back to a rider; or which of the `steps` were taken back."""
    session = talk.session
    kind, last = session.state.kind, session.journal.events[-1]
    if isinstance(last, Undone):
        yield shown.TakenBack(steps=tuple(steps[len(session.kept()) :]))
    elif isinstance(last, Corrected):
        says, forgotten = session.set_right(last)
        yield shown.SetRight(kind=kind, says=says, forgotten=forgotten)
    elif isinstance(last, Read) and kind == PHONE:
        yield shown.ReadingsTaken(says=tuple(session.in_words(last)))
    elif isinstance(last, Answered) and kind == PHONE:
        yield shown.ReadBack(says=confirmed(last, session))


def _wish(wish: Wish, talk: Talk) -> Iterator[Shown]:
    session, phone = talk.session, talk.session.state.kind == PHONE
    match wish.name:
        case "stop":
            yield from end(talk)
        case "tools" if phone:
            talk.now(asks=place.ForToolRoll(tools=session.base.tool_roll))
            yield from talk.asked()
        case "who" if phone:
            yield shown.Mistake(says=NOT_HERE)
        case "tools" | "who":
            talk.now(asks=place.ForTools() if wish.name == "tools" else place.ForPerson())
            yield from talk.asked()
        case "also":
            yield from talk.offer(wish.what, place.ALSO)
        case "instead":
            number, _, words = wish.what.partition(" ")
            yield from talk.offer(words, place.ALSO, instead=int(number))
        case "again":
            yield talk.question(talk.place.part)
        case "cautions":
            yield talk.cautions()
        case _:
            yield from _granted(wish, talk)


def _granted(wish: Wish, talk: Talk) -> Iterator[Shown]:
    """Yield what answers a wish; a number typed next is meant for the list that it shows, if any."""
    found = list(granted(wish, talk.session))
    yield from found
    if any(isinstance(one, LISTS) for one in found):
        talk.now(covered=True)
    if wish.name == "answers":
        talk.now(asks=place.ForAnew(number=int(wish.what)))
    if wish.name == "hand over":
        talk.now(handed_over=len(talk.session.journal.events))


def replaced(asks: place.ForReplace, line: str, talk: Talk) -> Iterator[Shown]:
    """Take whether a file is to be replaced."""
    if choices.stops(line):
        talk.now(asks=place.ForAnswer())
        yield shown.LeftAlone(name=asks.name)
        yield from end(talk)
        return
    replace = choices.replaces(line)
    talk.now(asks=place.ForAnswer())
    if not replace:
        yield shown.LeftAlone(name=asks.name)
        return
    wish = Wish(asks.wish, asks.name)
    yield from (msgspec.structs.replace(one, replace=True) for one in granted(wish, talk.session))
