"""A whole rule base, from the cache when nothing changed."""

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.errors import Problem, RulesError
from advisor.garbage import put_off
from advisor.lazy import lazy
from advisor.places import shipped
from advisor.rulebase import cache
from advisor.rulebase.model import Rulebase
from advisor.rulebase.source import contents

if TYPE_CHECKING:
    from advisor.rulebase import blame, read
else:
    blame = lazy("advisor.rulebase.blame")
    read = lazy("advisor.rulebase.read")  # not needed when the cache serves


def load_rules(*more_folders: Path | str) -> Rulebase:
    """Return the shipped rule base with a shop's own folders of pages on top of it, the last one uppermost.

    Raises RulesError with every mistake in the pages. The first reading takes seconds; the result is kept in the
    user's cache folder, so the next one takes milliseconds.

    >>> import advisor
    >>> base = advisor.load_rules()
    >>> base.signs["idle-hangs"].sided
    False
    """
    return load([shipped("rules"), *(Path(folder) for folder in more_folders)])


def _mistakes(folders: list[Path], without: frozenset[Path]) -> set[Problem]:
    problems: list[Problem] = []
    with put_off():
        read.read(folders, problems, without)
    return set(problems)


def load(folders: list[Path], *, cached: bool = True) -> Rulebase:
    """Return the rule base of these folders; later folders override earlier ones.

    Raises RulesError with every mistake when there are any. Unless `cached` is off, an unchanged
    rule base comes from the user's cache folder; a stale or broken cache is rebuilt.
    """
    missing = [
        Problem(str(folder), 0, "this is not a folder; a rule base is a folder of YAML pages")
        for folder in folders
        if not folder.is_dir()
    ]
    if missing:
        raise RulesError(missing)
    made_from = cache.source(contents(folders))
    if cached:
        kept = cache.fetch(made_from, Rulebase)
        if kept is not None:
            return kept
    problems: list[Problem] = []
    with put_off():
        base = read.read(folders, problems)
    if problems or base is None:
        raise RulesError(sorted(set(blame.at_fault(set(problems), folders, _mistakes))))
    if cached:
        cache.store(made_from, base)
    return base
