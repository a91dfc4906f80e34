"""Drawings shared by practice and its lesson: cautions, readings, notes, and the line about the virtual bike."""

import math
from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.text import Text

from advisor.practice.handbook import Asked
from advisor.practice.replies import Care, ReadingTaken, SideRead
from advisor.show.screen import Rows

MODEL = (
    "A virtual bike. Its figures come from a model whose constants were set by hand: go by signs and by order, "
    "less by magnitudes."
)


def note(text: str) -> Rows:
    """Return a dimmed line."""
    return Rows([("", Text(text, style="dim"))], label=0)


def items(texts: Sequence[str], style: str = "") -> Rows:
    """Return one line for each text, with a dash."""
    return Rows([("  -", Text(text, style=style)) for text in texts], label=4)


def found(says: str, readings: Sequence[ReadingTaken] = ()) -> Iterator[RenderableType]:
    """Yield the result of a check, and the readings taken in it."""
    yield Rows([("  →", Text(says, style="bold"))], label=4)
    yield Rows([("   ", Text(reading(one))) for one in readings], label=4)


def cautions(care: Care) -> Iterator[RenderableType]:
    """Yield cautions: new ones in full, those shown before by name."""
    yield Rows([("  !", Text(text, style="bold")) for text in care.fresh], label=4)
    if care.before:
        yield Rows([("  !", Text(f"as before: {', '.join(care.before)}", style="bold"))], label=4)


def reading(one: ReadingTaken) -> str:
    """Return a reading with its name: its repeats by side, with the unit and stalls, and the handbook's figure."""
    return f"{one.title} [{one.name}]: {figures(one)}"


def figures(one: ReadingTaken) -> str:
    """Return the figures of a reading, and the handbook's."""
    sides = "; ".join(_side(each, one) for each in one.sides)
    return f"{sides}{f' (handbook: {asked(one.asked)})' if one.asked else ''}"


def asked(one: Asked) -> str:
    """Return the handbook's figure."""
    return f"{' to '.join(dict.fromkeys(_figure(end) for end in (one.low, one.high)))} {one.unit}"


def _side(read: SideRead, one: ReadingTaken) -> str:
    figures = ", ".join(_figure(value, one.trusted) for value in read.values)
    with_unit = f"{figures} {one.unit}" if figures and one.unit else figures
    said = ", ".join(filter(None, (with_unit, *["stalls"] * read.stalls)))
    return f"{read.side or ''} {said or 'no figure, it does not run so'}".lstrip()


def _figure(value: float, trusted: float = 0.0) -> str:
    """Return a figure with three significant digits; if its trust is known, only as many as that allows."""
    value = value or 0.0  # no minus zero
    if trusted:
        places = max(0, -math.floor(math.log10(trusted)))
        return f"{value:.{places}f} ± {trusted:.1g}"
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"  # noqa: PLR2004 - three figures that count
