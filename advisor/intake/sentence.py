"""What a sentence says about a bike: the signs it may mean, each on its side, as a session understands it."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence

import msgspec

from advisor.case import Measured
from advisor.intake.clauses import Clause, clauses
from advisor.intake.mentions import Mention, hinted, mentions
from advisor.intake.suspicion import suspected
from advisor.intake.told_figures import told_readings
from advisor.intake.told_side import EACH, ELSE
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import phrasebook_of
from advisor.sides import Side, other, sides_of

DIGIT = re.compile(r"\d")
VAGUE = 3  # kinds, that a vague sign has at least
MOST_UNDERSTOOD = 8  # nobody reads a longer list


class Heard(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that a sentence may mean: its name in the rule base, its side if it has sides, and whether it is there.

    `words` is the clause that says so.
    """

    sign: str
    side: Side
    seen: bool = True
    words: str = ""


class Suspected(msgspec.Struct, frozen=True, kw_only=True):
    """A cause that a sentence suspects, on its side if it has sides."""

    cause: str
    side: Side
    words: str = ""


class Understood(msgspec.Struct, frozen=True, kw_only=True):
    """What a sentence may mean: signs that are there or not, causes that it suspects, and readings."""

    signs: tuple[Heard, ...] = ()
    suspected: tuple[Suspected, ...] = ()
    readings: tuple[Measured, ...] = ()


def understand(sentence: str, base: Rulebase) -> Understood:
    """Return what a sentence may mean."""
    book = phrasebook_of(base)
    told = clauses(sentence, book)
    supposed = suspected(told, book.causes)
    found = [one for one in mentions(told, book.signs) if not any(one.places & other.places for other in supposed)]
    heard = {number for one in (*found, *supposed) for number in one.clauses}
    many = Counter(sign.kind_of for sign in base.signs.values() if sign.kind_of)
    vague = {name for name, kinds in many.items() if kinds >= VAGUE and not base.signs[name].past}
    found += [
        one
        for clause in told
        if clause.number not in heard
        and not DIGIT.search(clause.text)
        and (one := hinted(clause, book.signs, vague)) is not None
    ]
    kept = _without_kinds(found, base)
    signs = [one for mention in kept[:MOST_UNDERSTOOD] for one in _heard(mention, told, base)]
    return Understood(
        signs=tuple(dict.fromkeys(signs)),
        suspected=tuple(dict.fromkeys(one for mention in supposed for one in _suspected(mention, told, base))),
        readings=tuple(told_readings(sentence, base)),
    )


def _suspected(mention: Mention, told: Sequence[Clause], base: Rulebase) -> Iterator[Suspected]:
    cause = base.causes[mention.phrasing.name]
    said = _sides(mention, told)
    for side in sides_of(cause.sided):
        if side is None or not said or side in said:
            yield Suspected(cause=cause.id, side=side, words=told[mention.clauses[0]].text)


def _sides(mention: Mention, told: Sequence[Clause]) -> list[Side]:
    """Return the sides that are named with a sign; if none is, the one that was named last."""
    here = [side for number in mention.clauses for side in told[number].sides]
    if here or EACH & {word for number in mention.clauses for word in told[number].raw}:
        return here
    before = [side for clause in told[: mention.clauses[0]] for side in clause.sides]
    if not before:
        return []
    last = before[-1]
    if last is not None and ELSE & {word for number in mention.clauses for word in told[number].raw}:
        return [other(last)]
    return [last]


def _without_kinds(found: Sequence[Mention], base: Rulebase) -> list[Mention]:
    """Return mentions without a sign that is told twice, and without the vaguer one of two."""
    kept: dict[str, Mention] = {}
    for one in found:
        kept.setdefault(one.phrasing.name, one)
    there = {name for name, one in kept.items() if one.seen}
    vaguer = {above for name in there for above in _above(name, base)}
    vague_no = {above for name in kept if name not in there for above in _above(name, base)}
    return [one for name, one in kept.items() if name not in vaguer and not (not one.seen and name in vague_no)]


def _above(name: str, base: Rulebase) -> Iterator[str]:
    while base.signs[name].kind_of:
        name = base.signs[name].kind_of
        yield name


def _heard(mention: Mention, told: Sequence[Clause], base: Rulebase) -> Iterator[Heard]:
    sign = base.signs[mention.phrasing.name]
    said = _sides(mention, told)
    for side in sides_of(sign.sided):
        if side is None or not said or side in said:
            yield Heard(sign=sign.id, side=side, seen=mention.seen, words=told[mention.clauses[0]].text)
