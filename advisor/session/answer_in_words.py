"""An answer of figures and words: '900 to 1300 rpm, wanders', 'about 1050, steady', '2 and left 9.1 bar'.

It says what was typed; `what_was_meant` finds which of the answers that is.
"""

import re
from collections.abc import Iterator, Mapping

import msgspec

from advisor.case import Measured
from advisor.errors import AdvisorError
from advisor.intake.spoken import NO_PATH, SIDES, STALLED, is_resistance, spoken
from advisor.intake.told_figures import told_readings
from advisor.quantities import show, units_like
from advisor.rulebase.model import Rulebase
from advisor.session.next_question import Question
from advisor.sides import BOTH

FIRST = re.compile(r"^(?P<number>\d{1,2})(?P<join>\s*[,;:.]\s+|\s*(?:,\s*)?\b(?:and|but|with)\b\s+)(?P<rest>\S.*)$")
ABOUT = re.compile(
    r"(?:\b(?:at|about|around|roughly|approximately|approx\.?|nearly|some|circa|ca\.?|reads|shows|is|of)\s+|~\s*)"
    r"(?=(?:left|right|\d))",
    re.IGNORECASE,
)
LOW_TO_HIGH = re.compile(r"^(?P<low>\d+(?:\.\d+)?)\s*\S*\s*(?:to|-|\u2013)\s*(?P<high>\d+(?:\.\d+)?)")
JOINS = " ,;:.-\u2013"
FIGURE = re.compile(r"^[-+]?[\d.]+")
OF_BOTH = ("both", "each", "either")
LEAST_NAME, LONGEST_UNIT = 3, 3  # letters
LONGEST_HEARD = 300  # characters that are heard as a sentence
MOST_WORDS = 40  # of one reading with its repeats
LETTERS = re.compile(r"[^\W\d_]{3}")  # anything shorter says nothing
BARE = re.compile(r"\b(?:left|right|and)\b|[-+]?[\d.]+\s*[^\s,;]*", re.IGNORECASE)  # a side, or a figure with its unit
SIDE = re.compile(r"\b(?:left|right|both|each)\b", re.IGNORECASE)
FIGURES = re.compile(r"\d+(?:[.,]\d+)?")
CHUNK = re.compile(r"[,;]\s*|\s+(?:and|but)\s+")


class InWords(msgspec.Struct, frozen=True, kw_only=True):
    """A typed answer: the number of an answer (0 for none), readings, the words left over, whether it is not sure."""

    option: int = 0
    readings: tuple[Measured, ...] = ()
    words: str = ""
    doubt: bool = False


def in_words(text: str, question: Question, base: Rulebase) -> InWords:
    """Return what a line holds: nothing, if it has neither figures nor words that are no figures.

    Raises AdvisorError where it has figures that make no reading.
    """
    first = FIRST.match(text)
    if first and 1 <= int(first["number"]) <= len(question.options) and not _is_figure(text, first, question, base):
        readings, words = _figures(first["rest"], question, base)
        return InWords(option=int(first["number"]), readings=readings, words=_that_say(words))
    readings, words = _figures(text, question, base)
    return InWords(readings=readings, words=_that_say(words))


def _that_say(words: str) -> str:
    """Return words that may say something: more than the 'at' in front of a figure."""
    return words if LETTERS.search(BARE.sub(" ", words)) else ""


def _is_figure(text: str, first: re.Match[str], question: Question, base: Rulebase) -> bool:
    """Whether the number in front is the first of several repeats, like '3, 4 mm', and not that of an answer."""
    if "," not in first["join"] or len(question.takes) != 1:
        return False
    return bool(_tried(question.takes[0], text, question, base))


