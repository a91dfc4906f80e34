"""Turns the rule base into the engine's rules: each page rule once for left and once for right.

Kinds of facts: `reading`, `lead` and `lead %` (figures with bounds), `part`, `seen` and `not seen`
(signs), `aside` (a reading or sign that must not count), `off` (a link from cause to sign that does
not count), `warn` (a caution), `counts` (a sign accepted as evidence).
"""

from collections.abc import Iterable

from advisor.chain.terms import Atom, ChainRule, Match, Test
from advisor.quantities import convert, widen
from advisor.rulebase.model import Bearing, Condition, PartIs, ReadingIs, Rule, Rulebase, Shown, Sign, SignIs
from advisor.sides import Side, named, other, sides_of

ACCEPT = "counts:"


Origin = dict[str, tuple[Rule, Side]]  # an engine rule's id -> the page rule it came from, and for which side


def compile_rules(base: Rulebase) -> tuple[list[ChainRule], Origin]:
    """Return the engine's rules for a whole rule base, and where those from pages came from."""
    compiled: list[ChainRule] = []
    origin: Origin = {}
    may_be_aside = {what for rule in base.rules.values() for what in rule.sets_aside}
    for rule in base.rules.values():
        for side in sides_of(is_sided(rule)):
            made = _page_rule(rule, side, may_be_aside, base)
            origin |= {one.id: (rule, side) for one in made}
            compiled += made
    for sign in base.signs.values():
        if sign.exclusive or sign.id in may_be_aside:
            for side in sides_of(sign.sided):
                compiled += _accept(sign, side, sign.id in may_be_aside)
    return compiled, origin


def is_sided(rule: Rule) -> bool:
    """Whether a rule speaks of this side and the other, and so exists once for left and once for right."""
    return any(getattr(one, "bearing", "none") != "none" for one in (*rule.when, *rule.unless, *rule.shows))


def side_at(bearing: Bearing, side: Side) -> Side:
    """Return the real side that a rule compiled for `side` means."""
    return {"this": side, "other": other(side), "none": None}[bearing]


def atom_of(condition: SignIs | PartIs, side: Side) -> Atom:
    """Return the kind and name of the fact that a condition asks for."""
    if isinstance(condition, PartIs):
        return "part", f"{condition.part}={condition.kind}"
    return "seen" if condition.seen else "not seen", named(condition.sign, side_at(condition.bearing, side))


def match_of(condition: Condition, side: Side, base: Rulebase, *, turned: bool = False) -> Match:
    """Return the condition as a match. `turned` asks for a reading that clearly fails it.

    Near a limit neither holds: above needs the lower bound above it, its opposite the upper bound
    at or below it (the guard band of ISO 14253-1: a figure whose bounds straddle the limit decides nothing).
    """
    if not isinstance(condition, ReadingIs):
        return Match(*atom_of(condition, side))
    limit = base.limits[condition.limit]
    kind = (
        "reading"
        if not condition.against_other
        else "lead %"
        if limit.unit == "%" != base.readings[condition.reading].unit
        else "lead"
    )
    name = named(condition.reading, side_at(condition.bearing, side))
    value = limit_in(condition, base)
    # 'below the other side by 50' is a lead below -50.
    if condition.against_other and not condition.above:
        value = -value
    if condition.above:
        return Match(kind, name, (Test("high", "<=", value) if turned else Test("low", ">", value),))
    return Match(kind, name, (Test("low", ">=", value) if turned else Test("high", "<", value),))


def limit_in(condition: ReadingIs, base: Rulebase) -> float:
    """Return the limit's figure in the unit of the reading it is compared with."""
    limit = base.limits[condition.limit]
    unit = base.readings[condition.reading].unit
    if condition.against_other and limit.unit == "%":
        return limit.value
    turn = widen if condition.against_other else convert
    return turn(limit.value, limit.unit, unit, base.units)


def _page_rule(rule: Rule, side: Side, may_be_aside: set[str], base: Rulebase) -> list[ChainRule]:
    name = named(rule.id, side)
    when = _merged(match_of(one, side, base) for one in rule.when)
    unless = [atom_of(one, side) for one in rule.unless if not isinstance(one, ReadingIs)]
    unless += [
        ("aside", one.reading) for one in rule.when if isinstance(one, ReadingIs) and one.reading in may_be_aside
    ]
    gives = [_sign_atom(one, side) for one in rule.shows]
    gives += [("aside", what) for what in rule.sets_aside]
    gives += [("off", f"{cause}|{sign}") for cause, sign in rule.switches_off]
    gives += [("warn", caution) for caution in rule.warns]
    asked = tuple(dict.fromkeys(unless))
    compiled = [ChainRule(id=name, when=when, unless=asked, gives=tuple(gives))]
    if rule.otherwise:
        turned = _merged(match_of(one, side, base, turned=True) for one in rule.when)
        absent = tuple(_sign_atom(Shown(one.sign, one.bearing, not one.seen), side) for one in rule.shows)
        compiled.append(ChainRule(id=f"{name} (not so)", when=turned, unless=asked, gives=absent))
    return compiled


def _merged(matches: Iterable[Match]) -> tuple[Match, ...]:
    """Return the conditions with all tests of one fact in one: the engine lets no fact fill two."""
    tests: dict[Atom, tuple[Test, ...]] = {}
    for match in matches:
        atom = match.kind, match.name
        tests[atom] = (*tests.get(atom, ()), *match.tests)
    return tuple(Match(kind, name, found) for (kind, name), found in tests.items())


def _sign_atom(shown: Shown, side: Side) -> Atom:
    return "seen" if shown.seen else "not seen", named(shown.sign, side_at(shown.bearing, side))


def _accept(sign: Sign, side: Side, may_be_aside: bool) -> list[ChainRule]:
    """Return the rules that let a sign count: not when set aside, and not an absence that its twin hides."""
    name = named(sign.id, side)
    aside: tuple[Atom, ...] = (("aside", sign.id),) if may_be_aside else ()
    hidden: tuple[Atom, ...] = (("seen", named(sign.id, other(side))),) if sign.exclusive else ()
    return [
        ChainRule(id=f"{ACCEPT}{name}", when=(Match("seen", name),), unless=aside, gives=(("counts", f"seen {name}"),)),
        ChainRule(
            id=f"{ACCEPT}not {name}",
            when=(Match("not seen", name),),
            unless=(*aside, *hidden),
            gives=(("counts", f"not seen {name}"),),
        ),
    ]
