"""What was typed, as an event or a wish. Nothing here decides anything about the bike."""

import re
from difflib import get_close_matches

import msgspec
from msgspec.structs import replace

from advisor.errors import AdvisorError
from advisor.intake.sentence import understand as understood
from advisor.intake.told_figures import told_readings
from advisor.rulebase.aloud import aloud
from advisor.rulebase.model import Rulebase
from advisor.session.acceptance import NOT_YET
from advisor.session.answer_in_words import LONGEST_HEARD, InWords, in_words, is_bare
from advisor.session.answer_meant import answer_said, said_in_own_words
from advisor.session.balance_typed import figures, turned
from advisor.session.events import PHONE, Answered, Event, Noted, PutRight, RuledOut, Skipped, Undone
from advisor.session.in_doubt import in_doubt, refuse_open, without_doubt
from advisor.session.next_question import CHECK, DONE, FIXED, HOLDS, IN_VAIN, LED, REPAIR, Question
from advisor.session.notes import typed_note
from advisor.session.place import Asks, ForNumbers, ForWords
from advisor.session.state import State
from advisor.session.to_the_balance import typed_way
from advisor.session.told_so_far import answers_of, denied, dropped, said_anew
from advisor.session.yes_or_no import meant_by

NOT_KNOWN = (
    *("not known", "don't know", "dont know", "i don't know", "i dont know", "unknown", "dunno", "no idea"),
    *("not sure", "unsure", "skip", "pass", "he doesn't know", "she doesn't know"),
    *("not known yet", "not yet", "too early to say"),
)
# Only as the whole line: longer ones may say something about the bike ("can't hear the left one").
CANNOT = re.compile(
    r"^(?:i |he |she )?(?:can'?t|cannot)(?: do)?(?: that| it| this)?(?: now| here)*$"
    r"|^can'?t (?:tell|say)(?: yet)?$|^no tools?$"
)
ALREADY = re.compile(r"^already done:?\s*", re.IGNORECASE)
WISHES = {
    "where": ("where", "where do we stand", "show me where we stand", "stand"),
    "why": ("why",),
    "hand over": ("hand over", "handover", "sheet"),
    "stop": ("stop", "quit", "exit"),
    "help": ("help", "h", "?"),
    "tools": ("tools",),
    "who": ("who",),
    "told": ("told", "what was told"),
    "again": ("again", "once more", "repeat"),
    "cautions": ("cautions", "caution"),
    "record": ("record",),
}
NUMBERS = re.compile(r"^\d+(?:[ ,]+\d+)*$")
TOO_MANY_DIGITS = re.compile(r"\d{30}")
UNDO = re.compile(r"^(?:undo|back)(?:\s+(?P<count>\d+|all))?$")
WITH_WORDS = {
    "why not": "why not CAUSE",
    "what if": "what if 2",
    "also": "also WORDS",
    "save": "save FILE",
    "sheet": "sheet FILE",
    "report": "report FILE",
    "undo": "undo, undo 3 or undo all",
}
CORRECTS = re.compile(r"^(?P<how>not|deny|drop|forget)\s+(?P<numbers>\d{1,3}(?:(?:[ ,]+|\s+and\s+)\d{1,3})*)$")
SAYS_ANEW = re.compile(r"^(?P<number>\d{1,3})\s*:\s*(?P<words>.*)$")
# Between the name of a reading and its first figure or side.
TO_FIGURES = re.compile(
    r"(?:[:,]|\s+(?:is|was|are|now|then|again|after|afterwards)\b|\s)+(?=left|right|[-+]?\d)", re.IGNORECASE
)
LONGEST = 5_000  # characters in a line: whole letters of complaint have fewer
LETTERS = re.compile(r"[^\W\d_]{3}")  # anything shorter says nothing
ALIKE = 0.75  # two words this much alike (0 to 1) may be one word misspelt
YES_OR_NO = frozenset({"yes", "no", "y", "n", "yeah", "nope", "ok", "maybe"})
NAMED = re.compile(r"^(?P<wish>why not|what if|also|save|record|sheet|report)\s+(?P<what>.+)$")


def typed(line: str) -> str:
    """Return a line as it can be kept: halves of characters become marks. Raises AdvisorError if it is too long."""
    if len(line) > LONGEST:
        msg = f"this is {len(line):,} characters long, and {LONGEST:,} are taken; say it shorter, or in several lines"
        raise AdvisorError(msg)
    return line.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


class Wish(msgspec.Struct, frozen=True):
    """Something asked of the session that changes nothing in it."""

    name: str
    what: str = ""


