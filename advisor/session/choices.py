"""Reads typed choices: numbers from a list, who is there, which tools. It decides nothing."""

import re
from collections.abc import Sequence

from advisor.errors import AdvisorError
from advisor.session.typed_line import NOT_KNOWN, WISHES

RANGE = re.compile(r"^(?P<first>\d{1,3})(?:-(?P<last>\d{1,3}))?$")
NONE = ("", "none", "none of them", "none of these", "nothing", "no", "n", "0")
REPLACE = ("1", "yes", "y", "replace")
LEAVE = ("2", "leave", *NONE)
COMMAND = re.compile(r"^(?:help|h|\?|why|where|undo|save|tools|who|what if|already done|can't|hand over)\b.*$")
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
        msg = f"'{line}' is not understood; write one of {known} (who does his own work is a mechanic)"
        raise AdvisorError(msg)
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
        msg = f"'{line.strip()}' is not understood; write numbers from 1 to {len(names)}, 'all', or nothing for none"
        raise AdvisorError(msg)
    return frozenset(names[one - 1] for one in found)


def tools(line: str, names: Sequence[str]) -> frozenset[str] | None:
    """Return the tools whose numbers a line names; None for all of them. Raises AdvisorError."""
    low = line.strip().lower()
    if low == "all":
        return None
    if low == "none":
        return frozenset()
    found = numbers(line, len(names))
    if not found:
        msg = f"'{line}' is not understood; write numbers from 1 to {len(names)}, 'all' or 'none'"
        raise AdvisorError(msg)
    return frozenset(names[one - 1] for one in found)
