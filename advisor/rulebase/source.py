"""Finds the pages of a rule base and sorts them by kind; a shop's own folder overrides the shipped one."""

import contextlib
import os
from collections.abc import Collection, Iterator
from pathlib import Path

from advisor.errors import AdvisorError, Problem, RulesError
from advisor.files import read_plain
from advisor.yaml_nodes import Node, page_bytes, read_file

# Single pages at the top, below it one folder for each place, and `felt` for what a rider reports. In a place's
# folder the pages of a kind are KIND.yaml or KIND/ANY-NAME.yaml; each cause has its own page, causes/NAME.yaml.
SINGLE = ("strength", "means", "parts", "figures", "limits", "cautions", "order", "shakes", "glossary", "drawings")
CAUSES, FELT = "causes", "felt"
KINDS = ("signs", "readings", "patterns", CAUSES, "checks")
DEEPEST = 8  # folders below the top in which pages are looked for; a page belongs two down at most

NO_PAGES = (".md", ".txt")  # notes may be kept beside the pages
SHEETS, SHEET = "drawings", ".svg"  # drawings/NAME.svg: a sheet that drawings are made from
MOST_OF_A_SHEET = 200_000  # bytes


def _below(folder: Path) -> Iterator[tuple[str, "list[os.DirEntry[str]]"]]:
    """Yield the folder and every folder in it, not through links and only so deep, each with what it holds by name."""
    waiting = [(str(folder), 0)]
    while waiting:
        where, level = waiting.pop()
        with contextlib.suppress(OSError):  # a folder that nobody may look into
            with os.scandir(where) as entries:
                held = sorted(entries, key=lambda entry: entry.name)
            yield where, held
            if level < DEEPEST:
                inner = [one.path for one in held if one.is_dir(follow_symlinks=False)]
                waiting += [(path, level + 1) for path in reversed(inner)]


def page_files(folder: Path) -> list[Path]:
    """Return every YAML page of one folder, in a fixed order."""
    entries = (entry for _, held in _below(folder) for entry in held if entry.name.endswith(".yaml"))
    return sorted(Path(entry.path) for entry in entries if _is_file(entry))


def stray_files(folder: Path) -> list[Path]:
    """Return the files in a rule folder that are neither a page, nor a sheet, nor a note."""
    found = (Path(entry.path) for _, held in _below(folder) for entry in held if not entry.name.startswith("."))
    read = {*page_files(folder), *sheet_files(folder)}
    return sorted(path for path in found if not path.is_dir() and path.suffix not in NO_PAGES and path not in read)


def sheet_files(folder: Path) -> list[Path]:
    """Return every drawing sheet of one folder, in a fixed order."""
    home = folder / SHEETS
    held = (entry for where, found in _below(home) if where == str(home) for entry in found)
    return sorted(Path(entry.path) for entry in held if entry.name.endswith(SHEET) and _is_file(entry))


def sheet_bytes(path: Path) -> bytes:
    """Return the bytes of a sheet. Raises AdvisorError when it is no plain file, or too large for a sheet."""
    return read_plain(path, MOST_OF_A_SHEET, "an SVG file")


def _is_file(entry: "os.DirEntry[str]") -> bool:
    try:
        return entry.is_file()
    except OSError:  # a link that leads round in a ring
        return False


def _too_deep(folder: Path) -> Iterator[str]:
    """Yield the folders in which no pages are looked for, because they lie so deep."""
    top = str(folder).rstrip(os.sep).count(os.sep)
    for where, held in _below(folder):
        if where.count(os.sep) - top == DEEPEST:
            yield from (entry.path for entry in held if entry.is_dir(follow_symlinks=False))


def kind_of(page: Path, folder: Path) -> str:
    """Return the kind of a page by its path: `limits`, `signs`, `causes` ... or '' for none of them."""
    match page.relative_to(folder).parts:
        case (_,) if page.stem in SINGLE:
            return page.stem
        case (place, _) if page.stem in KINDS and page.stem != CAUSES and place not in KINDS:
            return page.stem
        case (place, kind, _) if kind in KINDS and place not in KINDS:
            return kind
    return ""


def place_of(page: Path) -> str:
    """Return the place of a page below the top: `ignition` of ignition/checks.yaml and of ignition/checks/shop.yaml."""
    return page.parent.parent.name if page.parent.name in KINDS else page.parent.name


def belongs(page: Path, folder: Path) -> str:
    """Return where a page whose path gives it no kind would belong."""
    parts = page.relative_to(folder).parts
    if parts[0] in KINDS:
        place = parts[1] if parts[0] == CAUSES and len(parts) > 2 else "PLACE"  # noqa: PLR2004 - causes, a place, a page
        return f"the place comes first: {'/'.join((place, parts[0], parts[-1]))}, like ignition/{KINDS[0]}.yaml"
    known = ", ".join(f"{name}.yaml" for name in SINGLE)
    kinds = ", ".join(f"{name}.yaml or {name}/" for name in KINDS if name != CAUSES)
    return f"a rule base has {known}, and in the folder of a place {CAUSES}/NAME.yaml, {kinds}"


def times(folders: list[Path]) -> Iterator[tuple[str, os.stat_result]]:
    """Yield each folder and all in it but notes, with its size and times: far quicker than reading the pages."""
    for folder in folders:
        yield str(folder), folder.stat()
        for _, held in _below(folder):
            for entry in held:
                if not entry.name.startswith(".") and not entry.name.endswith(NO_PAGES):
                    try:
                        yield entry.path, entry.stat()
                    except OSError:  # a link to nothing
                        yield entry.path, entry.stat(follow_symlinks=False)


def contents(folders: list[Path]) -> list[tuple[str, bytes]]:
    """Return name and bytes of every page and sheet, to tell whether anything changed; of what is neither, the name.

    Raises RulesError with every one that cannot be read, or is too large.
    """
    found, problems = list[tuple[str, bytes]](), list[Problem]()
    for folder in folders:
        files = [(page, page_bytes) for page in page_files(folder)]
        files += [(sheet, sheet_bytes) for sheet in sheet_files(folder)]
        for path, read in files:
            try:
                found.append((str(path), read(path)))
            except AdvisorError as error:
                problems += error.problems
        # What is no page is a mistake too, also where nothing else has changed.
        found += [(str(stray), b"") for stray in (*stray_files(folder), *_too_deep(folder))]
    if problems:
        raise RulesError(problems)
    return found


def _or_a_sheet(path: Path) -> str:
    return f", a sheet is {SHEETS}/NAME{SHEET}" if path.suffix == SHEET else ""


def read_pages(
    folders: list[Path], problems: list[Problem], without: Collection[Path] = ()
) -> dict[str, list[tuple[Path, Node]]]:
    """Return the pages of all folders by kind, later folders last; note pages that cannot be read or have no kind.

    Some pages may be left out.
    """
    pages: dict[str, list[tuple[Path, Node]]] = {kind: [] for kind in (*SINGLE, *KINDS)}
    for folder in folders:
        for stray in stray_files(folder):
            problems.append(
                Problem(str(stray), 0, f"is not read; a page is a plain file that ends in .yaml{_or_a_sheet(stray)}")
            )
        for deep in _too_deep(folder):
            problems.append(
                Problem(deep, 0, f"is not read: more than {DEEPEST} folders deep; a page is at most two folders down")
            )
        for page in (one for one in page_files(folder) if one not in without):
            kind = kind_of(page, folder)
            if not kind:
                problems.append(Problem(str(page), 0, f"a page here is not read; {belongs(page, folder)}"))
                continue
            node = read_file(page, problems)
            if node is not None:
                pages[kind].append((page, node))
    return pages
