"""Which cause is meant: by its name, by its title, or by plain words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, nearest
from advisor.lazy import lazy
from advisor.report import RankedCause
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, named

if TYPE_CHECKING:
    from advisor.rulebase import search
else:
    search = lazy("advisor.rulebase.search")  # it imports the string library


def find_cause(causes: Sequence[RankedCause], words: str) -> RankedCause:
    """Return the cause that `id`, `id left`, `id:left` or its title names; without a side, the likelier one.

    `causes` are ranked. Raises AdvisorError, with the nearest name, when there is none.
    """
    found = _by_name(causes, words)
    if found is None:
        msg = f"no cause is called '{words}'{nearest(words, [named(one.id, one.side) for one in causes])}"
        raise AdvisorError(msg)
    return found


def find_cause_by_words(causes: Sequence[RankedCause], words: str, base: Rulebase) -> RankedCause:
    """Return the cause of this name, or else the one that plain words mean. Raises AdvisorError when there is none.

    It is the likeliest of those whose title has all the words, else the best match of a search. If a side is
    named, it is on that side if the cause has sides.
    """
    named_so = _by_name(causes, words)
    if named_so is not None:
        return named_so
    said = words.lower().split()
    sides, plain = {one for one in said if one in BOTH}, " ".join(one for one in said if one not in BOTH)
    wanted = set(search.stems(plain))
    found = [one for one in causes if wanted and wanted <= set(search.stems(f"{one.title} {one.id}"))]
    if not found:
        pages = search.index_of(base).search(plain, ["cause"])
        found = [one for one in causes if pages and one.id == pages[0].id]
    if not found:
        return find_cause(causes, " ".join(said))
    return next((one for one in found if one.side in sides), found[0])


def _by_name(causes: Sequence[RankedCause], words: str) -> RankedCause | None:
    """Return the cause with this name, the likelier side first; or with this title."""
    said = words.lower().replace(":", " ").split()
    plain = " ".join(words.lower().split())
    by_id = (one for one in causes if said[:1] == [one.id] and said[1:] in ([], [one.side]))
    return next(by_id, None) or next((one for one in causes if one.title.lower() == plain), None)
