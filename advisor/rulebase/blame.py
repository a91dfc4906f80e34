"""Finds the page at fault where a shop's folder on top of other pages makes one of those look wrong.

The pages below are sound without the shop's: so whatever is wrong with the whole is a mistake of the uppermost folder.
Which of its pages it is shows when that page is left out, and the problem with it.
"""

import re
from collections.abc import Callable, Collection, Iterable
from pathlib import Path

from advisor.errors import Problem
from advisor.rulebase.source import page_files, sheet_files

Without = Callable[[list[Path], frozenset[Path]], set[Problem] | None]
MOST_PAGES = 3  # that are looked for one by one; what is left then belongs to the last of them
WORD = re.compile(r"[\w-]+")
NAME = re.compile(r"\s*(?:- )?\{?(?:id: *)?([\w-]+)")


def at_fault(problems: Iterable[Problem], folders: list[Path], found: Without) -> list[Problem]:
    """Return the problems, each in a page of the folder whose mistake it is.

    `found` returns the problems of some folders without some of their pages; None if that cannot be told.
    """
    everything = list(problems)
    while len(folders) > 1 and (lower := _files_in(folders[:-1], everything)):
        below = found(folders[:-1], frozenset()) or set()
        old = [one for one in everything if one in below]
        new = [one for one in everything if one not in below]
        if new:
            own = [one for one in new if one.file not in lower]
            # What is wrong in the folder itself may make any other page look wrong: it comes first.
            return [*old, *(own or _moved(new, folders, found))]
        folders = folders[:-1]
    return everything


def _files_in(folders: list[Path], problems: list[Problem]) -> set[str]:
    """Return the files of these problems that are in these folders."""
    files = {one.file for one in problems}
    return {file for file in files if not set(folders).isdisjoint(Path(file).parents)}


def _moved(problems: list[Problem], folders: list[Path], found: Without) -> list[Problem]:
    """Return problems of pages below, each in the page of the last folder that makes it."""
    pages = [*page_files(folders[-1]), *sheet_files(folders[-1])]
    moved: list[Problem] = []
    left, page = list(problems), pages[0]
    for _ in range(MOST_PAGES):
        if not left:
            break
        page = _guilty(left[0], pages, folders, found, set(problems))
        rest = found(folders, frozenset({page}))
        gone = [one for one in left if rest is not None and one not in rest] or left[:1]
        moved += [_in(page, one) for one in gone]
        left = [one for one in left if one not in gone]
    return [*moved, *(_in(page, one) for one in left)]


def _guilty(
    problem: Problem, pages: list[Path], folders: list[Path], found: Without, known: Collection[Problem]
) -> Path:
    """Return the page without which a problem is gone, found by leaving out half of them at a time."""
    while len(pages) > 1:
        half = len(pages) // 2
        for part in (pages[:half], pages[half:]):
            rest = found(folders, frozenset(part))
            # Without a page others may miss what it holds; then nothing is known about the problem.
            if rest is not None and problem not in rest and rest <= set(known):
                pages = part
                break
        else:
            return _named(problem, pages)
    return pages[0]


def _named(problem: Problem, pages: list[Path]) -> Path:
    """Return the first page that has something named in the problem, or else the first."""
    return next((page for page in pages if _line(page, problem)), pages[0])


def _in(page: Path, problem: Problem) -> Problem:
    where = f"{problem.file}:{problem.line}" if problem.line else problem.file
    return Problem(str(page), _line(page, problem), f"{problem.text} (so with this page: {where})")


def _line(page: Path, problem: Problem) -> int:
    """Return the first line of a page that begins with a name in the problem; 0 if there is none."""
    said = set(WORD.findall(problem.text))
    lines = page.read_text(encoding="utf-8", errors="replace").splitlines()
    begins = ((number, NAME.match(line)) for number, line in enumerate(lines, start=1))
    return next((number for number, name in begins if name and "-" in name[1] and name[1] in said), 0)
