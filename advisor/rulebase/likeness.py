"""How like what is said is to what people say of each sign: by words, and by pairs of words that stand near each other.

A phrasing, and all phrasings of one name together, are vectors of weighted words and pairs; what is said is compared
with both by the cosine, and the two are worth the same. This is the vector space model with nearest neighbour and
centroid (C. D. Manning, P. Raghavan, H. Schuetze, 'Introduction to Information Retrieval', 2008, chapters 6 and 14:
from memory). A word that few names use weighs more.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

import msgspec

from advisor.rulebase.speech import LIGHT
from advisor.rulebase.wording import IN_CLASSES, nearly

NEARBY = 3  # words: pairs are of words at most this far apart
OF_PAIR = 0.8  # what a pair weighs beside a word as rare
OF_EXACT, EXACT = 0.5, "="  # what it counts beside a word that it is this very one of several nearly alike
LIGHTER = 0.6  # the same for a word that says little alone


class Near(msgspec.Struct, frozen=True):
    """How like something said is to each phrasing, by its number, and to each name: from 0 to 1."""

    phrasings: Mapping[int, float]
    names: Mapping[str, float]


class Likeness(msgspec.Struct, frozen=True, array_like=True):
    """Phrasings as vectors, found by what they have in common with what is said.

    A feature is a word, `=` and a word, or two words with a space between them. With each goes how much it weighs, and
    which phrasings and which of the `names` have it, by number, each with the length of its vector in that direction.
    """

    names: list[str]
    weight: dict[str, float]
    in_phrasings: dict[str, list[tuple[int, float]]]
    in_names: dict[str, list[tuple[int, float]]]

    @classmethod
    def of(cls, said: Sequence[tuple[str, Sequence[str]]]) -> "Likeness":
        """Read phrasings as (name, its telling words in order)."""
        features = [dict(_features([words])) for _, words in said]
        of_names: dict[str, set[str]] = defaultdict(set)
        for (name, _), has in zip(said, features, strict=True):
            of_names[name].update(has)
        used = Counter(one for has in of_names.values() for one in has)
        made = cls([*of_names], {one: math.log(1 + len(of_names) / many) for one, many in used.items()}, {}, {})
        sums: dict[str, dict[str, float]] = {name: defaultdict(float) for name in of_names}
        for number, ((name, _), has) in enumerate(zip(said, features, strict=True)):
            of_name = sums[name]
            for one, weight in made._unit(has).items():
                made.in_phrasings.setdefault(one, []).append((number, weight))
                of_name[one] += weight
        for number, has in enumerate(sums.values()):
            length = math.hypot(*has.values())
            for one, weight in has.items():
                made.in_names.setdefault(one, []).append((number, weight / length))
        return made

    def near(self, parts: Iterable[Sequence[str]]) -> Near:
        """Return how like these words are to all that has any of them; pairs are made within a part."""
        phrasings: dict[int, float] = defaultdict(float)
        names: dict[str, float] = defaultdict(float)
        for one, weight in self._unit(dict(_features(parts))).items():
            for number, other in self.in_phrasings.get(one, ()):
                phrasings[number] += weight * other
            for number, other in self.in_names.get(one, ()):
                names[self.names[number]] += weight * other
        return Near(phrasings, names)

    def _unit(self, has: Mapping[str, float]) -> dict[str, float]:
        """Return weighted features with length 1, without those that no phrasing has."""
        found = {one: self.weight[one] * share for one, share in has.items() if one in self.weight}
        length = math.hypot(*found.values())
        return {one: weight / length for one, weight in found.items()} if length else {}


def _features(parts: Iterable[Sequence[str]]) -> Iterator[tuple[str, float]]:
    for exact in parts:
        words = [nearly(word) for word in exact]
        for at, word in enumerate(words):
            yield word, LIGHTER if word in LIGHT else 1.0
            if exact[at] in IN_CLASSES:
                yield EXACT + exact[at], OF_EXACT
            for other in words[at + 1 : at + 1 + NEARBY]:
                if other != word:
                    yield f"{word} {other}" if word < other else f"{other} {word}", OF_PAIR