def understand(line: str, question: Question, state: State, base: Rulebase) -> Event | Wish | InWords:
    """Return what a line of input means here; figures and words as they were typed.

    Raises AdvisorError with one sentence when it means nothing.
    """
    text = " ".join(line.split())
    low = text.lower()
    for name, words in WISHES.items():
        if low in words:
            return Wish(name)
    if match := NAMED.match(text):
        return Wish(match["wish"], match["what"])
    if match := TOO_MANY_DIGITS.search(text):
        msg = f"no figure has as many digits as '{match[0]}...'"
        raise AdvisorError(msg)
    if match := UNDO.match(low):
        return _undo(state.undoable if match["count"] == "all" else int(match["count"] or 1), state)
    if match := CORRECTS.match(low):
        return _corrected(match, state, base)
    if match := SAYS_ANEW.match(text):
        return _anew(int(match["number"]), match["words"], state, base)
    led = question.kind == LED and (turned(text, question) or figures(text, question, base))
    return typed_way(low, state) or led or _answer(text, question, base, phone=state.kind == PHONE)


def note_in(line: str, kind: str, asks: Asks) -> Noted | None:
    """Return the note that a line is, if it is one, in a session of a kind that asks this.

    Raises AdvisorError if it lacks its words, or if the call has not begun.
    """
    if isinstance(asks, ForWords):
        if asks.kind == PHONE and typed_note(line, free_words=True):
            msg = "say first what is wrong with the bike; after that this is kept at any time"
            raise AdvisorError(msg)
        return None
    return typed_note(line, free_words=isinstance(asks, ForNumbers)) if kind == PHONE else None


def _corrected(match: re.Match[str], state: State, base: Rulebase) -> Event:
    numbers = [int(one) for one in dict.fromkeys(re.findall(r"\d+", match["numbers"]))]
    return denied(numbers, state, base) if match["how"] in {"not", "deny"} else dropped(numbers, state)


def _anew(number: int, words: str, state: State, base: Rulebase) -> Event | Wish:
    """Return how something said is said anew; a wish if its answers are to be shown, or its words heard first."""
    if not words:
        answers_of(number, state, base)
        return Wish("answers", str(number))
    return said_anew(number, words, state, base) or Wish("instead", f"{number} {words}")


def _answer(text: str, question: Question, base: Rulebase, *, phone: bool) -> Event | Wish | InWords:
    low = text.lower()
    plain = low.rstrip(".!").replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    if plain in NOT_KNOWN or CANNOT.match(plain):
        return _skipped(question, "not known" if plain in NOT_KNOWN else "can't")
    text = ALREADY.sub("", text) or text
    refuse_open(text)
    said, doubt = without_doubt(text)
    event = (_yes_or_no(said, question, base) if phone else None) or _sure(said, question, base)
    if not doubt:
        return event
    if isinstance(event, InWords):
        return replace(event, doubt=True)
    return event if isinstance(event, Wish) else in_doubt(event, question, base)


def _yes_or_no(text: str, question: Question, base: Rulebase) -> Event | None:
    """Return the answer that a rider's yes or no is to what was read aloud to him."""
    if question.kind != CHECK:
        return None
    asked = aloud(base.checks[question.name], question.side, base)
    chosen = meant_by(text, asked, question.options)
    return Answered(question.name, question.side, chosen.says, chosen.reports) if chosen else None


def _sure(text: str, question: Question, base: Rulebase) -> Event | Wish | InWords:
    text = _named_as_on_its_page(ALREADY.sub("", text), question, base)
    if not text:
        msg = "already done: with which answer?"
        raise AdvisorError(msg, "write it like 'already done: 2'")
    if NUMBERS.match(text):
        return _chosen([int(one) for one in re.findall(r"\d+", text)], question)
    slip = no_answer(text, question, base)
    if slip.name:
        raise AdvisorError(slip.says, slip.typed)
    own = said_in_own_words(text[:LONGEST_HEARD], question, base) if slip.may_be_words else None
    try:
        said = in_words(text, question, base)
    except AdvisorError:
        if own is not None and not question.takes:
            return own
        named = text.partition(" ")[0].rstrip(":") in base.readings
        if not named and not (question.takes and is_bare(text)) and told_readings(text[:LONGEST_HEARD], base):
            return Wish("also", text)  # figures of something else are offered, as other words are
        raise
    if said.readings or said.option:
        return said
    event = own or (answer_said(said.words, question, base) if slip.may_be_words else None)
    if event is None:
        if slip.may_be_words and question.kind == CHECK and understood(text[:LONGEST_HEARD], base).signs:
            return Wish("also", text)  # it says something else: it is offered, as figures of something else are
        raise AdvisorError(slip.says, slip.typed)
    return event


