"""Finds phrasings that two signs claim: what people say must lead to one of them."""

from collections import defaultdict
from collections.abc import Iterator

from advisor.errors import Problem
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import Phrasing, phrasebook_of


def problems(base: Rulebase) -> Iterator[Problem]:
    """Yield each phrasing that a sign claims beside another: the same words, whatever their endings and small words."""
    claimed: dict[tuple[object, ...], list[Phrasing]] = defaultdict(list)
    for one in phrasebook_of(base).signs.all:
        if not one.well:  # a thing that is well may deny several signs
            claimed[one.exact, one.order, one.sided].append(one)
    for same in claimed.values():
        first, *others = same
        for one in others:
            if one.name != first.name:
                sign = base.signs[one.name]
                yield Problem(
                    sign.file,
                    sign.line,
                    f"'{one.name}' claims '{one.says}', and '{first.name}' claims '{first.says}': one of them must go",
                )
