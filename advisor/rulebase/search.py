"""Finds signs, causes, checks and readings by plain words, misspelt or inflected.

Each word of the query is matched with the words of each page: the same stem counts in full, a similar
spelling by how similar it is (edit ratio and Jaro-Winkler similarity); words that few pages use count for more.
Words that riders use for the same thing are treated as one (petrol and fuel), and so are the ways to say no.
"""

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache

import msgspec
from rapidfuzz import fuzz, process
from rapidfuzz.distance import JaroWinkler

from advisor.rulebase.model import Rulebase

WORD = re.compile(r"[a-z0-9]+")
NEAR = 70.0  # below this similarity (of 100) two words are different words
SHORTEST_NEAR = 4  # in a search for signs, a shorter word resembles too much (foo and flood)
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
        "do",
        "does",
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
        "will",
        "with",
    ]
)
LEAST_SHARE = 0.45  # a page that matches less of the query than this is not a hit
TITLE, OTHER, SHOWN = 1.0, 0.6, 0.55  # weight of a word in a name, in the text, in a sign that a cause often shows
LEAST_OF_A_SENTENCE = 0.6  # LEAST_SHARE for a search for signs: riders say yes to what they are offered
OFTEN = 0.5
# Endings that do not change the meaning of a word, longest first.
ENDINGS = ("ing", "ed", "es", "s", "e")
SHORTEST_STEM = 3
NOT = "not"
SIDE = "{side}"  # in a title or another name of a sign
NOES = frozenset(["no", "not", "wont", "dont", "doesnt", "isnt", "cant", "cannot", "couldnt", "never", "refuses"])
AS_ONE = {"tick over": "tickover", "ticks over": "tickover", "on fire": "aflame"}  # unlike "fires on one side"
# What riders say, and the word used for it here; both as stems.
SAME = {
    "petrol": "fuel",
    "gasolin": "fuel",
    "carb": "carburettor",
    "carburetor": "carburettor",
    "tickover": "idl",
    "chok": "enricher",
    "rpm": "rev",
    "pot": "cylinder",
    "jam": "stick",
    "stuck": "stick",
    "dying": "die",
    "motor": "engin",
    "bang": "pop",
    "judder": "shak",
    "vibrat": "shak",
}


class Page(msgspec.Struct, frozen=True):
    """One page as the search sees it: its stems, each with the best weight among its places."""

    kind: str
    id: str
    title: str
    stems: dict[str, float]
    found_only: bool = False  # a sign that cannot be reported until a mechanic has looked for it


class Found(msgspec.Struct, frozen=True):
    """A page with how well it matches, 0 to 1."""

    kind: str
    id: str
    title: str
    score: float


@cache
def stem(word: str) -> str:
    """Return a word without its inflection: hangs, hanging and hang are one."""
    endings = (one for one in ENDINGS if word.endswith(one) and len(word) - len(one) >= SHORTEST_STEM)
    root = word.removesuffix(next(endings, ""))
    return root[:-1] if len(root) > SHORTEST_STEM and root[-1] == root[-2] else root


def stems(text: str) -> list[str]:
    """Return the stems of a text's words, without stop words; synonyms become one."""
    plain = text.lower().replace(SIDE, " ").replace("'", "").replace("\N{RIGHT SINGLE QUOTATION MARK}", "")
    for words, one in AS_ONE.items():
        plain = plain.replace(words, one)
    return [_plainest(word) for word in WORD.findall(plain) if word not in SMALL_WORDS]


def _plainest(word: str) -> str:
    if word in NOES:
        return NOT
    root = stem(word)
    return SAME.get(root, root)


class Index:
    """The words on the pages of a rule base, ready for searching."""

    def __init__(self, base: Rulebase) -> None:
        """Read the pages' words."""
        self.pages = list(_pages(base))
        used = Counter(one for page in self.pages for one in page.stems)
        self.weight = {one: math.log(1 + len(self.pages) / many) for one, many in used.items()}

    def search(self, query: str, kinds: Iterable[str] = ()) -> list[Found]:
        """Return the pages that match the query, best first; of the given kinds only, if any are given.

        If only signs are asked for, the query is a complaint: a sign that cannot be reported before somebody has looked
        for it does not answer it.
        """
        allowed = set(kinds)
        complaint = allowed == {"sign"}
        words = dict.fromkeys(stems(query))
        wanted = [self._near(one) if len(one) >= SHORTEST_NEAR or not complaint else self._same(one) for one in words]
        whole = sum(self._worth(near) for near in wanted)
        least = LEAST_OF_A_SENTENCE if complaint else LEAST_SHARE
        found = []
        for page in self.pages:
            if (allowed and page.kind not in allowed) or (complaint and page.found_only):
                continue
            score = sum(
                self._worth(near) * max((page.stems.get(one, 0.0) * alike for one, alike in near.items()), default=0.0)
                for near in wanted
            )
            if whole and score / whole >= least:
                found.append(Found(page.kind, page.id, page.title, score / whole))
        return sorted(found, key=lambda one: (-one.score, len(one.title), one.id))

    def _near(self, word: str) -> dict[str, float]:
        """Return the known stems that a query's stem may mean, each with its similarity."""
        if word in self.weight:
            return self._same(word)
        matches = process.extract(word, self.weight.keys(), scorer=_spelling, score_cutoff=NEAR, limit=5)
        return {one: alike / 100 for one, alike, _ in matches}

    def _same(self, word: str) -> dict[str, float]:
        """Return only the stem itself, if it is known."""
        return {word: 1.0} if word in self.weight else {}

    def _worth(self, near: dict[str, float]) -> float:
        """Return the weight of a query's word: rare words weigh more, unknown ones as much as the rarest."""
        return max((self.weight[one] for one in near), default=max(self.weight.values(), default=1.0))


_last: tuple[Rulebase, Index] | None = None


def index_of(base: Rulebase) -> Index:
    """Return the index of a rule base; the last one made is kept."""
    global _last  # noqa: PLW0603 - one tuple, replaced as a whole, so that threads see either
    if _last is None or _last[0] is not base:
        _last = base, Index(base)
    return _last[1]


def _spelling(one: str, word: str, **_: object) -> float:
    """Return how similar two words are in spelling, out of 100: edits, and how they begin (rew is rev, not screw)."""
    return (fuzz.ratio(one, word) + 100 * JaroWinkler.normalized_similarity(one, word)) / 2


def _pages(base: Rulebase) -> Iterator[Page]:
    for sign in base.signs.values():
        page = _page("sign", sign.id, sign.title, [sign.id, *sign.also], [sign.plain, sign.question])
        yield msgspec.structs.replace(page, found_only=sign.seen_by != base.persons[0])
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
