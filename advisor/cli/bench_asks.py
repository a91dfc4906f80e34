"""What a session asks before its first question: what is meant by a sentence, who is there, with which tools."""

import contextlib
import re
from typing import TYPE_CHECKING

import msgspec
from rich.text import Text

from advisor.case import Means
from advisor.cli.common import typed_line
from advisor.session.session import Session
from advisor.session.store import StoreError
from advisor.session.typed_line import NOT_KNOWN, WISHES

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.rulebase.model import Rulebase

HABIT, PHONE = "at hand", "phone"
NOT_UNDERSTOOD = "! nothing is known by these words; try others for what is seen or heard"
RANGE = re.compile(r"^(?P<first>\d{1,3})(?:-(?P<last>\d{1,3}))?$")
NONE = ("", "none", "none of them", "none of these", "nothing", "no", "n", "0")
COMMAND = re.compile(r"^(?:help|h|\?|why|where|undo|save|tools|who|what if|already done|can't|hand over)\b.*$")
LETTERS = re.compile(r"[^\W\d_]{2}")


class Ended(Exception):  # noqa: N818 - no error: somebody wrote 'stop' before the first question
    """The session ends here, as it is."""


def understand(sentence: str, desk: Session, screen: "Console") -> bool:
    """Offer the signs that a sentence may mean, and keep those that are so; return whether it may mean any.

    Other words in place of numbers are taken as another sentence. Raises Ended where it is to stop.
    """
    from advisor.show import bench as draw  # noqa: PLC0415 - only what is drawn is imported

    while True:
        found = desk.understood(sentence) if sentence else []
        if not found:
            return False
        found.sort(key=lambda one: not one.warns)  # what is dangerous first
        screen.print(draw.understood(found, desk.dangers_of(found)))
        said = _chosen(screen, "Numbers?", len(found))
        if isinstance(said, list):
            desk.told([found[number - 1] for number in said])
            return True
        if desk.understood(said):
            sentence = said
        else:
            screen.print(NOT_UNDERSTOOD)


def ask_what_it_is_like(desk: Session, screen: "Console") -> None:
    """Let the main troubles be chosen from, where nothing was understood. Raises Ended where it is to stop."""
    from advisor.show import bench as draw  # noqa: PLC0415 - as above

    troubles = desk.troubles()
    screen.print(draw.troubles(troubles))
    said = _chosen(screen, "Numbers?", len(troubles))
    if isinstance(said, list):
        desk.told([troubles[number - 1] for number in said])
    elif not understand(said, desk, screen):
        screen.print("! nothing is known by these words either; 'also WORDS' tells more at any time")


def at_hand(kind: str, desk: Session, screen: "Console") -> Means:
    """Return who is there with what: asked once, and remembered."""
    base, keeping = desk.base, desk.journal.store
    if kind == PHONE:
        return Means(person=base.persons[0], tools=frozenset(), engine="")
    if keeping is not None:
        with contextlib.suppress(StoreError, msgspec.MsgspecError):
            kept = keeping.habit(HABIT)
            if kept:
                return msgspec.json.decode(kept, type=Means)
    return asked_at_hand(desk, screen, Means(person=base.persons[1], tools=None, engine=""))


def asked_at_hand(desk: Session, screen: "Console", otherwise: Means) -> Means:
    """Ask who is there with what, say what was understood, and remember it; `otherwise` where nobody answers."""
    means = _means(desk.base, screen)
    if means is None:
        return otherwise
    kinds = len(means.tools or ())
    tools = "all tools" if means.tools is None else f"{kinds} kind{'s'[: kinds != 1]} of tools" if kinds else "no tools"
    screen.print(f"{means.person}, {tools}: remembered; 'tools' asks again")
    if desk.journal.store is not None:
        with contextlib.suppress(StoreError):
            desk.journal.store.remember(HABIT, means)
    return means


def _means(base: "Rulebase", screen: "Console") -> Means | None:
    """Return who is there with what; None when the input has ended."""
    person, persons = "", ", ".join(base.persons)
    while not person:
        said = ask(screen, f"Who is at the bike: {persons}?")
        if said is None:
            return None
        low = said.strip().lower()
        person = next((one for one in base.persons if low and one.startswith(low)), "")
        if not person:
            screen.print(f"! '{said}' is not understood; write one of {persons} (who does his own work is a mechanic)")
    names = list(base.tools)
    screen.print("Which tools are there? Numbers like 1 3 5-9, 'all', or 'none'.")
    for number, name in enumerate(names, start=1):
        screen.print(Text(f"  {number:2} {base.tools[name].title}"))
    while True:
        said = ask(screen, "Tools?")
        if said is None:
            return None
        low = said.strip().lower()
        if low == "all":
            return Means(person=person, tools=None, engine="")
        chosen = [] if low == "none" else numbers(said, len(names))
        if chosen is not None and (chosen or low == "none"):
            return Means(person=person, tools=frozenset(names[one - 1] for one in chosen), engine="")
        screen.print(f"! '{said}' is not understood; write numbers from 1 to {len(names)}, 'all' or 'none'")


def _chosen(screen: "Console", prompt: str, most: int) -> list[int] | str:
    """Return the numbers chosen, none where nothing is written; or the words that were written in their place."""
    while True:
        said = (ask(screen, prompt) or "").strip()
        if said.lower() in WISHES["stop"]:
            raise Ended
        low = said.lower().rstrip(".!")
        chosen = [] if low in {*NONE, *NOT_KNOWN} else list(range(1, most + 1)) if low == "all" else numbers(said, most)
        if chosen is not None:
            return chosen
        if LETTERS.search(said) and not COMMAND.match(low):
            return said
        screen.print(f"! '{said}' is not understood; write numbers from 1 to {most}, other words, or nothing for none")


def numbers(said: str, most: int) -> list[int] | None:
    """Return the numbers of a line, ranges too; None where anything in it is none of them."""
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


def ask(screen: "Console", prompt: str) -> str | None:
    """Return one line; None when the input has ended."""
    screen.print(prompt)
    return typed_line()