def _figures(text: str, question: Question, base: Rulebase) -> tuple[tuple[Measured, ...], str]:
    """Return the readings of a line and the words left over. Raises AdvisorError where figures make no reading."""
    if not re.search(r"\d", text) and not STALLED & {*text.lower().split()} and not _says_open(text, question, base):
        return _heard(text, question, base), text
    found: list[Measured] = []
    left: list[str] = []
    wrong: AdvisorError | None = None
    for name, part in _by_reading(ABOUT.sub("", text), question, base):
        try:
            readings, words = _reading(name, part, question, base)
        except AdvisorError as error:
            wrong, readings, words = wrong or error, [], part
        found += readings
        left += [words] if words else []
    if not found:
        heard = _heard(text, question, base)
        several = len(question.takes) > 1 and is_bare(text)  # which of them it is must be said
        if wrong is None or (heard and not several and len(heard) >= len(FIGURES.findall(text))):
            return heard, text
        raise wrong
    if wrong is not None:
        heard = _heard(text, question, base)
        if len(heard) >= len(FIGURES.findall(text)):
            return heard, text
        raise wrong
    return tuple(found), ", ".join(left)


def _says_open(text: str, question: Question, base: Rulebase) -> bool:
    """Whether a line says that a resistance is open: one that is asked for, or that it names."""
    if not NO_PATH.search(text):
        return False
    about = {*question.takes, *(name for name in base.readings if name in text)}
    return any(is_resistance(base.readings[name], base) for name in about)


def _heard(text: str, question: Question, base: Rulebase) -> tuple[Measured, ...]:
    """Return the readings that a line gives in free words, of those that the question takes.

    A figure without a side is of the side that is asked for.
    """
    takes = {*question.takes, *(base.readings[name].range_is for name in question.takes)}
    here = {None, question.side} if question.side and not SIDE.search(text) else {None, *BOTH}
    found = told_readings(text[:LONGEST_HEARD], base)
    return tuple(one for one in found if one.reading in takes and one.side in here)


def _by_reading(text: str, question: Question, base: Rulebase) -> Iterator[tuple[str, str]]:
    """Yield each reading that a line names, with the words up to the next one; the question's own, if it names none."""
    called = _called(question, base) | {name: name for name in base.readings}
    parts: list[tuple[str, list[str]]] = [(question.takes[0] if len(question.takes) == 1 else "", [])]
    for chunk in CHUNK.split(text):
        said = [(word, _named(word.strip(":").lower(), called)) for word in chunk.split()]
        names = {name for _, name in said if name}
        if len(names) == 1:  # wherever it stands: 'full left 18 deg', '14.1 V charging'
            parts.append((names.pop(), [word for word, name in said if not name]))
            continue
        for number, (word, name) in enumerate(said):
            if name:
                parts.append((name, []))
            else:
                parts[-1][1].append(f", {word}" if not number and parts[-1][1] else word)
    for name, words in parts:
        if any(word.strip(JOINS) for word in words):
            yield name, " ".join(words).replace(" , ", ", ")


def _named(word: str, called: Mapping[str, str]) -> str:
    return called.get(word, "") or called.get(word.removesuffix("s"), "")


def _called(question: Question, base: Rulebase) -> dict[str, str]:
    """Return the words that tell the question's readings apart, such as inlet and exhaust, or idle and full."""
    words: dict[str, set[str]] = {}
    for name in question.takes if len(question.takes) > 1 else ():
        for word in {*name.split("-"), *base.readings[name].also}:
            if len(word) >= LEAST_NAME and word not in base.units:  # a unit names no reading
                words.setdefault(word, set()).add(name)
    return {word: next(iter(names)) for word, names in words.items() if len(names) == 1}


