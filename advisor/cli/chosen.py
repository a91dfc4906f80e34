"""Which session goes on: by its number, by words of its complaint, or the last one. Shared by bench and phone."""

import re
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from advisor.cli.common import typed_line
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import PHONE
from advisor.session.listing import OPEN, Listed, answers, listed
from advisor.session.session import Session
from advisor.session.store import (
    DamagedSessionError,
    Journal,
    Store,
    default_path,
    is_there,
    none_to_resume,
    opened,
    resumed,
    taken_over,
)
from advisor.show import sessions

NUMBER = re.compile(r"[-+]?[0-9]+")
FIGURES = 19  # of SQLite's largest row number


def readable_store(store: Store | None, path: Path, kind: str, said: str | None = None) -> Store:
    """Return the store, or its copy in memory if it can only be read. Raises AdvisorError if nothing is there."""
    if store is None and path == default_path() and not is_there(path):
        raise AdvisorError(f"there is no session {said}: none was kept so far") if said else _none(kind)
    return store or Store.copied(path)


def session_of(number: int, where: Path, ready: Advisor) -> Session:
    """Return an earlier session of any kind; a store that can only be read is read. Raises AdvisorError."""
    found = opened(where)[0] if is_there(where) else None
    reading = found or Store.copied(where)
    try:
        return Session(ready, resumed(reading, "", number))
    finally:
        reading.close()


def show_list(store: Store, kind: str, words: str, screen: Console) -> None:
    """Print the sessions of a kind whose complaint has these words."""
    found, more = listed(store, kind, words, sessions.MOST_SHOWN)
    if not found:
        raise _none(kind, words)
    screen.print(sessions.listed(kind, found, more))
    screen.print(sessions.how_to_choose(kind))


def number_of(store: Store, kind: str, said: str | None, screen: Console) -> tuple[int, int]:
    """Return the number of the session to go on with, and how many others are open if it was not named by its number.

    `said` is a number, words of its complaint, or None for the last one. Where it is not clear which call is meant,
    a list is shown and its number asked for. Raises AdvisorError.
    """
    if said is not None and (not said.strip() or NUMBER.fullmatch(said.strip())):
        return _whole(said.strip(), kind), 0
    found, _ = listed(store, kind, said or "")
    if not found:
        raise _none(kind, said or "")
    still = [one for one in found if one.state == OPEN]
    if said:
        number = found[0].number if len(found) == 1 else _asked(kind, found, "These have the words. Which?", screen)
    elif kind == PHONE and len(found) > 1 and still != [found[0]]:  # the next rider's, it may be
        either = [one for one in found if one.state == OPEN or one is found[0]] if still else found
        number = _asked(kind, either, "Which of these calls?", screen)
    else:
        number = store.latest(kind) or found[0].number
    return number, sum(one.number != number for one in still)


def _whole(said: str, kind: str) -> int:
    """Return a typed number. Raises AdvisorError for one that no session can have."""
    if 0 < len(said) < FIGURES:
        return int(said)
    what = (
        f"there is no session {said[:FIGURES]}..."
        if said
        else "--session needs a number, or words of the complaint or of the notes"
    )
    msg = f"{what}; 'advisor {kind} --list' shows them"
    raise AdvisorError(msg)


def _asked(kind: str, found: Sequence[Listed], title: str, screen: Console) -> int:
    numbers = {str(one.number): one.number for one in found}
    screen.print(sessions.listed(kind, found, title=title))
    while True:
        screen.print("Number?")
        line = (typed_line() or "").strip()
        if line in numbers:
            return numbers[line]
        if not line:
            msg = f"no session was opened; 'advisor {kind} --session NUMBER' opens one of them"
            raise AdvisorError(msg)
        screen.print(f"! '{line}' is not a number of this list; write one, or nothing to leave it")


def journal_of(reading: Store, kind: str, number: int, keeps: tuple[Store | None, str], screen: Console) -> Journal:
    """Return the journal of a session, or of a new one with what comes before its first damaged event.

    `keeps` is the store to go on in, and the trouble if there is none. Raises AdvisorError.
    """
    store, trouble = keeps
    try:
        return resumed(reading, kind, number, trouble)
    except DamagedSessionError as damaged:
        if not damaged.before:
            raise
        screen.print(f"! {damaged}")
        screen.print(sessions.part_of(answers(damaged.before)))
        screen.print("Number?")
        if (typed_line() or "").strip() != "1":
            msg = f"session {number} was left as it is; 'advisor {kind} --list' shows the others"
            raise AdvisorError(msg) from damaged
        return taken_over(store, damaged.before, trouble)


def _none(kind: str, words: str = "") -> AdvisorError:
    if words:
        return AdvisorError(f"no {kind} session has the words '{words}'; 'advisor {kind} --list' shows all")
    return none_to_resume(kind)
