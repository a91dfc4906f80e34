"""Finds phrasings that two signs claim: what people say must lead to one of them."""

from collections import defaultdict
from collections.abc import Iterator

from advisor.errors import Problem
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import Phrasing, said_in_the_same_words


def problems(base: Rulebase) -> Iterator[Problem]:
    """Yield each phrasing that a sign claims beside another: the same words, whatever their endings and small words.

    A title is no claim, and a sign may share a phrasing with one that it is a kind of. A thing that is well may deny
    several signs.
    """
    claimed: dict[object, list[Phrasing]] = defaultdict(list)
    for one in said_in_the_same_words(base):
        if not one.well and one.says != base.signs[one.name].title:
            claimed[one.exact, one.order, one.sided].append(one)
    for first, *others in claimed.values():
        for one in others:
            if one.name != first.name and not _is_kind(one.name, first.name, base):
                sign = base.signs[one.name]
                text = (
                    f"'{one.name}' claims '{one.says}', and '{first.name}' claims '{first.says}': one of them must go"
                )
                yield Problem(sign.file, sign.line, text)


def _is_kind(one: str, other: str, base: Rulebase) -> bool:
    return base.signs[one].kind_of == other or base.signs[other].kind_of == one