def _reading(name: str, text: str, question: Question, base: Rulebase) -> tuple[list[Measured], str]:
    """Return the readings at the beginning of a text and the words around them. Raises AdvisorError."""
    words = text.split()[:MOST_WORDS]
    start = next((number for number, one in enumerate(words) if _begins(one)), len(words))
    if start == len(words):
        return [], text.strip(JOINS)
    wrong: AdvisorError | None = None
    for end in range(len(words), start, -1):
        try:
            found = _spoken(name, " ".join(words[start:end]).strip(JOINS), question, base)
        except AdvisorError as error:
            wrong = wrong or error
            continue
        a_unit = end < len(words) and FIGURE.fullmatch(words[end - 1]) and _like_a_unit(words[end], base)
        if a_unit or any(FIGURE.match(one) for one in words[end:]):  # no figure is lost
            raise wrong or AdvisorError(f"'{text}' is no reading")
        return found, " ".join([*words[:start], *words[end:]]).strip(JOINS)
    raise wrong or AdvisorError(f"'{text}' is no reading")


def _like_a_unit(word: str, base: Rulebase) -> bool:
    """Whether a word behind a figure may be meant as its unit."""
    return word in base.units or len(word) <= LONGEST_UNIT


def _begins(word: str) -> bool:
    said = word.lower().strip(",:;=")
    return said in {*BOTH, *OF_BOTH, "l", "r", *STALLED} or bool(FIGURE.match(word) or NO_PATH.match(word))


def is_bare(text: str) -> bool:
    """Whether a text has figures and sides alone: no unit, no name."""
    return not any(letter.isalpha() for letter in SIDES.sub(" ", re.sub(r"\band\b", " ", text)))


def _spoken(name: str, text: str, question: Question, base: Rulebase) -> list[Measured]:
    """Return the readings in words; of a question with several readings, the only one that they can be."""
    if name:
        return _spread(spoken(name, _on_side(name, text, question, base), base), base)
    fits = {one: found for one in question.takes if (found := _tried(one, text, question, base))}
    if is_bare(text):  # it may be of any that is asked for
        fits |= {one: fits.get(one, []) for one in question.takes if _may_be(one, text, question, base)}
    if len(fits) == 1 or (fits and question.takes[0] in fits and base.readings[question.takes[0]].zeroed_by in fits):
        return next(iter(fits.values()))
    if not question.takes:
        msg = f"'{text}' is not an answer here; a reading needs its name before it, like 'idle-speed 1050 rpm'"
        raise AdvisorError(msg)
    msg = (
        f"which of {', '.join(fits or question.takes)}? "
        f"Write its name before it, like '{next(iter(fits or question.takes))} {text}'"
    )
    raise AdvisorError(msg)


def _may_be(name: str, text: str, question: Question, base: Rulebase) -> bool:
    """Whether bare figures would be a reading with one of its units; several without a side may be of the two sides."""
    unsaid = base.readings[name].sided and len(FIGURES.findall(text)) > 1 and not SIDES.search(text)
    units = units_like(base.readings[name].unit, base.units)
    return any(_tried(name, f"{'left ' if unsaid else ''}{text} {unit}", question, base) for unit in units)


def _tried(name: str, text: str, question: Question, base: Rulebase) -> list[Measured]:
    try:
        return _spread(spoken(name, _on_side(name, text, question, base), base), base)
    except AdvisorError:
        return []


def _on_side(name: str, text: str, question: Question, base: Rulebase) -> str:
    """Return figures with the side that the question asks of, if they name none."""
    asked = name in question.takes and question.side and base.readings[name].sided
    return f"{question.side} {text}" if asked and not SIDES.search(text) else text


def _spread(found: list[Measured], base: Rulebase) -> list[Measured]:
    """Return readings with a range from low to high read as what it is: the mean, and how far it wanders."""
    return [one for measured in found for one in _range(measured, base)]


def _range(one: Measured, base: Rulebase) -> Iterator[Measured]:
    page, match = base.readings[one.reading], LOW_TO_HIGH.match(one.given)
    if not page.range_is or match is None or len(one.values) != 1 or one.over_other or one.bounds:
        yield one
        return
    low, high = float(match["low"]), float(match["high"])
    side = f"{one.side} " if one.side else ""
    yield from spoken(one.reading, f"{side}{show((low + high) / 2, one.unit)}", base)
    yield from spoken(page.range_is, show(abs(high - low), one.unit), base)
