"""A recorded log: a CSV table of time and figures. Faults in it are repaired and reported, or the log is refused."""

import csv
import re
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import pandas as pd

from advisor.errors import CaseError, Problem
from advisor.quantities import GRAVITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

# What a column may hold: its names, the factor and offset of its units into s, 1/min, degrees C and m/s2, its bounds.
NAMES = {
    "time": ("time", "t"),
    "revs": ("revs", "rpm", "speed", "engine speed"),
    "temperature": ("temperature", "temp", "head", "oil"),
    "acceleration": ("acceleration", "acc", "shake"),
}
UNITS = {
    "time": {"s": (1.0, 0.0), "ms": (0.001, 0.0), "min": (60.0, 0.0)},
    "revs": {"rpm": (1.0, 0.0)},
    "temperature": {"C": (1.0, 0.0), "F": (5 / 9, -160 / 9)},
    "acceleration": {"m/s2": (1.0, 0.0), "g": (GRAVITY, 0.0)},
}
BOUNDS = {"revs": (0.0, 20_000.0), "temperature": (-40.0, 400.0), "acceleration": (-2_000.0, 2_000.0)}
CELL = re.compile(r"^(?P<name>[a-z ]*?[a-z])[\s_]*[\[(]?(?P<unit>rpm|ms|min|m/s2|s|C|F|g)?[\])]?$", re.IGNORECASE)
MOST_BYTES = 500_000_000
MOST_LEFT_OUT = 0.2  # if more of a log than this is unusable, it is refused instead of repaired
MOST_BACKWARDS = 0.01
MOST_LINES_NAMED = 5
PEEK = 50


class Log(msgspec.Struct, frozen=True, kw_only=True):
    """A log's columns (`time` in s, others in their units) as arrays of one length, and the repairs made to it."""

    file: str
    columns: "dict[str, Column]"
    repairs: tuple[str, ...]


def read_log(path: Path, need: tuple[str, ...], may: tuple[str, ...] = ()) -> Log:
    """Return a log with `time` and the columns needed. Raises CaseError when it cannot be used."""
    try:
        size = path.stat().st_size
        head = _head(path)
    except (OSError, UnicodeDecodeError) as error:
        raise _refused(path, 0, _unreadable(error)) from error
    if size > MOST_BYTES:
        raise _refused(path, 0, "is larger than 500 MB; split it, or keep every tenth row")
    if not head or not head[0].strip():
        raise _refused(path, 1, f"has no header; write one like '{_wanted(need, ',')}'")
    part = next((one for one in (";", "\t", ",") if one in head[0]), ",")
    kinds = _header(path, head[0], part, need, may)
    decimal = _decimal(path, head, part, len(kinds))
    table = _table(path, part, decimal, kinds)
    repairs = ["decimal commas read as points"] if decimal == "," else []
    return _cleaned(path, table, {kind: unit for kind, unit in kinds.values() if kind}, repairs)


def _head(path: Path) -> list[str]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return [line.rstrip("\r\n") for line, _ in zip(file, range(PEEK), strict=False)]


def _unreadable(error: OSError | UnicodeDecodeError) -> str:
    if isinstance(error, OSError):
        return f"cannot be read: {(error.strerror or 'no access').lower()}"
    return "is not a text file in UTF-8; save the log as CSV (UTF-8)"


def _refused(path: Path, line: int, text: str) -> CaseError:
    return CaseError([Problem(str(path), line, text)])


def _wanted(need: tuple[str, ...], part: str) -> str:
    units = {"time": "time s", "revs": "revs rpm", "temperature": "temperature C", "acceleration": "acceleration m/s2"}
    return part.join(units[kind] for kind in need)


def _header(
    path: Path, line: str, part: str, need: tuple[str, ...], may: tuple[str, ...]
) -> dict[int, tuple[str, str]]:
    """Return the contents of each column, in order: (kind, unit); ('', '') for one not asked for."""
    kinds: dict[int, tuple[str, str]] = {}
    for place, cell in enumerate(next(csv.reader([line], delimiter=part))):
        kinds[place] = _column(path, cell.strip(), (*need, *may))
    found = [kind for kind, _ in kinds.values() if kind]
    twice = next((kind for kind in found if found.count(kind) > 1), None)
    if twice:
        raise _refused(path, 1, f"has two columns of {twice}; keep one")
    missing = [kind for kind in need if kind not in found]
    if missing:
        raise _refused(
            path,
            1,
            f"the header has no column '{_wanted((missing[0],), part)}'; write one like '{_wanted(need, part)}'",
        )
    return kinds


def _column(path: Path, cell: str, asked: tuple[str, ...]) -> tuple[str, str]:
    if cell.lower() == "rpm":
        return ("revs", "rpm") if "revs" in asked else ("", "")
    match = CELL.match(cell)
    name = match["name"].strip().lower() if match else ""
    kind = next((kind for kind in asked if name in NAMES[kind]), "")
    if not kind:
        return "", ""
    unit = next((one for one in UNITS[kind] if match and match["unit"] and one.lower() == match["unit"].lower()), "")
    if not unit:
        raise _refused(path, 1, f"the column '{cell}' has no unit for {kind}; write it like '{_wanted((kind,), ',')}'")
    return kind, unit


