"""What cannot both be so, by the pages of the signs: signs seen or not seen that shut each other out.

A page says with which signs its own never occurs, on the same side or on the other one, and without which it never
occurs, alone or once it is there on both sides. A kind counts as its vague sign too. That a vague sign is not there
does not always deny its kinds: a steady idle may hang after a blip. Where it does, the page of the kind says so.
"""

from collections.abc import Collection, Iterator, Mapping

from advisor.rank.network import vaguer_than
from advisor.rulebase.model import Rulebase
from advisor.sides import Sided, other

Known = tuple[Sided, bool]  # a sign, and whether it is there


def at_odds(known: Mapping[Sided, bool], base: Rulebase) -> list[tuple[Sided, ...]]:
    """Return the signs that cannot all be as they are known to be: pairs, and a sign on both sides with a third one."""
    before: dict[Sided, bool] = {}
    found: list[tuple[Sided, ...]] = []
    for key, seen in known.items():
        for rivals in against((key, seen), before, base):
            together = (*rivals, key)
            names = [name for name, _ in together]
            found.append(tuple(sorted(together, key=lambda one: names.count(one[0]) == 1)) if rivals[1:] else together)
        before[key] = seen
    return found


def against(new: Known, known: Mapping[Sided, bool], base: Rulebase) -> list[tuple[Sided, ...]]:
    """Return what of that which is known cannot be so if this is: one sign, or two of which one alone could be."""
    (name, side), seen = new
    found: list[tuple[Sided, ...]] = [(one[0],) for one in known.items() if _clash(new, one, base)]
    twin = name, other(side)
    if seen and side is not None and known.get(twin):
        needed = _of_both(name, base)
        found += [(twin, one[0]) for one in known.items() if any(_clash(each, one, base) for each in needed)]
    for rival in {key[0] for key, there in known.items() if there and key[1]} - {name}:
        both: tuple[Sided, Sided] = (rival, "left"), (rival, "right")
        if all(known.get(one) for one in both) and any(_clash(each, new, base) for each in _of_both(rival, base)):
            found.append(both)
    return found


def _of_both(name: str, base: Rulebase) -> list[Known]:
    """Return what must be there if a sign is on both sides."""
    return [((one, None), True) for one in base.signs[name].both_never_without]


def _clash(one: Known, two: Known, base: Rulebase) -> bool:
    if one[0] == two[0]:
        return one[1] != two[1]
    if one[1] and two[1]:
        return any(
            _never(first, second, base) for first in _counts_as(one[0], base) for second in _counts_as(two[0], base)
        )
    there, absent = (one, two) if one[1] else (two, one)
    return there[1] and absent[0] in _needs(there[0], base)


def _counts_as(key: Sided, base: Rulebase) -> Collection[Sided]:
    """Return a sign with all that is there whenever it is: the vaguer ones, and those it never goes without."""
    found: dict[Sided, None] = {}
    waiting = [key]
    while waiting:
        now = waiting.pop()
        if now not in found:
            found[now] = None
            waiting += [*vaguer_than(*now, base), *_without(now, base)]
    return found


def _needs(key: Sided, base: Rulebase) -> set[Sided]:
    """Return the signs without which this one never occurs."""
    return {needed for one in _counts_as(key, base) for needed in _without(one, base)}


def _without(key: Sided, base: Rulebase) -> Iterator[Sided]:
    name, side = key
    for needed in base.signs[name].never_without:
        yield needed, side if base.signs[needed].sided else None


def _never(one: Sided, two: Sided, base: Rulebase) -> bool:
    first, second = base.signs[one[0]], base.signs[two[0]]
    if one[1] == two[1]:
        return two[0] in first.never_with or one[0] in second.never_with
    if one[1] is None or two[1] is None:
        return False
    if one[0] == two[0] and first.exclusive:
        return True
    return two[0] in first.other_side_never_with or one[0] in second.other_side_never_with
