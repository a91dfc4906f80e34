"""How the signs and the causes of a rule base are named, and how a slip of spelling is put right.

What is made of the phrasings is kept in the cache folder beside the rules, for exactly these signs and causes.
"""

import re
from collections.abc import Container, Iterable, Iterator
from functools import cached_property

import msgspec
from rapidfuzz import process
from rapidfuzz.distance import OSA

from advisor.garbage import put_off
from advisor.rulebase import cache
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import Phrasings, phrasings_of_causes, phrasings_of_signs
from advisor.rulebase.same_words import AS_ONE
from advisor.rulebase.speech import LIGHT, NOES, PRAISE, SMALL, UNCHANGED
from advisor.rulebase.wording import NOT, SIDES, WELL, WORD, nearly, root

CODE = (  # the modules that make `Kept` from signs and causes
    "rulebase/likeness.py",
    "rulebase/phrasebook.py",
    "rulebase/phrasings.py",
    "rulebase/same_words.py",
    "rulebase/search.py",
    "rulebase/speech.py",
    "rulebase/wording.py",
)
SHORTEST_MISSPELT = 4
ONE_SLIP_FROM, TWO_SLIPS_FROM = 6, 9  # letters: shorter words resemble too much
NO_APOSTROPHES = str.maketrans("", "", "'\N{RIGHT SINGLE QUOTATION MARK}")
NO_SLIPS = (  # words of every day that are near to one of the trade
    *("one two three four five six seven eight nine ten eleven twelve thirty forty fifty sixty seventy eighty ninety",),
    *("hundred thousand week weeks town dims dimmer haze fortnight month months morning evening yesterday today road",),
    *("street mountain stored",),
)


class Kept(msgspec.Struct, frozen=True, array_like=True):
    """What is kept of a phrasebook."""

    signs: Phrasings
    causes: Phrasings


class Phrasebook:
    """How the signs and the causes of a rule base are named, and which words are no slips."""

    def __init__(self, base: Rulebase) -> None:
        """Take the phrasings as they are kept, if they are, or read them."""
        kept = _kept(base)
        self.signs, self.causes = kept.signs, kept.causes
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


def _single(word: str) -> str:
    """Return a word with no letter doubled: the slip that is met most."""
    return re.sub(r"(.)\1", r"\1", word)


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


def _kept(base: Rulebase) -> Kept:
    """Return the phrasings of a rule base, from the cache folder if it was read from pages."""
    made_from = cache.code(CODE) + msgspec.msgpack.encode((base.persons, base.signs, base.causes))
    kept = cache.fetch(made_from, Kept) if base.folders else None
    if kept is None:
        with put_off():
            kept = Kept(phrasings_of_signs(base), phrasings_of_causes(base))
        if base.folders:
            cache.store(made_from, kept)
    return kept


_last: tuple[Rulebase, Phrasebook] | None = None


def phrasebook_of(base: Rulebase) -> Phrasebook:
    """Return the phrasings of a rule base; the last ones made are kept."""
    global _last  # noqa: PLW0603 - one tuple, replaced as a whole, so that threads see either
    if _last is None or _last[0] is not base:
        _last = base, Phrasebook(base)
    return _last[1]
