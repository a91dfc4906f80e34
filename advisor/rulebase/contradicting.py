"""Finds rules that contradict each other: whenever one of them fires the other does too, and says the opposite.

Opposite is the same sign seen and not seen on one side, a sign that can be on one side only seen on both, two signs
whose pages say that they never go together, a sign without one that it never goes without, or a sign shown only where
another rule sets it aside. A rule that exists for left and right is compared on each side, also with itself. A figure
over a high limit is over a low one too.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import product

import msgspec

from advisor.errors import Problem
from advisor.rulebase.model import Bearing, Condition, PartIs, ReadingIs, Rule, Rulebase, Sign, SignIs
from advisor.sides import Side, Sided, named, other, sides_of


class _Asked(msgspec.Struct, frozen=True):
    """A condition on its real side: of what it asks what, and which way; beyond which limit, if it is a figure."""

    about: tuple[str, str, Side]
    way: bool | str
    limit: str = ""


class _Fires(msgspec.Struct, frozen=True):
    """One rule on one side: what must hold and what must not for it to fire, and the signs that it then shows."""

    rule: Rule
    when: tuple[_Asked, ...]
    unless: tuple[_Asked, ...]
    shows: dict[Sided, bool]
    aside: tuple[str, ...]


def problems(base: Rulebase) -> list[Problem]:
    """Return one problem for each pair of rules that contradict each other; it names both pages."""
    by_sign: dict[str, list[_Fires]] = defaultdict(list)
    for rule in base.rules.values():
        for one in _fires(rule):
            shown = {sign for sign, _ in one.shows}
            rivals = {name for sign in shown for name in _rivals(base.signs[sign])}
            for sign in shown | rivals | set(one.aside):
                by_sign[sign].append(one)
    found: dict[tuple[str, str], Problem] = {}
    for together in by_sign.values():
        for one, two in product(together, together):
            pair = min(one.rule.id, two.rule.id), max(one.rule.id, two.rule.id)
            if pair not in found and _always_with(two, one, base):
                said = _opposite(one, two, base)
                if said:
                    found[pair] = _problem(one.rule, two.rule, said, base)
    return list(found.values())


def _fires(rule: Rule) -> Iterator[_Fires]:
    """Yield a rule on each side on which it exists, and what follows otherwise."""
    parts = (*rule.when, *rule.unless, *rule.shows)
    for side in sides_of(any(getattr(one, "bearing", "none") != "none" for one in parts)):
        when = tuple(_asked(one, side) for one in rule.when)
        unless = tuple(_asked(one, side) for one in rule.unless)
        shows = {(one.sign, _at(one.bearing, side)): one.seen for one in rule.shows}
        aside = tuple(rule.sets_aside)
        yield _Fires(rule, when, unless, shows, aside)
        if rule.otherwise:
            turned = tuple(_asked(one, side, turned=isinstance(one, ReadingIs)) for one in rule.when)
            yield _Fires(rule, turned, unless, {key: not seen for key, seen in shows.items()}, ())


def _asked(condition: Condition, side: Side, *, turned: bool = False) -> _Asked:
    match condition:
        case PartIs():
            return _Asked(("part", condition.part, None), condition.kind)
        case SignIs():
            return _Asked(("sign", condition.sign, _at(condition.bearing, side)), condition.seen)
        case ReadingIs():
            above, here = condition.above, _at(condition.bearing, side)
            if condition.of == "lead" and not above and not turned:  # below the other side: the other side is above
                above, here = True, other(here)
            return _Asked((condition.of, condition.reading, here), above != turned, condition.limit)


def _at(bearing: Bearing, side: Side) -> Side:
    here: Side = side or "left"
    return {"this": here, "other": other(here), "none": None}[bearing]


def _always_with(one: _Fires, two: _Fires, base: Rulebase) -> bool:
    """Whether a rule fires whenever another one does."""
    if not all(any(_implies(given, asked, base) for given in two.when) for asked in one.when):
        return False
    ruled_out = {*two.unless, *(_Asked(given.about, not given.way) for given in two.when if given.about[0] == "sign")}
    return ruled_out.issuperset(one.unless)


def _implies(given: _Asked, asked: _Asked, base: Rulebase) -> bool:
    """Whether one condition holds whenever another one does."""
    if (given.about, given.way) != (asked.about, asked.way):
        return False
    if given.limit == asked.limit:
        return True
    high, low = (
        base.limits[name] for name in ((given.limit, asked.limit) if given.way else (asked.limit, given.limit))
    )
    return high.unit == low.unit and not high.figure and not low.figure and high.value >= low.value


def _opposite(one: _Fires, two: _Fires, base: Rulebase) -> str:
    """Return what two rules that fire together say against each other; '' if nothing."""
    for (sign, side), seen in one.shows.items():
        if sign in two.aside and one.rule.id != two.rule.id:
            return f"'{sign}' is shown by one and set aside by the other"
        if two.shows.get((sign, side), seen) != seen:
            return f"'{named(sign, side)}' is seen by one and not seen by the other"
        if seen and base.signs[sign].exclusive and two.shows.get((sign, other(side))):
            return f"'{sign}' compares the sides, and both sides would show it"
        page = base.signs[sign]
        never = [name for name in page.never_with if two.shows.get((name, side))]
        never += [name for name in page.other_side_never_with if two.shows.get((name, other(side)))]
        if seen and never:
            return f"'{sign}' and '{never[0]}' never go together"
        sides = {side, None}
        lacking = [name for name in page.never_without if any(two.shows.get((name, at)) is False for at in sides)]
        if seen and lacking:
            return f"'{sign}' never goes without '{lacking[0]}'"
    return ""


def _rivals(page: Sign) -> Iterator[str]:
    yield from (*page.never_with, *page.other_side_never_with, *page.never_without)


def _problem(one: Rule, two: Rule, said: str, base: Rulebase) -> Problem:
    """Return the problem, at the rule of the later folder."""
    if one.id == two.id:
        return Problem(one.file, one.line, f"'{one.id}' contradicts itself on the two sides: {said}")
    first, last = sorted((one, two), key=lambda rule: (base.level_of(rule.file), rule.file, rule.line))
    where = f"{first.file}:{first.line}"
    return Problem(
        last.file, last.line, f"'{last.id}' contradicts '{first.id}' ({where}) on the same conditions: {said}"
    )