def _decimal(path: Path, head: list[str], part: str, columns: int) -> str:
    """Return the decimal mark. Raises CaseError when it cannot be told from the column separator."""
    for number, line in enumerate(head[1:], start=2):
        fields = next(csv.reader([line], delimiter=part), [])
        if len(fields) > columns:
            text = f"{len(fields)} fields, but the header names {columns}"
            text += "; are these decimal commas? separate the columns with ';'" if part == "," else ""
            raise _refused(path, number, text)
    if part == ",":
        return "."
    comma = any(re.search(r"\d,\d", line) for line in head[1:])
    point = any(re.search(r"\d\.\d", line) for line in head[1:])
    if comma and point:
        raise _refused(path, 2, "has decimal commas and decimal points; use one of them")
    return "," if comma else "."


def _table(path: Path, part: str, decimal: str, kinds: dict[int, tuple[str, str]]) -> pd.DataFrame:
    try:  # read all columns, though few are used: with a selection, pandas silently drops surplus fields in a row
        table = pd.read_csv(
            path, sep=part, decimal=decimal, header=0, encoding="utf-8-sig", skip_blank_lines=False, low_memory=False
        )
    except pd.errors.EmptyDataError as error:
        raise _refused(path, 2, "has a header and no rows") from error
    except (pd.errors.ParserError, UnicodeDecodeError, ValueError) as error:
        line = re.search(r"line (\d+)", str(error))
        text = "cannot be read as a table: a row has too many fields or odd signs"
        raise _refused(path, int(line[1]) if line else 0, text) from error
    if table.shape[1] != len(kinds):
        raise _refused(path, 1, f"names {len(kinds)} columns, but the rows have {table.shape[1]}")
    table = table.iloc[:, [place for place, (kind, _) in kinds.items() if kind]]
    table.columns = pd.Index([kind for kind, _ in kinds.values() if kind])
    table = table.copy()
    for name in table.columns:
        if not pd.api.types.is_numeric_dtype(table[name]):
            texts = table[name].astype("string").str.strip()
            if decimal == ",":
                texts = texts.str.replace(",", ".", regex=False)
            table[name] = pd.to_numeric(texts, errors="coerce")
    return table


def _cleaned(path: Path, table: pd.DataFrame, units: dict[str, str], repairs: list[str]) -> Log:
    """Return the log without rows that have no figures, repeat a time or run backwards."""
    if table.empty:
        raise _refused(path, 2, "has a header and no rows")
    columns = {}
    for kind, unit in units.items():
        factor, offset = UNITS[kind][unit]
        columns[kind] = table[kind].to_numpy(dtype=np.float64, na_value=np.nan) * factor + offset
    lines = np.arange(2, len(table) + 2)
    figures = np.isfinite(np.stack(list(columns.values()))).all(axis=0)
    for kind, (low, high) in BOUNDS.items():
        if kind in columns:
            with np.errstate(invalid="ignore"):
                figures &= (columns[kind] >= low) & (columns[kind] <= high)
    while len(figures) and not figures[-1] and np.isnan(columns["time"][-1]):  # blank lines at the end do not count
        figures, lines, columns = figures[:-1], lines[:-1], {kind: one[:-1] for kind, one in columns.items()}
    time = columns["time"]
    highest = np.maximum.accumulate(np.where(figures, time, -np.inf)) if len(time) else time
    before = np.concatenate([[-np.inf], highest[:-1]]) if len(time) else time
    twice, backwards = figures & (time == before), figures & (time < before)
    if backwards.sum() > max(MOST_BACKWARDS * len(time), 1):
        first = int(lines[np.argmax(backwards)])
        raise _refused(path, first, "the time runs backwards from here on; are these two logs in one file? split them")
    for wrong, what in (
        (~figures, "without usable figures"),
        (twice, "with a repeated time"),
        (backwards, "with a time before the row above"),
    ):
        if wrong.any():
            repairs.append(_left_out(lines[wrong], what))
    keep = figures & ~twice & ~backwards
    if len(keep) and (~keep).mean() > MOST_LEFT_OUT:
        raise _refused(path, int(lines[~keep][0]), f"too much of it is unusable: {'; '.join(repairs)}")
    return Log(file=str(path), columns={kind: one[keep] for kind, one in columns.items()}, repairs=tuple(repairs))


def _left_out(lines: "NDArray[np.int64]", what: str) -> str:
    count = len(lines)
    named = ", ".join(str(one) for one in lines[:MOST_LINES_NAMED]) + (", ..." if count > MOST_LINES_NAMED else "")
    return f"{count} {'row' if count == 1 else 'rows'} {what} left out: {'line' if count == 1 else 'lines'} {named}"
