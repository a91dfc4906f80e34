"""The phrasings of signs: their titles and how people say them (`also`), and what is said when all is well (`well`)."""

import math
import re
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from functools import cached_property

import msgspec
from rapidfuzz import process
from rapidfuzz.distance import OSA

from advisor.rulebase.likeness import Likeness
from advisor.rulebase.model import Rulebase
from advisor.rulebase.same_words import AS_ONE
from advisor.rulebase.speech import LIGHT, NOES, PRAISE, SMALL, UNCHANGED
from advisor.rulebase.wording import (
    NOT,
    SAME_AS_BEFORE,
    SIDE,
    SIDES,
    WELL,
    WORD,
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
SHORTEST_MISSPELT = 4
ONE_SLIP_FROM, TWO_SLIPS_FROM = 6, 9  # letters: shorter words resemble too much
NO_APOSTROPHES = str.maketrans("", "", "'\N{RIGHT SINGLE QUOTATION MARK}")
NO_SLIPS = (  # words of every day that are near to one of the trade
    *("one two three four five six seven eight nine ten eleven twelve thirty forty fifty sixty seventy eighty ninety",),
    *("hundred thousand week weeks town dims dimmer haze fortnight month months morning evening yesterday today road",),
    *("street mountain stored",),
)


NOTHING_THEN = re.compile(r"nothing,", re.IGNORECASE)


class Phrasing(msgspec.Struct, frozen=True):
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


class Phrasings:
    """Phrasings of signs, or of causes, by their words."""

    def __init__(
        self,
        titles: Mapping[str, str],
        said: Iterable[tuple[str, str, bool]],
        looked_for: Container[str] = (),
        complaints: Container[str] = (),
        past: Container[str] = (),
        above: Mapping[str, str] | None = None,
    ) -> None:
        """Read phrasings as (name, phrasing, whether it says that all is well).

        `titles` are those of the names, which count also where no side is named; `looked_for`, `complaints` and `past`
        are names.
        """
        self.family = _families(titles, above or {})
        self.titles, self.looked_for, self.complaints, self.past = titles, looked_for, complaints, past
        found = [(name, says, well, spoken_words(says)) for name, says, well in said]
        exact = [frozenset(telling(one[3])) for one in found]
        near = [frozenset(map(nearly, one)) for one in exact]
        pairs = {(one[0], word) for one, said in zip(found, near, strict=True) for word in said}
        used = Counter(word for _, word in pairs)
        self.weight = {word: _weight(word, many, len(titles)) for word, many in used.items()}
        there = [(one[0], has) for one, has in zip(found, near, strict=True) if not one[2] and NOT not in has]
        self.helps = _at_least(HELPS_FROM, (name for name, has in there if has & HELPS))
        self.cures = self.helps | _at_least(CURES_FROM, (name for name, has in there if WELL in has))
        read = (self._phrasing(one, *said) for one, *said in zip(found, exact, near, strict=True))
        kept = [(one, list(telling(words[3]))) for one, words in zip(read, found, strict=True) if one.weight]
        self.all = [one for one, _ in kept]
        self.likeness = Likeness([(one.name, words) for one, words in kept])
        self.with_word: dict[str, list[int]] = defaultdict(list)
        for number, one in enumerate(self.all):
            for word in one.words:
                self.with_word[word].append(number)

    def _phrasing(self, one: tuple[str, str, bool, list[str]], exact: frozenset[str], said: frozenset[str]) -> Phrasing:
        name, says, well, spoken = one
        weight = sum(self.weight[one] for one in said if one != NOT) + (OF_NOT if NOT in said else 0.0)
        alone = sum(one not in LIGHT and one not in {NOT, WELL} for one in said)
        order = tuple(word for _, word in in_order(spoken))
        if not alone and len(set(order)) == 1:
            weight = 0.0  # 'more' or 'back' says nothing, nor does praise of nothing
        is_title = says == self.titles[name]
        if NOTHING_THEN.match(says):
            weight = 0.0  # no 'not' of a bike: nothing, then a surge
        strict = len(order) > 1 and not is_title and (not alone or (len(said) == 1 and NOT not in said))
        sided = SIDE in says and not is_title
        return Phrasing(
            name,
            says,
            said - {NOT},
            NOT in said,
            well,
            sided,
            weight,
            exact,
            name in self.looked_for,
            name in self.complaints,
            name in self.past,
            name in self.cures,
            name in self.helps,
            order if strict else (),
            _refused(spoken) if NOT in said else frozenset(),
        )


class Phrasebook:
    """How the signs and the causes of a rule base are named, and which words are no slips."""

    def __init__(self, base: Rulebase) -> None:
        """Read the pages' phrasings."""
        kinds = {one.kind_of for one in base.signs.values()}
        complaints = {one.id for one in base.signs.values() if (one.kind_of or one.id in kinds) and not one.past}
        self.signs = Phrasings(
            {one.id: one.title for one in base.signs.values()},
            _of_signs(base),
            {one.id for one in base.signs.values() if one.seen_by != base.persons[0]},
            complaints,
            {one.id for one in base.signs.values() if one.past},
            {one.id: one.kind_of for one in base.signs.values() if one.kind_of},
        )
        self.causes = Phrasings({one.id: one.title for one in base.causes.values()}, _of_causes(base))
        self.base = base
        self.meant = _written(one.says for one in (*self.signs.all, *self.causes.all)) | _written(
            (*NOES, *PRAISE, *UNCHANGED)
        )
        self.plain = _written((*AS_ONE, *AS_ONE.values(), *NO_SLIPS, *SMALL, *LIGHT, *SIDES, NOT, WELL))

    @cached_property
    def no_slips(self) -> Container[str]:
        """The words of the pages: those are spelt as they should be."""
        return _written(_pages(self.base))

    @cached_property
    def single(self) -> dict[str, str]:
        """The words of phrasings by how they are written with no letter doubled."""
        return {_single(word): word for word in self.meant}

    def spelt(self, word: str) -> str:
        """Return the known word that a misspelt one most resembles; the word itself if there is none."""
        if word in self.meant or word in self.plain or len(word) < SHORTEST_MISSPELT or word[0].isdigit():
            return word
        if word in self.no_slips or nearly(root(word)) in self.signs.weight:
            return word
        if (folded := _single(word)) in self.single:
            return self.single[folded]
        swapped = (word[:at] + word[at + 1] + word[at] + word[at + 2 :] for at in range(len(word) - 1))
        if known := next((one for one in swapped if one in self.meant), None):
            return known
        if len(word) < ONE_SLIP_FROM:
            return word
        slips = 1 if len(word) < TWO_SLIPS_FROM else 2
        near = process.extract(word, self.meant.keys(), scorer=OSA.distance, score_cutoff=slips, limit=5)
        return next((one for one, _, _ in near if one[0] == word[0] and len(one) >= SHORTEST_MISSPELT), word)


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


def _at_least(many: int, names: Iterable[str]) -> set[str]:
    """Return the names that are there so many times."""
    return {name for name, there in Counter(names).items() if there >= many}


def _single(word: str) -> str:
    """Return a word with no letter doubled: the slip that is met most."""
    return re.sub(r"(.)\1", r"\1", word)


def _of_causes(base: Rulebase) -> Iterator[tuple[str, str, bool]]:
    for cause in base.causes.values():
        for says in dict.fromkeys([cause.title, *cause.also]):
            yield cause.id, says, False


def _of_signs(base: Rulebase) -> Iterator[tuple[str, str, bool]]:
    for sign in base.signs.values():
        for says in dict.fromkeys([sign.title, *sign.also]):
            yield sign.id, says, False
        for says in sign.well:
            yield sign.id, says, True


def _pages(base: Rulebase) -> Iterator[str]:
    """Yield the texts of the pages: their words are no slips of others."""
    for sign in base.signs.values():
        yield f"{sign.plain} {sign.question}"
    for cause in base.causes.values():
        yield f"{cause.title} {cause.reason}"
    for check in base.checks.values():
        yield " ".join((check.title, *check.steps))


def _written(texts: Iterable[str]) -> dict[str, str]:
    return dict.fromkeys(WORD.findall(" ".join(texts).lower().translate(NO_APOSTROPHES)), "")


def _weight(word: str, many: int, of: int) -> float:
    rarity = math.log(1 + of / many)
    return rarity * LIGHTER if word in LIGHT else rarity


_last: tuple[Rulebase, Phrasebook] | None = None


def phrasebook_of(base: Rulebase) -> Phrasebook:
    """Return the phrasings of a rule base; the last ones made are kept."""
    global _last  # noqa: PLW0603 - one tuple, replaced as a whole, so that threads see either
    if _last is None or _last[0] is not base:
        _last = base, Phrasebook(base)
    return _last[1]
