"""The phrasings of signs: their titles and how people say them (`also`), and what is said when all is well (`well`)."""

import math
import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache

import msgspec

from advisor.rulebase.likeness import Likeness
from advisor.rulebase.model import Rulebase
from advisor.rulebase.speech import LIGHT
from advisor.rulebase.wording import (
    NOT,
    SAME_AS_BEFORE,
    SIDE,
    WELL,
    in_order,
    nearly,
    root,
    spoken_words,
    telling,
)

LIGHTER = 0.4  # what a word that says little alone weighs, of its rarity
CURES_FROM = 2  # phrasings of a sign that say 'well' of a thing that is there
HELPS_FROM = 2  # phrasings of a sign that say that something helps, or moves what is wrong
HELPS = frozenset(
    nearly(root(word)) for word in ("helps", "cures", "better", "moves", "smooths", "revives", "restarts")
)
OF_NOT = 1.5  # what a 'not' weighs in a phrasing: as much as a common word
NOTHING_THEN = re.compile(r"nothing,", re.IGNORECASE)
MOST_KEPT = 30_000  # phrasings whose words are remembered, for the pages are read again with one of them changed


class Phrasing(msgspec.Struct, frozen=True, array_like=True):  # kept without field names
    """One phrasing of a sign or a cause: its telling words (nearly alike ones as one, and `exact`), and their weight.

    It may have a 'not' of its own (`denies`), say that all is `well`, or count only where a side is named (`sided`). Of
    the sign it says whether a rider does not tell it (`looked_for`), whether it is a `complaint` or only when and how
    that comes, whether it is of the `past`, whether it `cures`: what is well with it, is so because of it; and whether
    it tells what `helps`, or moves the trouble, so that 'no change' denies it. With one telling word beside small ones
    ('since I did') a phrasing counts only where they stand in this `order`. What its 'not' stands before is `refused`.
    """

    name: str
    says: str
    words: frozenset[str]
    denies: bool
    well: bool
    sided: bool
    weight: float
    exact: frozenset[str] = frozenset()
    looked_for: bool = False
    complaint: bool = False
    past: bool = False
    cures: bool = False
    helps: bool = False
    order: tuple[str, ...] = ()
    refused: frozenset[str] = frozenset()

    @property
    def bare(self) -> bool:
        """Whether it says that all is well without a word that says so: 'carburettors are balanced'."""
        return self.well and not (self.denies or {WELL, SAME_AS_BEFORE} & self.words)


class Phrasings(msgspec.Struct, frozen=True, array_like=True):
    """Phrasings of signs, or of causes, what each of their words weighs, and what is like them.

    `family` has with each name those that it is a kind of, those that are a kind of it, and itself.
    """

    all: list[Phrasing]
    weight: dict[str, float]
    family: dict[str, frozenset[str]]
    likeness: Likeness


class _Names(msgspec.Struct, frozen=True):
    """What is known of the names that phrasings are of. `titles` count also where no side is named."""

    titles: Mapping[str, str]
    looked_for: frozenset[str] = frozenset()
    complaints: frozenset[str] = frozenset()
    past: frozenset[str] = frozenset()
    cures: frozenset[str] = frozenset()
    helps: frozenset[str] = frozenset()


Said = tuple[str, str, bool]  # name, phrasing, whether it says that all is well


def phrasings_of_signs(base: Rulebase) -> Phrasings:
    """Return how the signs of a rule base are told."""
    above = {one.id: one.kind_of for one in base.signs.values() if one.kind_of}
    return _with_likeness(*said_of_signs(base), _families(base.signs, above))


def phrasings_of_causes(base: Rulebase) -> Phrasings:
    """Return how the causes of a rule base are named."""
    names = _Names({one.id: one.title for one in base.causes.values()})
    return _with_likeness(*_read(names, list(_of_causes(base))), _families(base.causes, {}))


def said_of_signs(base: Rulebase) -> tuple[list[Phrasing], dict[str, float]]:
    """Return the phrasings of the signs that say anything, and what each of their words weighs."""
    return _read(_names_of_signs(base), list(_of_signs(base)))


def said_in_the_same_words(base: Rulebase) -> list[Phrasing]:
    """Return those of them whose telling words are also those of another sign."""
    told = list(_of_signs(base))
    names: dict[frozenset[str], set[str]] = defaultdict(set)
    for name, says, _ in told:
        names[frozenset(_telling(says))].add(name)
    return _read(_names_of_signs(base), told, {exact for exact, of in names.items() if len(of) > 1})[0]


def _names_of_signs(base: Rulebase) -> _Names:
    kinds = {one.kind_of for one in base.signs.values()}
    return _Names(
        titles={one.id: one.title for one in base.signs.values()},
        looked_for=frozenset(one.id for one in base.signs.values() if one.seen_by != base.persons[0]),
        complaints=frozenset(
            one.id for one in base.signs.values() if (one.kind_of or one.id in kinds) and not one.past
        ),
        past=frozenset(one.id for one in base.signs.values() if one.past),
    )


