"""The hand-over sheet: on the screen, and as plain text for a file that prints on A4."""

import io
import time
from collections.abc import Iterator

from rich.console import Console, Group, RenderableType
from rich.text import Text

from advisor.session.handover import HandOver, LikelyCause
from advisor.session.not_checked import Stage
from advisor.show.screen import Rows, heading
from advisor.show.words import minutes, per_cent
from advisor.visible import visible

PAGE_WIDE = 76  # letters in a line of a printed page: A4 at ten letters an inch, with margins
LABEL = 12
SURE = (
    (0.9, "very likely"),
    (0.6, "likely"),
    (0.3, "possible"),
    (0.0, "not ruled out"),
)  # unproven, from this chance on
PER_CENT = (
    "Each figure is how likely that cause is, by what was said and seen. "
    "Two faults can be there at once, so they can add up to over 100%."
)
FOUND = "found by its own check"
NOT_RIDE, NOT_RUN = "Not to be ridden as it is.", "It does not run."


def sheet(found: HandOver) -> Group:
    """Return the hand-over sheet."""
    return Group(*_sheet(found))


def sheet_text(found: HandOver) -> str:
    """Return the sheet as plain text, no line longer than a printed page is wide."""
    paper = io.StringIO()
    console = Console(file=paper, width=PAGE_WIDE, color_system=None, highlight=False, markup=False, emoji=False)
    console.print(sheet(found))
    return "".join(f"{visible(line).rstrip()}\n" for line in paper.getvalue().strip("\n").split("\n"))


def _sheet(found: HandOver) -> Iterator[RenderableType]:
    yield Text()
    yield heading("FOR THE WORKSHOP")
    yield Rows([(f"  {name}", Text(words)) for name, words in _head(found) if words], LABEL)
    if found.complaint:
        yield Rows([("  he says", Text(f"“{found.complaint}”", style="italic"))], LABEL)
    warns = [NOT_RIDE] if not found.may_ride else [] if found.runs else [NOT_RUN]
    yield Rows([("  !", Text(" ".join((*warns, *found.bans)), style="bold"))] if warns or found.bans else [], 4)
    yield Rows([("  !", Text(text)) for text in found.cautions], 4)
    yield heading("FOUND")
    yield _lines(found.found or ("nothing yet",))
    if found.denied:
        yield heading("NOT THERE")
        yield _lines(found.denied)
    if found.not_known:
        yield heading("NOT KNOWN")
        yield _lines(found.not_known)
    yield heading("LIKELY CAUSES")
    yield from _likely(found.likely)
    if found.open:
        yield heading("NEXT CHECKS")
        yield Rows([(f"  {minutes(one.minutes)}", Text(_check(one.title, one.tools))) for one in found.open], label=10)
    if found.not_checked:
        yield heading("NOT LOOKED AT, in this order it must be right")
        yield Rows([(f"  {minutes(one.minutes)}", Text(_stage(one))) for one in found.not_checked], label=10)
    if found.notes.notes:
        yield heading("NOTES")
        yield _lines(found.notes.notes)
    yield heading("THE RIDER NOW")
    yield Rows([("", Text(f"“{found.now}”"))], label=2)


def _head(found: HandOver) -> Iterator[tuple[str, str]]:
    yield "call", ", ".join(filter(None, (str(found.call) if found.call else "", _date(found.began))))
    yield "spent", f"{max(1, round(found.minutes))} min on the phone" if found.minutes is not None else ""
    yield "rider", found.notes.name
    yield "bike", found.notes.bike
    yield "contact", found.notes.contact
    yield "ring back", found.notes.call_back


def _date(seconds: float | None) -> str:
    return "" if seconds is None else time.strftime("%d %B %Y, %H:%M", time.localtime(seconds))


def _likely(causes: tuple[LikelyCause, ...]) -> Iterator[RenderableType]:
    if not causes:
        yield _lines(("nothing stands out yet",))
        return
    for one in causes:
        yield Rows([(f"  {per_cent(one.probability)}", Text(f"{one.title}: {_sure(one)}."))], LABEL)
        parts = " Have the parts for it ready." if one.new_parts else ""
        yield Rows([("", Text(f"{one.remedy} ({minutes(one.minutes)}){parts}", style="dim"))], LABEL)
    yield Rows([("", Text(PER_CENT, style="dim"))], 2)


def _sure(one: LikelyCause) -> str:
    return FOUND if one.found else next(words for least, words in SURE if one.probability >= least)


def _check(title: str, tools: tuple[str, ...]) -> str:
    return f"{title}: {', '.join(tools)}" if tools else title


def _stage(found: Stage) -> str:
    return f"{found.title}: {', '.join(found.items)}"


def _lines(texts: tuple[str, ...]) -> Rows:
    return Rows([("  -", Text(line)) for line in texts], label=4)
