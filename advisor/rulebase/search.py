"""Finds signs, causes, checks and readings by plain words, misspelt or bent.

Each word of the query is matched with the words of each page: the same stem counts in full, a near
spelling by how near it is (edit ratio and Jaro-Winkler similarity); words that few pages use count for more.
"""

import math
import re
from collections.abc import Iterable, Iterator

import msgspec
from rapidfuzz import fuzz, process
from rapidfuzz.distance import JaroWinkler

from advisor.rulebase.model import Rulebase

WORD = re.compile(r"[a-z0-9]+")
NEAR = 70.0  # below this similarity (of 100) two words are different words
NEAR_IN_A_SENTENCE = 80.0  # a whole sentence has many words that are near to something
MENTIONED = 0.62  # the share of a sign's name that must stand in a sentence
SMALL_WORDS = frozenset(
    [
        "a",
        "an",
        "and",
        "as",
        "at",
        "be",
        "but",
        "by",
        "for",
        "from",
        "i",
        "in",
        "is",
        "it",
        "its",
        "my",
        "of",
        "on",
        "or",
        "so",
        "that",
        "the",
        "then",
        "this",
        "to",
        "was",
        "when",
        "with",
    ]
)
LEAST_SHARE = 0.45  # a page that matches less of the query than this is no find
TITLE, OTHER, SHOWN = 1.0, 0.6, 0.55  # where a word stands: in a name, in the text, in a sign that a cause often shows
OFTEN = 0.5
# Endings that do not change what a word is about, longest first.
ENDINGS = ("ing", "ed", "es", "s")
SHORTEST_STEM = 3


class Page(msgspec.Struct, frozen=True):
    """One page as the search sees it: its stems, each with the weight of the best place it stands in."""

    kind: str
    id: str
    title: str
    stems: dict[str, float]


class Found(msgspec.Struct, frozen=True):
    """A page with how well it matches, 0 to 1."""

    kind: str
    id: str
    title: str
    score: float


def stem(word: str) -> str:
    """Return a word without the ending that only bends it: hangs, hanging and hang are one."""
    for ending in ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= SHORTEST_STEM:
            root = word.removesuffix(ending)
            return root[:-1] if len(root) > SHORTEST_STEM and root[-1] == root[-2] else root
    return word


def stems(text: str) -> list[str]:
    """Return the stems of a text's words, without the small words."""
    plain = text.lower().replace("{side}", " ").replace("'", "").replace("\N{RIGHT SINGLE QUOTATION MARK}", "")
    return [stem(word) for word in WORD.findall(plain) if word not in SMALL_WORDS]


class Index:
    """The words of a rule base's pages, ready to be searched."""

    def __init__(self, base: Rulebase) -> None:
        """Read the pages' words."""
        self.pages = list(_pages(base))
        used = [one for page in self.pages for one in page.stems]
        self.weight = {one: math.log(1 + len(self.pages) / used.count(one)) for one in set(used)}

    def search(self, query: str, kinds: Iterable[str] = ()) -> list[Found]:
        """Return the pages that match the query, best first; of the given kinds only, if any are given."""
        wanted = [self._near(one) for one in dict.fromkeys(stems(query))]
        whole = sum(self._worth(near) for near in wanted)
        allowed = set(kinds)
        found = []
        for page in self.pages:
            if allowed and page.kind not in allowed:
                continue
            score = sum(
                self._worth(near) * max((page.stems.get(one, 0.0) * alike for one, alike in near.items()), default=0.0)
                for near in wanted
            )
            if whole and score / whole >= LEAST_SHARE:
                found.append(Found(page.kind, page.id, page.title, score / whole))
        return sorted(found, key=lambda one: (-one.score, len(one.title), one.id))

    def mentions(self, sentence: str, base: Rulebase) -> list[Found]:
        """Return the signs that a whole sentence mentions, best first.

        A sign is mentioned when most of its title, or of one of its other names, stands in the sentence.
        """
        said = list(dict.fromkeys(stems(sentence)))
        found = []
        for sign in base.signs.values():
            best = max((self._told(stems(phrase), said) for phrase in (sign.title, *sign.also)), default=(0.0, 0.0))
            if best[0] >= MENTIONED:
                found.append(Found("sign", sign.id, sign.title, best[0] * best[1]))
        return sorted(found, key=lambda one: (-one.score, len(one.title), one.id))

    def _told(self, phrase: list[str], said: list[str]) -> tuple[float, float]:
        """Return how much of a phrase, weighed by how telling its words are, a sentence holds, and that weight."""
        whole = sum(self.weight.get(one, 1.0) for one in phrase)
        matched = sum(
            self.weight.get(one, 1.0) * max((_alike(one, word) for word in said), default=0.0) for one in phrase
        )
        return (matched / whole if whole else 0.0), matched

    def _near(self, word: str) -> dict[str, float]:
        """Return the known stems that a query's stem may mean, each with how near it is."""
        if word in self.weight:
            return {word: 1.0}
        matches = process.extract(word, self.weight.keys(), scorer=_spelling, score_cutoff=NEAR, limit=5)
        return {one: alike / 100 for one, alike, _ in matches}

    def _worth(self, near: dict[str, float]) -> float:
        """Return how much a query's word counts: rare words more, unknown ones as the rarest."""
        return max((self.weight[one] for one in near), default=max(self.weight.values(), default=1.0))


def _spelling(one: str, word: str, **_: object) -> float:
    """Return how near two words are in spelling, of 100: edits, and how they begin (rew is rev, and not screw)."""
    return (fuzz.ratio(one, word) + 100 * JaroWinkler.normalized_similarity(one, word)) / 2


def _alike(one: str, word: str) -> float:
    """Return how near two stems are in spelling; 0 for different words."""
    if one == word:
        return 1.0
    near = _spelling(one, word)
    return near / 100 if near >= NEAR_IN_A_SENTENCE else 0.0


def _pages(base: Rulebase) -> Iterator[Page]:
    for sign in base.signs.values():
        yield _page("sign", sign.id, sign.title, [sign.id, *sign.also], [sign.plain, sign.question])
    for cause in base.causes.values():
        shown = [base.signs[link.sign] for link in cause.links if base.words.shows[link.shows] >= OFTEN]
        yield _page(
            "cause",
            cause.id,
            cause.title,
            [cause.id],
            [cause.reason],
            [text for sign in shown for text in (sign.title, *sign.also)],
        )
    for check in base.checks.values():
        yield _page("check", check.id, check.title, [check.id], list(check.steps))
    for reading in base.readings.values():
        yield _page("reading", reading.id, reading.title, [reading.id], [])


def _page(kind: str, name: str, title: str, names: list[str], texts: list[str], shown: Iterable[str] = ()) -> Page:
    weights: dict[str, float] = {}
    for where, weight in ((shown, SHOWN), (texts, OTHER), ((title, *names), TITLE)):
        for text in where:
            weights |= dict.fromkeys(stems(text), weight)
    return Page(kind, name, title, weights)
