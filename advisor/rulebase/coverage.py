"""What a rule base covers, to find its gaps: strengths, how each cause is reached, pairs that look alike."""

from collections import Counter

import msgspec

from advisor.rulebase.model import Cause, Rulebase
from advisor.rulebase.whole import chances_by_check, told_apart
from advisor.sides import Sided, named


class CauseReach(msgspec.Struct, frozen=True, kw_only=True):
    """How a cause can be reached: its signs, those a rider sees, its deciding check, its look-alikes by person."""

    cause: str
    signs: int
    told: int
    settled_by: str
    who: str
    minutes: float
    alike: dict[str, int]


class Coverage(msgspec.Struct, frozen=True, kw_only=True):
    """The whole coverage. `rare` are signs that only one cause shows, `by_rule` those that only rules use."""

    causes: int
    sides: int
    signs: int
    checks: int
    strengths: dict[str, int]
    healthy: dict[str, int]
    reach: tuple[CauseReach, ...]
    rare: tuple[str, ...]
    by_rule: tuple[str, ...]
    accepted: tuple[tuple[str, str, str], ...]


def coverage(base: Rulebase) -> Coverage:
    """Return what the rule base covers."""
    links = [link for cause in base.causes.values() for link in cause.links]
    shown_by = Counter(name for cause in base.causes.values() for name in {link.sign for link in cause.links})
    vague = {sign.kind_of for sign in base.signs.values()}
    alike = {person: _alike(base, person) for person in base.persons}
    return Coverage(
        causes=len(base.causes),
        sides=sum(2 if cause.sided else 1 for cause in base.causes.values()),
        signs=len(base.signs),
        checks=len(base.checks),
        strengths={word: sum(link.shows == word for link in links) for word in base.words.shows},
        healthy={word: sum(sign.healthy == word for sign in base.signs.values()) for word in base.words.healthy},
        reach=tuple(
            _reach(cause, base, {person: found[cause.id] for person, found in alike.items()})
            for cause in base.causes.values()
        ),
        rare=tuple(name for name in base.signs if shown_by[name] == 1),
        by_rule=tuple(name for name in base.signs if not shown_by[name] and name not in vague),
        accepted=tuple(
            (cause.id, other, reason) for cause in base.causes.values() for other, reason in cause.not_told_from.items()
        ),
    )


def _reach(cause: Cause, base: Rulebase, alike: dict[str, int]) -> CauseReach:
    check = base.checks[cause.settled_by]
    names = {link.sign for link in cause.links}
    return CauseReach(
        cause=cause.id,
        signs=len(names),
        told=sum(base.signs[name].seen_by == base.persons[0] for name in names),
        settled_by=check.id,
        who=check.who,
        minutes=check.minutes,
        alike=alike,
    )


def _alike(base: Rulebase, person: str) -> Counter[str]:
    """Return how many other causes this person's checks cannot tell each cause from."""
    reach = base.persons.index(person)
    known = chances_by_check(base, [one for one in base.checks.values() if base.persons.index(one.who) <= reach])
    found: Counter[str] = Counter()
    pairs: set[frozenset[str]] = set()
    keys: list[Sided] = list(known)
    for number, one in enumerate(keys):
        for two in keys[number + 1 :]:
            pair = frozenset({one[0], two[0]})
            if len(pair) == 2 and pair not in pairs and not told_apart(known[one], known[two]):  # noqa: PLR2004 - a pair
                pairs.add(pair)
                found.update(pair)
    return found


def accepted_names(found: Coverage) -> list[str]:
    """Return the accepted pairs as lines."""
    return [f"{named(one, None)} and {other}: {reason}" for one, other, reason in found.accepted]
