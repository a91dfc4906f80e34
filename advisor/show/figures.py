"""What a figure says on a terminal, in a few lines, and which answer words were taken for."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.session.figures_say import FigureSays
from advisor.session.shown import TakenAs
from advisor.show.measure import plain
from advisor.show.screen import Rows

DEFAULT = "(A default figure; the bike's own counts.)"


def means(found: FigureSays) -> Group:
    """Return what a reading says, to be printed."""
    return Group(*_means(found))


def _means(found: FigureSays) -> Iterator[RenderableType]:
    verdict = f" {_sentence(found.found)}." if found.found else ""
    verdict += f" {DEFAULT}" if found.default else ""
    yield Text(plain(f"{found.title}: {found.given}.{verdict}"))
    yield Rows([("  !", Text(found.first))] if found.first else [], label=4)
    aim = f" Then read it again: {found.aim}." if found.aim else ""
    if found.do or aim:
        yield Rows([("  →", Text(plain(f"{found.do}{aim}".strip()), style="bold"))], label=4)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def taken_as(found: TakenAs) -> Group:
    """Return which answer words were taken for, and which words say nothing."""
    lines = [f"Taken as: {found.says} ('undo' if not)"] if found.says else []
    lines += [f"! '{found.unheard}' is not understood; 'also WORDS' tells it in other words"] if found.unheard else []
    return Group(*(Text(line) for line in lines))
