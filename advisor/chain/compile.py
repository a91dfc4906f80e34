"""Turns the rule base into engine rules: each page rule once for left and once for right.

Kinds of facts: `held` and `not held` (a figure compared with a limit), `part`, `seen` and `not seen` (signs),
`aside` (a reading or sign that must not count), `off` (a link from cause to sign that does
not count), `warn` (a caution), `forbid` (what must not be done with the engine), `counts` (a sign
accepted as evidence).
"""

import msgspec

from advisor.chain.terms import Atom, ChainRule
from advisor.readings.verdicts import question
from advisor.rulebase.model import Bearing, Condition, PartIs, ReadingIs, Rule, Rulebase, Shown, Sign, SignIs
from advisor.sides import Side, named, other, sides_of

ACCEPT, ORDER = "counts:", "order:"
Origin = dict[str, tuple[Rule, Side]]  # an engine rule's id -> its page rule and side


class Compiled(msgspec.Struct, frozen=True):
    """The engine's rules, checked and sorted by layer; the layer of each; and its page rule and side."""

    rules: tuple[ChainRule, ...]
    layer: dict[str, int]
    origin: dict[str, tuple[str, Side]]


def compile_rules(base: Rulebase) -> tuple[list[ChainRule], Origin]:
    """Return the engine's rules for a whole rule base, and the origin of those from pages."""
    compiled: list[ChainRule] = []
    origin: Origin = {}
    may_be_aside = {what for rule in base.rules.values() for what in rule.sets_aside}
    may_be_aside |= {what for area in base.areas for what in area.relies}
    for rule in base.rules.values():
        for side in sides_of(is_sided(rule)):
            made = _page_rule(rule, side, may_be_aside)
            origin |= {one.id: (rule, side) for one in made}
            compiled += made
    compiled += _order_rules(base)
    for sign in base.signs.values():
        if sign.exclusive or sign.id in may_be_aside:
            for side in sides_of(sign.sided):
                compiled += _accept(sign, side, sign.id in may_be_aside)
    return compiled, origin


def _order_rules(base: Rulebase) -> list[ChainRule]:
    """Return the rules that set a stage's readings aside while something in an earlier stage is wrong."""
    compiled = []
    for number, area in enumerate(base.areas):
        gives = tuple(("aside", what) for what in area.relies)
        for earlier in base.areas[:number] if gives else ():
            for item in earlier.items:
                for sign in item.wrong:
                    for side in sides_of(base.signs[sign].sided):
                        name = named(sign, side)
                        rule = f"{ORDER} {item.id} before {area.id}, {name}"
                        compiled.append(ChainRule(id=rule, when=(("seen", name),), gives=gives))
    return compiled


def is_sided(rule: Rule) -> bool:
    """Whether a rule mentions this side or the other, and so exists once for left and once for right."""
    return any(getattr(one, "bearing", "none") != "none" for one in (*rule.when, *rule.unless, *rule.shows))


def side_at(bearing: Bearing, side: Side) -> Side:
    """Return the real side that a rule compiled for `side` means."""
    return {"this": side, "other": other(side), "none": None}[bearing]


def atom_of(condition: Condition, side: Side, *, turned: bool = False) -> Atom:
    """Return the kind and name of the fact that a condition asks for; with `turned`, of the opposite fact."""
    match condition:
        case PartIs():
            return "part", f"{condition.part}={condition.kind}"
        case ReadingIs():
            return "not held" if turned else "held", named(question(condition), side_at(condition.bearing, side))
        case SignIs():
            seen = condition.seen != turned
            return "seen" if seen else "not seen", named(condition.sign, side_at(condition.bearing, side))


def _page_rule(rule: Rule, side: Side, may_be_aside: set[str]) -> list[ChainRule]:
    name = named(rule.id, side)
    when = tuple(dict.fromkeys(atom_of(one, side) for one in rule.when))
    unless = [atom_of(one, side) for one in rule.unless]
    unless += [
        ("aside", one.reading) for one in rule.when if isinstance(one, ReadingIs) and one.reading in may_be_aside
    ]
    gives = [_sign_atom(one, side) for one in rule.shows]
    gives += [("aside", what) for what in rule.sets_aside]
    gives += [("off", f"{cause}|{sign}") for cause, sign in rule.switches_off]
    gives += [("warn", caution) for caution in rule.warns]
    gives += [("forbid", what) for what in rule.forbids]
    gives += [("remark", name)] if rule.remark else []
    asked = tuple(dict.fromkeys(unless))
    compiled = [ChainRule(id=name, when=when, unless=asked, gives=tuple(gives))]
    if rule.otherwise:
        turned = (atom_of(one, side, turned=isinstance(one, ReadingIs)) for one in rule.when)
        absent = tuple(_sign_atom(Shown(one.sign, one.bearing, not one.seen), side) for one in rule.shows)
        compiled.append(ChainRule(id=f"{name} (not so)", when=tuple(turned), unless=asked, gives=absent))
    return compiled


def _sign_atom(shown: Shown, side: Side) -> Atom:
    return "seen" if shown.seen else "not seen", named(shown.sign, side_at(shown.bearing, side))


def _accept(sign: Sign, side: Side, may_be_aside: bool) -> list[ChainRule]:
    """Return the rules that let a sign count: not if set aside, and not an absence hidden by its twin."""
    name = named(sign.id, side)
    aside: tuple[Atom, ...] = (("aside", sign.id),) if may_be_aside else ()
    hidden: tuple[Atom, ...] = (("seen", named(sign.id, other(side))),) if sign.exclusive else ()
    return [
        ChainRule(id=f"{ACCEPT}{name}", when=(("seen", name),), unless=aside, gives=(("counts", f"seen {name}"),)),
        ChainRule(
            id=f"{ACCEPT}not {name}",
            when=(("not seen", name),),
            unless=(*aside, *hidden),
            gives=(("counts", f"not seen {name}"),),
        ),
    ]