def _named_as_on_its_page(text: str, question: Question, base: Rulebase) -> str:
    """Return a line that begins with a reading's title, as its page has it, with its name instead."""
    low = text.lower()
    for name in (*question.takes, *base.readings):
        for called in (base.readings[name].title.lower(), name):
            between = TO_FIGURES.match(text, len(called)) if low.startswith(called) else None
            if between:
                return f"{name} {text[between.end() :]}"
    return text


def _undo(count: int, state: State) -> Undone:
    if not state.undoable:
        msg = "there is nothing to take back"
        raise AdvisorError(msg)
    if not 1 <= count <= state.undoable:
        msg = f"there are {state.undoable} answers to take back"
        raise AdvisorError(msg, f"write 'undo' or 'undo {state.undoable}'")
    return Undone(count)


def _skipped(question: Question, why: str) -> Event:
    if question.kind == REPAIR:
        msg = "it is still to be said how the repair went"
        how = (
            "say 1 once it is put right, 2 if it was sound, 3 if it made no difference, or 'stop' to go on another time"
        )
        raise AdvisorError(msg, how)
    if question.kind == HOLDS:
        return Answered(question.name, question.side, NOT_YET, ())
    if question.kind == LED:
        msg = "type what was read"
        raise AdvisorError(msg, "or the number of an answer; 'stop' keeps it for another time")
    if question.kind != CHECK:
        msg = "there is nothing to answer here"
        raise AdvisorError(msg, "'undo' takes the last answer back, 'stop' ends")
    return Skipped(question.name, question.side, why)


def _chosen(numbers: list[int], question: Question) -> Event:
    most = len(question.options)
    wrong = [one for one in numbers if not 1 <= one <= most]
    if question.kind == DONE and not question.options:
        msg = "it is done"
        raise AdvisorError(msg, "press Enter to end, or 'undo' if that was a slip")
    if not most or wrong:
        choice = f"choose 1 to {most}" if most else "write 'stop' or 'undo'"
        choice += f", or a reading with its unit, like '{question.takes[0]} {numbers[0]} ...'" if question.takes else ""
        msg = f"there is no answer {wrong[0] if wrong else numbers[0]}"
        raise AdvisorError(msg, choice)
    chosen = [question.options[one - 1] for one in numbers]
    if chosen[0].event is not None:
        return chosen[0].event
    if question.kind == REPAIR:
        if chosen[0].says == FIXED:
            return PutRight(question.name, question.side)
        return RuledOut(question.name, question.side, in_vain=chosen[0].says == IN_VAIN)
    if len(chosen) > 1 and (question.kind != HOLDS or 1 in numbers):
        msg = "choose one answer" if question.kind != HOLDS else "either all of it holds, or some of it does not"
        raise AdvisorError(msg)
    reports = tuple(dict.fromkeys(report for one in chosen for report in one.reports))
    return Answered(question.name, question.side, " ".join(one.says for one in chosen), reports)


class NoAnswer(msgspec.Struct, frozen=True):
    """Why a line is not an answer; `may_be_words`: unless its words say one of the answers.

    `name`: it begins with the name of a reading, misspelt. `typed`: what would be one, where lines are typed.
    """

    says: str
    typed: str = ""
    may_be_words: bool = False
    name: bool = False


def no_answer(text: str, question: Question, base: Rulebase) -> NoAnswer:
    """Return why a line is not an answer, and what would be one."""
    low = text.lower().rstrip("?!. ")
    half = next((form for word, form in WITH_WORDS.items() if low == word or low.startswith(f"{word} ")), "")
    if half:
        return NoAnswer(f"'{text}' lacks something", f"write it like '{half}'")
    most = len(question.options)
    if low in YES_OR_NO and most:
        return NoAnswer(f"'{text}' could be any of these", f"write the number of the answer, 1 to {most}")
    commands = [word for words in WISHES.values() for word in words] + list(WITH_WORDS)
    first = text.partition(" ")[0]
    name = [] if first.rstrip(":") in base.readings else get_close_matches(first, base.readings, 1, ALIKE)
    near = get_close_matches(low, commands, 1, ALIKE) or name
    meant = f" (did you mean '{near[0]}'?)" if near else ""
    number = f"a number from 1 to {most}" if most else "a number"
    typed = (
        f"write {number}, a reading with its unit, 'not known' or 'can't'; 'also WORDS' tells something else, "
        "'help' shows all"
    )
    says = f"'{text}' is not an answer here{meant}"
    return NoAnswer(says, typed, may_be_words=not near and LETTERS.search(text) is not None, name=bool(name))
