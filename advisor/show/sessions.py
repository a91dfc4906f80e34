"""The list of sessions on a terminal, and the choice about a damaged one."""

import time
from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.session.events import BALANCE, BENCH, PHONE, TUNE_UP
from advisor.session.listing import DAMAGED, Listed
from advisor.show.bench import NO_WORDS
from advisor.show.screen import Rows, heading
from advisor.show.words import ago

TITLES = {PHONE: "CALLS", BENCH: "SESSIONS AT THE BIKE", BALANCE: "BALANCES", TUNE_UP: "TUNE-UPS"}
MOST_SHOWN = 20  # newest sessions: a screenful
MOST_LETTERS = 120  # of a complaint


def listed(kind: str, found: Sequence[Listed], more: int = 0, title: str = "") -> Group:
    """Return the newest of these sessions, one line each, and how many more there are."""
    lines: list[RenderableType] = [heading(title or TITLES[kind])]
    label = len(str(max((one.number for one in found), default=0))) + 4
    lines.append(Rows([(f"  {one.number}", Text(_line(one))) for one in found[:MOST_SHOWN]], label))
    more += max(0, len(found) - MOST_SHOWN)
    if more:
        lines.append(
            Text(f"  and {more:,} older: 'advisor {kind} --list WORDS' shows those with these words", style="dim")
        )
    return Group(*lines)


def how_to_choose(kind: str) -> Text:
    """Return how to go on with one of a list."""
    more = "; '--sheet NUMBER' prints the sheet" if kind == PHONE else " with one of them"
    return Text(f"'advisor {kind} --session NUMBER' goes on{more}.", style="dim")


def part_of(answers: int) -> Rows:
    """Return the choice about a session of which an event is damaged, after so many answers."""
    before = f"the {answers} answers before it" if answers != 1 else "the 1 answer before it"
    return Rows([("  1", Text(f"go on with {before}, in a new session")), ("  2", Text("leave it as it is"))], label=5)


def _line(one: Listed) -> str:
    age = [] if one.touched is None else [ago(max(0.0, time.time() - one.touched))]
    answers = f"{one.answers} answer{'s'[: one.answers != 1]}{' before that' if one.state == DAMAGED else ''}"
    words = one.words if len(one.words) <= MOST_LETTERS else f"{one.words[:MOST_LETTERS]}…"
    who = "; ".join(filter(None, (one.rider, one.bike)))
    who = f"{' '.join(who.split())}: " if who else ""
    return f"{', '.join([one.state, *age, answers])}: {who}{' '.join(words.split()) or NO_WORDS}"
