"""A recorded log: a CSV table of time and figures. Faults in it are repaired and reported, or the log is refused."""

import csv
import re
from codecs import BOM_UTF8
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import pandas as pd

from advisor.errors import AdvisorError, CaseError
from advisor.files import MEGABYTE, read_plain
from advisor.intake.log_times import in_order, left_out, refused
from advisor.quantities import GRAVITY, MMHG

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]

PRESSURE = {"mmHg": MMHG, "cmHg": 10 * MMHG, "inHg": 25.4 * MMHG, "kPa": 1e3, "hPa": 100.0, "mbar": 100.0, "bar": 1e5}
COLUMN = {unit: (pascals / MMHG, 0.0) for unit, pascals in PRESSURE.items()}

# What a column may hold: its names, the factor and offset of its units into s, 1/min, degrees C, m/s2 and mmHg, and its
# bounds.
NAMES = {
    "time": ("time", "t"),
    "revs": ("revs", "rpm", "speed", "engine speed"),
    "temperature": ("temperature", "temp", "head", "oil"),
    "acceleration": ("acceleration", "acc", "shake"),
    "left": ("left", "l", "left column", "left vacuum", "left depression"),
    "right": ("right", "r", "right column", "right vacuum", "right depression"),
}
UNITS = {
    "time": {"s": (1.0, 0.0), "ms": (0.001, 0.0), "min": (60.0, 0.0)},
    "revs": {"rpm": (1.0, 0.0)},
    "temperature": {"C": (1.0, 0.0), "F": (5 / 9, -160 / 9)},
    "acceleration": {"m/s2": (1.0, 0.0), "g": (GRAVITY, 0.0)},
    "left": COLUMN,
    "right": COLUMN,
}
BOUNDS = {
    "time": (-1e13, 1e13),
    "revs": (0.0, 20_000.0),
    "temperature": (-40.0, 400.0),
    "acceleration": (-2_000.0, 2_000.0),
    "left": (-1_000.0, 1_000.0),
    "right": (-1_000.0, 1_000.0),
}
CELL = re.compile(
    rf"^(?P<name>[a-z ]*?[a-z])[\s_]*[\[(]?(?P<unit>rpm|ms|min|m/s2|s|C|F|g|{'|'.join(PRESSURE)})?[\])]?$",
    re.IGNORECASE,
)
STOPPED = 200.0  # rpm below which no engine runs
MOST_BYTES = 100 * MEGABYTE
CELLS_AT_ONCE = 500_000
MOST_ROWS = 10_000_000
LONGEST_LINE = 10_000  # bytes: a log has some columns, not thousands
MOST_LEFT_OUT = 0.2  # if more of a log than this is unusable, it is refused instead of repaired
PEEK = 50


class Log(msgspec.Struct, frozen=True, kw_only=True):
    """A log's columns (`time` in s, others in their units) as arrays of one length, and the repairs made to it."""

    file: str
    columns: "dict[str, Column]"
    repairs: tuple[str, ...]


def read_log(path: Path, need: tuple[str, ...], may: tuple[str, ...] = ()) -> Log:
    """Return a log with `time` and the columns needed. Raises CaseError when it cannot be used."""
    data = _text(path)
    head = data[: PEEK * LONGEST_LINE].decode("utf-8", "replace").split("\n", PEEK)[:PEEK]
    if not head[0].strip():
        raise _refused(path, 1, f"has no header; write one like '{_wanted(need, ',')}'")
    part = separator(head[0])
    kinds = header(path, head[0], part, need, may)
    decimal = _decimal(path, head, part, len(kinds))
    table = _table(path, data, part, decimal, kinds)
    del data
    repairs = ["decimal commas read as points"] if decimal == "," else []
    return _cleaned(path, table, {kind: unit for kind, unit in kinds.values() if kind}, repairs)


def _text(path: Path) -> bytes:
    """Return a file's text with a line feed at the end of each line. Raises CaseError when it is no table at all."""
    try:
        data = read_plain(path, MOST_BYTES, "a CSV table")
    except AdvisorError as error:
        raise CaseError(error.problems) from error
    data = data.removeprefix(BOM_UTF8)
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    no_text = next((at for at in (_not_utf8(data), data.find(b"\0")) if at >= 0), -1)
    if no_text >= 0:
        line = data.count(b"\n", 0, no_text) + 1
        raise _refused(path, line, "is not a text file in UTF-8; save the log as CSV (UTF-8)")
    if data.count(b"\n") > MOST_ROWS:
        raise _refused(path, 0, f"has over {MOST_ROWS:,} rows; keep every tenth row, or split it")
    ends = np.concatenate([[-1], np.flatnonzero(np.frombuffer(data, np.uint8) == ord("\n")), [len(data)]])
    long = np.flatnonzero(np.diff(ends) > LONGEST_LINE)
    if len(long):
        raise _refused(path, int(long[0]) + 1, f"this line is over {LONGEST_LINE:,} bytes long; a CSV table is needed")
    return data


def _not_utf8(data: bytes) -> int:
    """Return where the text stops being UTF-8, or -1."""
    if data.isascii():
        return -1
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        return error.start
    return -1


def _refused(path: Path, line: int, text: str) -> CaseError:
    return refused(str(path), line, text)


