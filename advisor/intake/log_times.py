"""The times of a recorded log: a stray row is left out and said, times that cannot be are refused with their row.

Times in s; `lines` are the lines of the rows in the file.
"""

from typing import TYPE_CHECKING

import msgspec
import numpy as np

from advisor.errors import CaseError, Problem

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Lines = NDArray[np.int64]

MOST_STRAY = 0.01  # share of the rows, or one row
MOST_LINES_NAMED = 5
DAY = 86_400.0  # s: nobody pauses one recording for longer
CLOCK = 1e8  # s: three years; a time over this is a clock's, counted from a date
SLOWEST = 2.0  # s from row to row: a blip of the throttle is over in two


class Times(msgspec.Struct, frozen=True):
    """The times that can be used, in order; which of the rows they stand in; and what was repaired."""

    time: "Column"
    kept: "NDArray[np.bool_]"
    repairs: tuple[str, ...]


def in_order(file: str, time: "Column", lines: "Lines") -> Times:
    """Return the times of a log in ascending order, without stray rows; a clock's times count from the first row.

    All are finite. Raises CaseError: they run backwards, jump by more than a day, or are too far apart.
    """
    kept = np.ones(len(time), bool)
    repairs = []
    for wrong, what in ((_ahead, "with a time after the row below"), (_behind, "with a time before the row above")):
        stray = np.flatnonzero(kept)[wrong(time[kept])]
        if len(stray) > _most(len(time)):
            text = "the time runs backwards from here on; are these two logs in one file? split them"
            raise refused(file, int(lines[stray[0]]), text)
        repairs += left_out(lines[stray], what)
        kept[stray] = False
    again = np.flatnonzero(kept)[1:][np.diff(time[kept]) == 0]
    repairs += left_out(lines[again], "with a repeated time")
    kept[again] = False
    far = _far_off(file, time, kept, lines)
    repairs += left_out(lines[far], "with a time more than a day from the others")
    kept[far] = False
    _not_too_slow(file, time[kept], lines[kept])
    found = time[kept]
    if len(found) and found[0] > CLOCK:
        found = found - found[0]
        repairs.append("a clock's times, counted from the first row")
    return Times(found, kept, tuple(repairs))


def left_out(lines: "Lines", what: str) -> list[str]:
    """Return one sentence on the rows that were left out, if there are any."""
    count = len(lines)
    if not count:
        return []
    named = ", ".join(str(one) for one in lines[:MOST_LINES_NAMED]) + (", ..." if count > MOST_LINES_NAMED else "")
    return [f"{count} {'row' if count == 1 else 'rows'} {what} left out: {'line' if count == 1 else 'lines'} {named}"]


def refused(file: str, line: int, text: str) -> CaseError:
    """Return one mistake in a log, as an error."""
    return CaseError([Problem(file, line, text)])


def _most(rows: int) -> float:
    return max(MOST_STRAY * rows, 1)


def _ahead(time: "Column") -> "NDArray[np.bool_]":
    """Return the rows that are far on, alone: the row below goes on from the row above."""
    above = np.concatenate([[-np.inf], time[:-1]])
    below = np.concatenate([time[1:], [np.inf]])
    return (time > below) & (below >= above)


def _behind(time: "Column") -> "NDArray[np.bool_]":
    """Return the rows with a time before that of any row above."""
    return time < np.maximum.accumulate(time) if len(time) else np.zeros(0, bool)


def _far_off(file: str, time: "Column", kept: "NDArray[np.bool_]", lines: "Lines") -> "Lines":
    """Return the rows that are alone on their day. Raises CaseError when there is more than one such stretch."""
    rows = np.flatnonzero(kept)
    by = np.diff(time[rows])
    ends = np.flatnonzero(by > DAY)
    if not len(ends):
        return np.zeros(0, np.int64)
    sizes = np.diff(np.concatenate([[0], ends + 1, [len(rows)]]))
    alone = np.repeat(sizes == 1, sizes)
    if (sizes > 1).sum() != 1 or alone.sum() > _most(len(time)):
        first = int(ends[0])
        text = f"the time jumps by {by[first] / DAY:.0f} days to this row; are these two logs in one file? split them"
        raise refused(file, int(lines[rows[first + 1]]), text)
    found: Lines = rows[alone]
    return found


def _not_too_slow(file: str, time: "Column", lines: "Lines") -> None:
    """Raise CaseError when the rows are too far apart to show anything that an engine does."""
    if len(time) < 2:  # noqa: PLR2004 - nothing lies between fewer
        return
    between = float(np.median(np.diff(time)))
    if between <= SLOWEST:
        return
    text = f"the rows are {between:.0f} s apart, from this one on; {SLOWEST:.0f} s at most are of use"
    text += ". Are the times in ms? Then write 'time ms'" if between <= 1000 * SLOWEST else ""
    raise refused(file, int(lines[1]), text)
