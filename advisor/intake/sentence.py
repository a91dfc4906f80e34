"""What a sentence says about a bike: the signs it may mean, each on its side, as a session understands it."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.case import Measured
from advisor.intake.clauses import Clause, clauses
from advisor.intake.mentions import Mention, mentions
from advisor.intake.praise import with_praise
from advisor.intake.sides_named import other_side, sides_named
from advisor.intake.sureness import LEAST_ALONE
from advisor.intake.suspicion import suspected
from advisor.intake.told_figures import told_readings
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasebook import phrasebook_of
from advisor.sides import Side, sides_of

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
    """Return what a sentence may mean; nothing if it means nothing here.

    It is heard clause by clause. A sign that is denied or praised away is returned with `seen=False`; one that has
    sides, on the side that is named, or on both if none is. Of two signs of which one is a kind of the other, the more
    exact one is returned. All of it is guessed: the caller offers it to the user and keeps what is confirmed.

    >>> import advisor
    >>> base = advisor.load_rules()
    >>> heard = advisor.understand("It pops on the overrun but starts fine, idles at 1300. Air leak, I think?", base)
    >>> [(one.sign, one.seen) for one in heard.signs]
    [('overrun-pop', True), ('hard-to-start', False)]
    >>> [(one.cause, one.side) for one in heard.suspected]
    [('intake-joint-leak', 'left'), ('intake-joint-leak', 'right')]
    >>> [(one.reading, one.given) for one in heard.readings]
    [('idle-speed', '1300 rpm')]
    >>> advisor.understand("xyzzy", base)
    Understood(signs=(), suspected=(), readings=())
    """
    book = phrasebook_of(base)
    told = clauses(sentence, book)
    causes = suspected(told, book.causes)
    found = [one for one in mentions(told, book.signs) if not any(one.places & other.places for other in causes)]
    found += other_side(found, told, base)
    found = with_praise(found, told, base)
    readings = tuple(told_readings(sentence, base))
    if not (found or causes or readings):
        found += [one for one in mentions(told, book.signs, LEAST_ALONE) if _may_be(one, told)][:1]
    kept = _most(_without_rivals(_without_kinds(found, told, base), told, base))
    kept.sort(key=lambda one: not one.seen)  # what is there comes before what is not
    signs = [one for mention in kept for one in _heard(mention, told, base)]
    return Understood(
        signs=tuple({(one.sign, one.side): one for one in reversed(signs)}.values())[::-1],
        suspected=tuple(dict.fromkeys(one for mention in causes for one in _suspected(mention, told, base))),
        readings=readings,
    )


def _may_be(one: Mention, told: Sequence[Clause]) -> bool:
    """Whether a thing on few like words may be: what was done is told as of then, so 'it is in the garage' is not."""
    return not one.phrasing.past or any(told[number].after for number in one.clauses)


def _without_kinds(found: Sequence[Mention], told: Sequence[Clause], base: Rulebase) -> list[Mention]:
    """Return mentions without a sign that is told twice, and without the vaguer one of two.

    That a vague sign is not there is not said of a bike that has a kind of it.
    """
    kept: dict[tuple[str, tuple[Side, ...]], Mention] = {}
    for one in found:
        kept.setdefault((one.phrasing.name, tuple(sides_named(one, told))), one)
    vaguer = {above for one in kept.values() if one.seen for above in _above(one.phrasing.name, base)}
    return [one for one in kept.values() if one.phrasing.name not in vaguer]


def _above(name: str, base: Rulebase) -> Iterator[str]:
    while base.signs[name].kind_of:
        name = base.signs[name].kind_of
        yield name


def _without_rivals(found: Sequence[Mention], told: Sequence[Clause], base: Rulebase) -> list[Mention]:
    """Return mentions without those on a side that cannot be beside a surer one: only one works, so it is not dead."""
    kept: list[Mention] = []
    for one in found:
        sign = base.signs[one.phrasing.name]
        rivals = [other for other in kept if other.seen and one.seen and _against(other, sign.id, base)]
        rivals = [other for other in rivals if set(other.clauses) & set(one.clauses)]  # else both were said
        alike = any(set(sides_named(one, told)) & set(sides_named(other, told)) for other in rivals)
        if not (sign.sided and alike):
            kept.append(one)
    return kept


def _against(one: Mention, name: str, base: Rulebase) -> bool:
    rival = one.phrasing.name
    return name in base.signs[rival].never_with or rival in base.signs[name].never_with


def _most(found: Sequence[Mention]) -> list[Mention]:
    """Return as many as are read, surest first; at least one of each clause."""
    first = {number: one for one in reversed(found) for number in one.clauses}
    ranked = list(dict.fromkeys(id(one) for one in (*first.values(), *found)))
    most = set(ranked[: max(MOST_UNDERSTOOD, len(first))])
    return [one for one in found if id(one) in most]


def _heard(mention: Mention, told: Sequence[Clause], base: Rulebase) -> Iterator[Heard]:
    sign = base.signs[mention.phrasing.name]
    said = sides_named(mention, told)
    for side in sides_of(sign.sided):
        if side is None or not said or side in said:
            yield Heard(sign=sign.id, side=side, seen=mention.seen, words=told[mention.clauses[0]].text)


def _suspected(mention: Mention, told: Sequence[Clause], base: Rulebase) -> Iterator[Suspected]:
    cause = base.causes[mention.phrasing.name]
    said = sides_named(mention, told)
    for side in sides_of(cause.sided):
        if side is None or not said or side in said:
            yield Suspected(cause=cause.id, side=side, words=told[mention.clauses[0]].text)
