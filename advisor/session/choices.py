"""Reads typed choices: numbers from a list, who is there, which tools. It decides nothing."""

import re
from collections.abc import Mapping, Sequence

from advisor.errors import AdvisorError
from advisor.rulebase.table_records import Tool
from advisor.session.typed_line import NOT_KNOWN, WISHES

RANGE = re.compile(r"^(?P<first>\d{1,3})(?:-(?P<last>\d{1,3}))?$")
NONE = ("", "none", "none of them", "none of these", "nothing", "no", "n", "0")
REPLACE = ("1", "yes", "y", "replace")
LEAVE = ("2", "leave", *NONE)
COMMAND = re.compile(
    r"^(?:help|h|\?|why|where|undo|save|tools|who|again|cautions|what if|already done|can't|hand over)\b.*$"
)
YES, NO = ("1", "yes", "y", "yeah"), ("2", "no", "n", "nope")
PARTS = re.compile(r"[,;]|\band\b|(?=\bno(?:t|ne)?\b)")  # of a line that names tools
LACKS = re.compile(r"^(?:no|not|without)\s+(?:the\s+)?")
LETTERS = re.compile(r"[^\W\d_]{2}")  # anything shorter is not a word


def chosen(line: str, most: int) -> list[int] | str:
    """Return the numbers chosen from a list of `most`, or the words typed instead.

    An empty line chooses none. Raises AdvisorError when it is neither.
    """
    said = line.strip()
    low = said.lower().rstrip(".!")
    if low in {*NONE, *NOT_KNOWN}:
        return []
    if low == "all":
        return list(range(1, most + 1))
    found = numbers(said, most)
    if found is not None:
        return found
    if LETTERS.search(said) and not COMMAND.match(low):
        return said
    msg = f"'{said}' is not understood; write numbers from 1 to {most}, other words, or nothing for none"
    raise AdvisorError(msg)


def stops(line: str) -> bool:
    """Whether a line ends the session."""
    return line.strip().lower() in WISHES["stop"]


def again(line: str) -> bool:
    """Whether a line asks for the same once more."""
    return line.strip().lower().rstrip(".!") in WISHES["again"]


def looks(line: str) -> str:
    """Return what a line asks to be shown that changes nothing and needs no question, or ''."""
    low = line.strip().lower().rstrip(".!")
    return next((one for one in ("help", "where", "told") if low in WISHES[one]), "")


def ends(line: str) -> bool:
    """Whether a line says no more where nothing is left to do."""
    return line.strip().lower().rstrip(".!") in {"", "nothing", "none", "nothing more", "nothing else", "end"}


def replaces(line: str) -> bool:
    """Whether a line says that a file is to be replaced: 1 for yes; 2 or nothing for no. Raises AdvisorError."""
    low = line.strip().lower().rstrip(".!")
    if low not in {*REPLACE, *LEAVE}:
        msg = f"'{line.strip()}' is not understood; write 1 to replace the file, 2 to leave it as it is"
        raise AdvisorError(msg)
    return low in REPLACE


def numbers(said: str, most: int) -> list[int] | None:
    """Return the numbers of a line, including ranges; None if anything in it is not a number from 1 to `most`."""
    found: set[int] = set()
    for word in said.replace(",", " ").replace(" and ", " ").split():
        match = RANGE.match(word)
        if not match:
            return None
        first, last = int(match["first"]), int(match["last"] or match["first"])
        if not 1 <= first <= last <= most:
            return None
        found |= set(range(first, last + 1))
    return sorted(found)


def person(line: str, persons: Sequence[str]) -> str:
    """Return the one of these persons that a line names or begins to name. Raises AdvisorError."""
    low = line.strip().lower()
    found = next((one for one in persons if low and one.startswith(low)), None)
    if found is None:
        known = ", ".join(persons)
        msg = f"'{line}' is not understood"
        raise AdvisorError(msg, f"write one of {known} (who does his own work is a mechanic)")
    return found


def tool_roll(line: str, names: Sequence[str]) -> frozenset[str]:
    """Return the tools of a rider whose numbers a line names; none if he has none, or does not like to use them.

    Raises AdvisorError when it names none of them and does not say so.
    """
    low = line.strip().lower().rstrip(".!")
    if low in {"all", "both"}:
        return frozenset(names)
    found = [] if low in {*NONE, *NOT_KNOWN} else numbers(low, len(names))
    if found is None:
        msg = f"'{line.strip()}' is not understood"
        raise AdvisorError(msg, f"write numbers from 1 to {len(names)}, 'all', or nothing for none")
    return frozenset(names[one - 1] for one in found)


def has_it(line: str) -> bool | None:
    """Return whether a line says that a tool is there: 1 or yes, 2 or no; None if it says something else.

    Raises AdvisorError for another number.
    """
    low = line.strip().lower().rstrip(".!")
    if low in YES or low in NO:
        return low in YES
    if low.isdigit():
        msg = f"'{low}' is not understood"
        raise AdvisorError(msg, "1 if it is there, 2 if it is not")
    return None


def tools(line: str, known: Mapping[str, Tool]) -> tuple[frozenset[str], frozenset[str]]:
    """Return the tools that a line says are there, and those that are not, by number or in words.

    Raises AdvisorError.
    """
    low = line.strip().lower().rstrip(".")
    every = frozenset(known)
    if low in {"all", "none"}:
        return (every, frozenset()) if low == "all" else (frozenset(), every)
    there, lacking = set[str](), set[str]()
    for phrase in filter(None, (part.strip() for part in PARTS.split(low))):
        words = LACKS.sub("", phrase)
        (there if words == phrase else lacking).update(_tools_named(words, known))
    return frozenset(there - lacking), frozenset(lacking)


def _tools_named(words: str, known: Mapping[str, Tool]) -> list[str]:
    """Return the tools of these numbers, or the one tool that these words name."""
    names = list(known)
    if words[:1].isdigit():
        found = numbers(words, len(names))
        if not found:
            msg = f"'{words}' is not understood"
            raise AdvisorError(msg, f"the tools have numbers from 1 to {len(names)}")
        return [names[one - 1] for one in found]
    if words.replace(" ", "-") in known:
        return [words.replace(" ", "-")]
    wanted = [word.removesuffix("s") for word in words.split() if word not in {"a", "an", "the", "of"}]
    named = [name for name, tool in known.items() if all(_has_word(word, f"{name} {tool.title}") for word in wanted)]
    if len(named) == 1:
        return named
    meant = f"; it could be {' or '.join(known[name].title for name in named[:3])}" if named else ""
    msg = f"'{words}' is not a tool of the list{meant}"
    raise AdvisorError(msg, "write its number, or more of its name")


def _has_word(word: str, text: str) -> bool:
    return any(one.startswith(word) for one in re.split(r"[^a-z0-9]+", text.lower()))
