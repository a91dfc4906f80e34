"""The console for all output: plain in a pipe and under NO_COLOR, at most 80 columns."""

import os
import sys
from collections.abc import Iterable
from typing import IO, TextIO, cast

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.segment import Segment
from rich.text import Text

from advisor.visible import Visible, visible

WIDEST = 80
CUT = " ..."  # the end of a text that is not shown in full


class _Screen(Console):
    """A console that spells out hidden characters in all it draws, and then adds its colours."""

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        """Yield what is drawn, piece by piece."""
        for piece in super().render(renderable, options):
            yield piece if piece.control else Segment(visible(piece.text), piece.style)


class _Drawn:
    """The output as the console writes to it: what is drawn is safe already."""

    def __init__(self, stream: Visible) -> None:
        self.stream = stream
        self.write = stream.drawn

    def __getattr__(self, name: str) -> object:
        return getattr(self.stream, name)


def console() -> Console:
    """Return a console on standard output."""
    plain = bool(os.environ.get("NO_COLOR")) or not sys.stdout.isatty()
    drawn = _Screen(
        color_system=None if plain else "auto",
        highlight=False,
        markup=False,
        emoji=False,
        soft_wrap=False,
        file=_file(sys.stdout),
    )
    drawn.width = min(drawn.width, WIDEST) if sys.stdout.isatty() or "COLUMNS" in os.environ else WIDEST
    return drawn


def _file(stream: TextIO) -> IO[str] | None:
    return cast("IO[str]", _Drawn(stream)) if isinstance(stream, Visible) else None


def heading(text: str) -> Text:
    """Return a section's heading."""
    return Text(text, style="bold")


class Rows:
    """Lines with a label in front, the text wrapped behind it; nothing is padded on the right."""

    def __init__(self, lines: Iterable[tuple[str, Text]], label: int, most: int = 0) -> None:
        """Take (label, text) pairs; the text begins in column `label`, and is cut after `most` lines (0: never)."""
        self.lines = list(lines)
        self.label = label
        self.most = most

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Yield each line, wrapped to the console."""
        for name, text in self.lines:
            width = max(options.max_width - self.label, 20)
            wrapped = text.wrap(console, width)
            for number, line in enumerate(wrapped[: self.most or None]):
                line.rstrip()
                if number + 1 == self.most < len(wrapped):
                    line.truncate(max(line.plain.rfind(" ", 0, width - len(CUT) + 1), 1))
                    line.append(CUT)
                whole = Text((name if number == 0 else "").ljust(self.label)).append_text(line)
                whole.no_wrap = whole.cell_len <= options.max_width  # already wrapped
                yield whole
