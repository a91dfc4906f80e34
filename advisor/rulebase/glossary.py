"""Words of the trade in what is read aloud: each is explained once, the first time a rider hears it."""

import re
from collections.abc import Iterable
from functools import lru_cache

from advisor.rulebase.model import Rulebase
from advisor.rulebase.table_records import Term


def explained(said: str, before: Iterable[str], base: Rulebase) -> tuple[str, ...]:
    """Return the explanations of the words in what is `said` that do not stand in what was said `before`."""
    known = {name for one in before for name in terms(one, base)}
    known |= {name for one in known for name in terms(base.glossary[one].says, base)}
    return tuple(base.glossary[name].says for name in terms(said, base) if name not in known)


def terms(said: str, base: Rulebase) -> tuple[str, ...]:
    """Return the explained words in a text, each once, in the order of the text. The longest word counts."""
    if not base.glossary:
        return ()
    pattern, names = _pattern(tuple(base.glossary.values()))
    return tuple(dict.fromkeys(names[match[0].lower().removesuffix("'s")] for match in pattern.finditer(said)))


@lru_cache(maxsize=8)
def _pattern(glossary: tuple[Term, ...]) -> tuple[re.Pattern[str], dict[str, str]]:
    """Return what finds any of these words, and which page each of their forms belongs to; one or several of it."""
    names: dict[str, str] = {}
    for term in glossary:
        for form in (term.id, *term.also):
            names |= {form.lower(): term.id, f"{form.lower()}s": term.id}
    longest = sorted(names, key=lambda one: (-len(one), one))
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, longest))})\b", re.IGNORECASE), names
