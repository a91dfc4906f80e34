"""A whole rule base, from the cache when nothing changed."""

from pathlib import Path

from advisor.errors import Problem, RulesError
from advisor.rulebase import cache
from advisor.rulebase.model import Rulebase
from advisor.rulebase.source import contents


def load(folders: list[Path], *, cached: bool = True) -> Rulebase:
    """Return the rule base of these folders, later ones laid over earlier ones.

    Raises RulesError with every mistake when there are any. Unless `cached` is off, an unchanged
    rule base comes from the user's cache folder; a stale or broken cache is rebuilt.
    """
    missing = [
        Problem(str(folder), 0, "this is no folder; a rule base is a folder of YAML pages")
        for folder in folders
        if not folder.is_dir()
    ]
    if missing:
        raise RulesError(missing)
    made_from = cache.source(contents(folders))
    if cached:
        kept = cache.fetch(made_from)
        if kept is not None:
            return kept
    from advisor.rulebase.read import read  # noqa: PLC0415 - not needed when the cache serves

    problems: list[Problem] = []
    base = read(folders, problems)
    if problems or base is None:
        raise RulesError(sorted(set(problems)))
    if cached:
        cache.store(made_from, base)
    return base