def _with_likeness(said: list[Phrasing], weight: dict[str, float], family: dict[str, frozenset[str]]) -> Phrasings:
    return Phrasings(said, weight, family, Likeness.of([(one.name, _telling(one.says)) for one in said]))


def _read(
    names: _Names, said: Sequence[Said], wanted: Collection[frozenset[str]] | None = None
) -> tuple[list[Phrasing], dict[str, float]]:
    """Return the phrasings that say anything, all or those of the `wanted` words, and what each word weighs."""
    exact = [frozenset(_telling(says)) for _, says, _ in said]
    near = [frozenset(map(nearly, one)) for one in exact]
    pairs = {(one[0], word) for one, has in zip(said, near, strict=True) for word in has}
    used = Counter(word for _, word in pairs)
    weight = {word: _weight(word, many, len(names.titles)) for word, many in used.items()}
    there = [(name, has) for (name, _, well), has in zip(said, near, strict=True) if not well and NOT not in has]
    helps = _at_least(HELPS_FROM, (name for name, has in there if has & HELPS))
    cures = helps | _at_least(CURES_FROM, (name for name, has in there if WELL in has))
    names = msgspec.structs.replace(names, cures=cures, helps=helps)
    read = (
        _phrasing(names, *one, weight)
        for one in zip(said, exact, near, strict=True)
        if wanted is None or one[1] in wanted
    )
    return [one for one in read if one.weight], weight


def _phrasing(
    names: _Names, one: Said, exact: frozenset[str], said: frozenset[str], weights: Mapping[str, float]
) -> Phrasing:
    name, says, well = one
    weight = sum(weights[one] for one in said if one != NOT) + (OF_NOT if NOT in said else 0.0)
    alone = sum(one not in LIGHT and one not in {NOT, WELL} for one in said)
    order = tuple(word for _, word in in_order(_spoken(says)))
    if not alone and len(set(order)) == 1:
        weight = 0.0  # 'more' or 'back' says nothing, nor does praise of nothing
    is_title = says == names.titles[name]
    if NOTHING_THEN.match(says):
        weight = 0.0  # no 'not' of a bike: nothing, then a surge
    strict = len(order) > 1 and not is_title and (not alone or (len(said) == 1 and NOT not in said))
    return Phrasing(
        name=name,
        says=says,
        words=said - {NOT},
        denies=NOT in said,
        well=well,
        sided=SIDE in says and not is_title,
        weight=weight,
        exact=exact,
        looked_for=name in names.looked_for,
        complaint=name in names.complaints,
        past=name in names.past,
        cures=name in names.cures,
        helps=name in names.helps,
        order=order if strict else (),
        refused=_refused(_spoken(says)) if NOT in said else frozenset(),
    )


@lru_cache(MOST_KEPT)
def _spoken(says: str) -> tuple[str, ...]:
    return tuple(spoken_words(says))


def _telling(says: str) -> list[str]:
    return list(telling(_spoken(says)))


def _families(names: Iterable[str], above: Mapping[str, str]) -> dict[str, frozenset[str]]:
    """Return with each name those that it is a kind of, those that are a kind of it, and itself."""
    over: dict[str, list[str]] = {}
    for name in names:
        over[name] = [name]
        while (up := above.get(over[name][-1])) is not None:
            over[name].append(up)
    found: dict[str, set[str]] = defaultdict(set)
    for name, all_over in over.items():
        for one in all_over:
            found[name].add(one)
            found[one].add(name)
    return {name: frozenset(found[name]) for name in over}


def _refused(spoken: Sequence[str]) -> frozenset[str]:
    """Return the telling words after the first 'not' of a phrasing."""
    said = list(telling(spoken))
    return frozenset(map(nearly, said[said.index(NOT) + 1 :])) - {NOT}


def _at_least(many: int, names: Iterable[str]) -> frozenset[str]:
    """Return the names that are there so many times."""
    return frozenset(name for name, there in Counter(names).items() if there >= many)


def _of_causes(base: Rulebase) -> Iterator[Said]:
    for cause in base.causes.values():
        for says in dict.fromkeys([cause.title, *cause.also]):
            yield cause.id, says, False


def _of_signs(base: Rulebase) -> Iterator[Said]:
    for sign in base.signs.values():
        for says in dict.fromkeys([sign.title, *sign.also]):
            yield sign.id, says, False
        for says in sign.well:
            yield sign.id, says, True


def _weight(word: str, many: int, of: int) -> float:
    rarity = math.log(1 + of / many)
    return rarity * LIGHTER if word in LIGHT else rarity
