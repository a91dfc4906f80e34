"""Finds the pages of a rule base and sorts them by what they hold; a shop's own folder lies over the shipped one."""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from advisor.errors import Problem
from advisor.yaml_nodes import MAX_BYTES, Node, read_file

# Single files at the top, and folders of pages below it; `causes` has one folder for each place.
SINGLE = ("strength", "means", "parts", "figures", "limits", "cautions", "order")
FOLDERS = ("signs", "readings", "patterns", "causes", "checks")


NO_PAGES = (".md", ".txt")  # notes may lie beside the pages


def page_files(folder: Path) -> list[Path]:
    """Return every YAML page of one folder, in a fixed order."""
    return sorted(path for path in folder.rglob("*.yaml") if path.is_file())


def stray_files(folder: Path) -> list[Path]:
    """Return what lies in a rule folder and is neither a page nor a note."""
    found = (path for path in folder.rglob("*") if not path.name.startswith("."))
    return sorted(path for path in found if not path.is_dir() and path.suffix not in NO_PAGES and not _is_page(path))


def _is_page(path: Path) -> bool:
    return path.suffix == ".yaml" and path.is_file()


def kind_of(page: Path, folder: Path) -> str:
    """Return what a page holds by where it lies: `limits`, `signs`, `causes` ... or '' for none of them."""
    parts = page.relative_to(folder).parts
    if len(parts) == 1:
        return page.stem if page.stem in SINGLE else ""
    return parts[0] if parts[0] in FOLDERS else ""


def times(folders: list[Path]) -> Iterator[tuple[str, os.stat_result]]:
    """Yield each folder, and every file in it that may be a page, with its size and times; far quicker than reading."""
    for folder in folders:
        yield str(folder), folder.stat()
        for where, below, names in os.walk(folder):
            below.sort()
            for name in sorted(names):
                if name.endswith(".yaml"):
                    path = os.path.join(where, name)  # noqa: PTH118 - a Path for each would take most of the time
                    with contextlib.suppress(OSError):  # a link to nothing
                        yield path, os.stat(path)  # noqa: PTH116 - as above


def contents(folders: list[Path]) -> list[tuple[str, bytes]]:
    """Return name and bytes of every page, for telling whether anything changed."""
    found = []
    for folder in folders:
        for page in page_files(folder):
            with page.open("rb") as stream:
                found.append((str(page), stream.read(MAX_BYTES + 1)))
    return found


def read_pages(folders: list[Path], problems: list[Problem]) -> dict[str, list[tuple[Path, Node]]]:
    """Return the pages of all folders by kind, later folders last; note what cannot be read or placed."""
    pages: dict[str, list[tuple[Path, Node]]] = {kind: [] for kind in (*SINGLE, *FOLDERS)}
    for folder in folders:
        for stray in stray_files(folder):
            problems.append(Problem(str(stray), 0, "is not read; a page is a plain file that ends in .yaml"))
        for page in page_files(folder):
            kind = kind_of(page, folder)
            if not kind:
                known = ", ".join([f"{name}.yaml" for name in SINGLE] + [f"{name}/" for name in FOLDERS])
                problems.append(Problem(str(page), 0, f"a page with this name is not read; a rule base has {known}"))
                continue
            node = read_file(page, problems)
            if node is not None:
                pages[kind].append((page, node))
    return pages
