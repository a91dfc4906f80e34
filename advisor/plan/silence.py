"""What a sign would silence if it were seen: the evidence that rules would then set aside."""

from collections.abc import Iterable

import msgspec

from advisor.report import Evidence
from advisor.rulebase.model import ReadingIs, Rulebase, SignIs
from advisor.sides import Sided


class Aside(msgspec.Struct, frozen=True):
    """What no longer counts once a sign is seen: these signs however known, and those read off a figure."""

    signs: frozenset[str]
    read_off: frozenset[str]


Silences = dict[str, Aside]


def silences(base: Rulebase) -> Silences:
    """Return, for each sign, what no longer counts once it is seen.

    Only the effect of one seen sign alone: the readiness order, and rules with that sign as their only condition.
    """
    found: dict[str, set[str]] = {}
    wrong: set[str] = set()
    for area in base.areas:
        for sign in wrong:
            found.setdefault(sign, set()).update(area.relies)
        wrong |= {sign for item in area.items for sign in item.wrong}
    for rule in base.rules.values():
        if len(rule.when) == 1 and not rule.unless and isinstance(rule.when[0], SignIs) and rule.when[0].seen:
            found.setdefault(rule.when[0].sign, set()).update(rule.sets_aside)
    derived = _derived(base)
    return {
        sign: Aside(
            signs=frozenset(what for what in aside if what in base.signs),
            read_off=frozenset(one for what in aside for one in derived.get(what, ())),
        )
        for sign, aside in found.items()
        if aside
    }


def _derived(base: Rulebase) -> dict[str, set[str]]:
    """Return the signs that rules derive from each reading."""
    found: dict[str, set[str]] = {}
    for rule in base.rules.values():
        for one in rule.when:
            if isinstance(one, ReadingIs):
                found.setdefault(one.reading, set()).update(shown.sign for shown in rule.shows)
    return found


def silenced(seen: Iterable[str], evidence: Iterable[Evidence], silences: Silences) -> set[Sided]:
    """Return the evidence that no longer counts once these signs are seen too."""
    asides = [silences[sign] for sign in seen if sign in silences]
    return {
        (one.sign, one.side)
        for one in evidence
        if any(one.sign in aside.signs or (one.rules and one.sign in aside.read_off) for aside in asides)
    }
