"""Signs that only say another one in other words: no cause shows them, and a rule concludes that one from them alone.

Where the left cylinder alone works, the right one is dead. Whatever explains or cures the second does so for the first.
"""

from collections.abc import Iterator

from advisor.chain.compile import side_at
from advisor.rulebase.model import Rulebase, SignIs
from advisor.sides import BOTH, Sided


def restated(base: Rulebase) -> dict[Sided, frozenset[Sided]]:
    """Return each such sign, on its side, with those that it says in other words."""
    linked = {link.sign for cause in base.causes.values() for link in cause.links}
    explained = linked | {vaguer for name in linked for vaguer in _vaguer(name, base)}
    found: dict[Sided, frozenset[Sided]] = {}
    for rule in base.rules.values():
        if len(rule.when) != 1 or rule.unless:
            continue
        (one,) = rule.when
        if not isinstance(one, SignIs) or not one.seen or one.sign in explained:
            continue
        for side in BOTH:
            key = one.sign, side_at(one.bearing, side)
            said = {(shown.sign, side_at(shown.bearing, side)) for shown in rule.shows if shown.seen}
            if said:
                found[key] = found.get(key, frozenset()) | said
    return found


def _vaguer(sign: str, base: Rulebase) -> Iterator[str]:
    while name := base.signs[sign].kind_of:
        yield name
        sign = name
