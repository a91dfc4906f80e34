"""A CSV table while an instrument writes it: line by line, each row as soon as its line is whole.

Columns are named as in a recorded log (`logfile`). Nothing here waits or opens a file.
"""

import csv
import math
from collections.abc import Iterator
from pathlib import Path

import msgspec

from advisor.errors import CaseError
from advisor.intake.logfile import BOUNDS, LONGEST_LINE, UNITS, header, separator

NEED = ("time", "revs", "left", "right")
SAID_AT = (1, 10, 100, 1000)  # rows without figures: they are said at these counts, not each time


class Row(msgspec.Struct, frozen=True):
    """One row: time (s), revs (rpm), and how far each column is drawn down (mmHg), whatever sign the table gives it."""

    time: float
    revs: float
    left: float
    right: float


class LiveTable:
    """A table that grows. `take` is given what was written, in any pieces."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.restart()

    def restart(self) -> None:
        """Begin again with a header, for the file is another one now."""
        self._rest = b""
        self._kinds: dict[int, tuple[str, str]] = {}
        self._part = ","
        self._odd = 0
        self._skips = False

    def skip(self) -> None:
        """Leave out what comes up to the end of a line: reading goes on somewhere within it."""
        self._rest, self._skips = b"", True

    @property
    def has_header(self) -> bool:
        """Whether the header was read."""
        return bool(self._kinds)

    def take(self, data: bytes) -> Iterator[Row | str]:
        """Yield the rows that are whole now, and in one sentence what could not be read.

        Raises CaseError for a first line that names no columns of use.
        """
        *lines, self._rest = (self._rest + data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")).split(b"\n")
        for line in lines:
            if self._skips:
                self._skips = False
                continue
            yield from self._line(line)
        if len(self._rest) > LONGEST_LINE:
            self.skip()
            yield f"A line over {LONGEST_LINE:,} bytes long is left out."

    def _line(self, line: bytes) -> Iterator[Row | str]:
        text = line.decode("utf-8-sig", "replace").strip()
        if not text:
            return
        if not self._kinds:
            self._part = separator(text)
            self._kinds = header(Path(self.name), text, self._part, NEED, ())
            return
        row = self._row(text)
        if row is not None:
            yield row
        elif (again := self._header_again(text)) is not None:
            moved = again != self._kinds
            self._kinds = again
            yield f"A header again{', with the columns in another order' if moved else ''}: read on by it."
        else:
            self._odd += 1
            if self._odd in SAID_AT:
                many = "A row" if self._odd == 1 else f"{self._odd} rows"
                yield f"{many} without usable figures left out."

    def _header_again(self, text: str) -> dict[int, tuple[str, str]] | None:
        try:
            return header(Path(self.name), text, self._part, NEED, ())
        except CaseError:
            return None

    def _row(self, text: str) -> Row | None:
        cells = next(csv.reader([text], delimiter=self._part), [])
        if len(cells) != len(self._kinds):
            return None
        found: dict[str, float] = {}
        for place, (kind, unit) in self._kinds.items():
            if kind:
                value = _figure(cells[place], comma=self._part != ",")
                factor, offset = UNITS[kind][unit]
                found[kind] = value * factor + offset
        if any(not low <= found[kind] <= high for kind, (low, high) in BOUNDS.items() if kind in found):
            return None
        return Row(found["time"], found["revs"], abs(found["left"]), abs(found["right"]))


def _figure(cell: str, *, comma: bool) -> float:
    """Return a cell's figure; not a number where it has none."""
    try:
        return float(cell.replace(",", ".") if comma else cell)
    except ValueError:
        return math.nan
