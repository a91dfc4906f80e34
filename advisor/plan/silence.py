"""What a sign would silence if it were seen: the evidence that rules would then set aside."""

from collections.abc import Iterable

from advisor.rank.network import SideOf
from advisor.rulebase.model import ReadingIs, Rulebase, SignIs

Silences = dict[str, frozenset[str]]  # a sign -> the signs that no longer count once it is seen


def silences(base: Rulebase) -> Silences:
    """Return, for each sign, the signs that no longer count once it is seen.

    Only what one seen sign does by itself: the readiness order, and rules with that sign as their one condition.
    """
    found: dict[str, set[str]] = {}
    wrong: set[str] = set()
    for area in base.areas:
        for sign in wrong if area.relies else ():
            found.setdefault(sign, set()).update(area.relies)
        wrong |= {sign for item in area.items for sign in item.wrong}
    for rule in base.rules.values():
        if len(rule.when) == 1 and not rule.unless and isinstance(rule.when[0], SignIs) and rule.when[0].seen:
            found.setdefault(rule.when[0].sign, set()).update(rule.sets_aside)
    derived = _derived(base)
    return {
        sign: frozenset(one for what in aside for one in (what, *derived.get(what, ())) if one in base.signs)
        for sign, aside in found.items()
        if aside
    }


def _derived(base: Rulebase) -> dict[str, set[str]]:
    """Return the signs that rules make of each reading."""
    found: dict[str, set[str]] = {}
    for rule in base.rules.values():
        for one in rule.when:
            if isinstance(one, ReadingIs):
                found.setdefault(one.reading, set()).update(shown.sign for shown in rule.shows)
    return found


def silenced(seen: Iterable[str], known: Iterable[SideOf], silences: Silences) -> set[SideOf]:
    """Return which known findings no longer count once these signs are seen too."""
    aside = frozenset().union(*(silences.get(sign, frozenset()) for sign in seen))
    return {key for key in known if key[0] in aside}