def _wanted(need: tuple[str, ...], part: str) -> str:
    units = {"time": "time s", "revs": "revs rpm", "temperature": "temperature C", "acceleration": "acceleration m/s2"}
    units |= {"left": "left mmHg", "right": "right mmHg"}
    return part.join(units[kind] for kind in need)


def separator(line: str) -> str:
    """Return what separates the columns in a header."""
    return next((one for one in (";", "\t", ",") if one in line), ",")


def header(path: Path, line: str, part: str, need: tuple[str, ...], may: tuple[str, ...]) -> dict[int, tuple[str, str]]:
    """Return the contents of each column, in order: (kind, unit); ('', '') for one not asked for.

    Raises CaseError for a header that lacks one or has it twice.
    """
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


def _table(path: Path, data: bytes, part: str, decimal: str, kinds: dict[int, tuple[str, str]]) -> "dict[str, Column]":
    """Return the columns asked for as figures, NaN where a cell holds none. Read a part at a time, to save memory.

    All columns are read, though few are used: with a selection, pandas silently drops surplus fields in a row.
    """
    asked = {place: kind for place, (kind, _) in kinds.items() if kind}
    found: dict[str, list[Column]] = {kind: [] for kind in asked.values()}
    odd, most, first = 0, MOST_LEFT_OUT * data.count(b"\n"), 0
    size = max(CELLS_AT_ONCE // len(kinds), 1_000)
    settings = {"sep": part, "decimal": decimal, "header": 0, "skip_blank_lines": False, "low_memory": False}
    try:
        for number, table in enumerate(pd.read_csv(BytesIO(data), chunksize=size, **settings)):
            if table.shape[1] != len(kinds):
                raise _refused(path, 1, f"names {len(kinds)} columns, but the rows have {table.shape[1]}")
            wrong = np.zeros(len(table), bool)
            for place, kind in asked.items():
                figures, no_figure = _figures(table.iloc[:, place], decimal)
                found[kind].append(figures)
                wrong |= no_figure
            if wrong.any() and not odd:
                first = number * size + int(np.argmax(wrong)) + 2
            odd += int(wrong.sum())
            if odd > most:
                raise _refused(path, first, "too much of it is unusable: over a fifth of its rows hold no figures")
    except pd.errors.EmptyDataError as error:
        raise _refused(path, 2, "has a header and no rows") from error
    except (pd.errors.ParserError, ValueError) as error:
        raise _no_table(path, str(error)) from error
    return {kind: np.concatenate(parts) if parts else np.zeros(0) for kind, parts in found.items()}


def _no_table(path: Path, said: str) -> CaseError:
    """Return what pandas `said` of a table as one mistake; it counts lines from 1, and rows from 0."""
    if quote := re.search(r"EOF inside string starting at row (\d+)", said):
        return _refused(path, int(quote[1]) + 1, "a quotation mark opens here and never closes; leave it out")
    line = re.search(r"line (\d+)", said)
    text = "cannot be read as a table: a row has too many fields or odd signs"
    return _refused(path, int(line[1]) if line else 0, text)


def _figures(cells: pd.Series, decimal: str) -> "tuple[Column, NDArray[np.bool_]]":
    """Return the figures of a column, and where it has a text instead of one."""
    if pd.api.types.is_numeric_dtype(cells):
        return cells.to_numpy(dtype=np.float64, na_value=np.nan), np.zeros(len(cells), bool)
    texts = cells.astype("string").str.strip()
    if decimal == ",":
        texts = texts.str.replace(",", ".", regex=False)
    figures = pd.to_numeric(texts, errors="coerce").to_numpy(dtype=np.float64, na_value=np.nan)
    return figures, np.isnan(figures) & cells.notna().to_numpy()


def _cleaned(path: Path, table: "dict[str, Column]", units: dict[str, str], repairs: list[str]) -> Log:
    """Return the log without rows that have no figures, repeat a time or run backwards."""
    columns = {}
    for kind, unit in units.items():
        factor, offset = UNITS[kind][unit]
        with np.errstate(over="ignore"):
            columns[kind] = table[kind] * factor + offset
    said = np.flatnonzero(~np.isnan(columns["time"]))  # lines without a time at the end do not count
    if not len(said):
        empty = not len(columns["time"])
        raise _refused(path, 2, "has a header and no rows" if empty else "no row has a time that is a figure")
    columns = {kind: one[: said[-1] + 1] for kind, one in columns.items()}
    lines = np.arange(2, len(columns["time"]) + 2)
    figures = np.logical_and.reduce([np.isfinite(one) for one in columns.values()])
    for kind, (low, high) in BOUNDS.items():
        if kind in columns:
            with np.errstate(invalid="ignore"):
                figures &= (columns[kind] >= low) & (columns[kind] <= high)
    repairs += left_out(lines[~figures], "without usable figures")
    times = in_order(str(path), columns["time"][figures], lines[figures])
    keep = np.flatnonzero(figures)[times.kept]
    repairs += times.repairs
    if len(lines) - len(keep) > MOST_LEFT_OUT * len(lines):
        first = int(np.setdiff1d(lines, lines[keep])[0])
        raise _refused(path, first, f"too much of it is unusable: {'; '.join(repairs)}")
    kept = {kind: one[keep] for kind, one in columns.items()} | {"time": times.time}
    return Log(file=str(path), columns=kept, repairs=tuple(repairs))
