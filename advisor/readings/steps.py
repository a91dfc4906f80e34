"""What to do next about figures over or under their limits: one step for each limit, in the words of its page."""

from collections.abc import Iterable, Mapping

from advisor.rulebase.table_records import Limit
from advisor.sides import BOTH, Side, Sided, fill


def steps(outside: Iterable[Sided], limits: Mapping[str, Limit]) -> list[str]:
    """Return one step for each limit that a figure is outside, given as (limit, side); both sides share one.

    A limit whose page does not say what to do gives none.
    """
    found: dict[str, set[Side]] = {}
    for limit, side in outside:
        if limits[limit].do:
            found.setdefault(limit, set()).add(side)
    return [_step(limits[limit].do, sides) for limit, sides in found.items()]


def _step(text: str, sides: set[Side]) -> str:
    if sides >= set(BOTH):
        return text.replace("{side}", "left and right")
    return fill(text, next(iter(sides)))
