"""Which signs a sentence mentions: each telling word of it supports one sign at most.

What is said in one clause, or in two that follow each other ('spray the rubber, the revs rise'), is compared with all
phrasings (`advisor.rulebase.likeness`). Of each sign that it is like, the phrasing that is most like it and fits what
the clause denies or praises is a candidate; `advisor.intake.sureness` says how surely it is meant.
"""

import heapq
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

import msgspec

from advisor.intake.clauses import Clause, Word
from advisor.intake.matching import WHOLE, Match, match
from advisor.intake.sureness import LEAST_SURE, Nearness, Told, sure, told
from advisor.intake.window import Window, window_of
from advisor.rulebase.likeness import Near
from advisor.rulebase.phrasings import OF_NOT, Phrasing, Phrasings
from advisor.rulebase.speech import LIGHT
from advisor.rulebase.wording import NOT, VANISHED, WELL

LONG, PIECE, STEP = 6, 4, 2  # telling words: of a long clause, of a piece of it, and between the beginnings of two
MOST_NAMES = 8  # signs that a window may be like; the right one is hardly ever further down
MOST_TRIED = 12  # phrasings of one sign
VOTERS = 10  # phrasings that are asked how many of them are of one sign; judgement
LEAST_LIKE = 0.2  # of 2: a sign less alike is none
MOST_MEANT = 4  # signs that one window may mean
LONGER = 0.3  # the power of how much is said for a sign, by which it goes before others as sure
LEAST_DENIED = 0.55  # how surely what is denied must be meant beside other things
DENIED_ALONE = 0.35  # the same for what it denies: one that is not needed costs little
ALONE = 0.48  # how surely the only thing that a clause may mean must be meant
FRESH = 0.8  # the share of its words that no surer sign has taken


class Mention(msgspec.Struct, frozen=True):
    """A sign that a sentence mentions: where, how surely, and whether it is there."""

    phrasing: Phrasing
    seen: bool
    places: frozenset[int]
    clauses: tuple[int, ...]
    score: float


def mentions(clauses: Sequence[Clause], known: Phrasings, least: float = LEAST_SURE) -> list[Mention]:
    """Return what clauses mention at least this surely, surest first; no word counts for two things."""
    all_met = [one for one, _ in candidates(clauses, known)]
    sure_enough = [one for one in all_met if one.score >= (least if one.seen else min(least, LEAST_DENIED))]
    heard = {number for one in sure_enough for number in one.clauses}
    sure_enough += [
        one for one in all_met if one.score >= (ALONE if one.seen else DENIED_ALONE) and not heard & set(one.clauses)
    ]
    weights = {word.place: _weight(word, known) for clause in clauses for word in clause.words}
    shared = {word.place for clause in clauses for word in clause.words if word.says in {NOT, WELL}}
    taken: set[int] = set()
    kept: list[Mention] = []
    for one in sorted(sure_enough, key=lambda one: (-_rank(one, weights), one.phrasing.name)):
        own = one.places - shared or one.places
        fresh = sum(weights.get(place, 0.0) for place in own - taken)
        if fresh and fresh >= FRESH * sum(weights.get(place, 0.0) for place in own):
            kept.append(one)
            taken |= one.places
    return sorted(kept, key=lambda one: -one.score)


def candidates(clauses: Sequence[Clause], known: Phrasings) -> Iterator[tuple[Mention, Told]]:
    """Yield what clauses may mention, each with what tells how surely."""
    for number, clause in enumerate(clauses):
        yield from _in(window_of(clause), known)
        for part in (*clause.denials, *_pieces(clause)):
            yield from _in(window_of(part), known)
        if clause.carried:
            yield from _in(window_of(msgspec.structs.replace(clause, words=(*clause.carried, *clause.words))), known)
        if number + 1 < len(clauses):
            yield from _in(window_of(clause, clauses[number + 1]), known)


def _pieces(clause: Clause) -> Iterator[Clause]:
    """Yield the parts of a clause ('starts well | dies when hot'), and of a long one what stands together in it."""
    parts: dict[int, list[Word]] = defaultdict(list)
    for word in clause.words:
        parts[word.part].append(word)
    gone = min((word.part for word in clause.words if word.exact == VANISHED), default=len(clause.words))
    cut = [tuple(words) for part, words in parts.items() if part <= gone] if len(parts) > 1 else []
    if len(clause.words) > LONG:
        cut += [_piece(clause, at) for at in range(0, len(clause.words) - PIECE + STEP, STEP)]
    for words in dict.fromkeys(cut):
        if len(words) > 1 or words[0].says not in {*LIGHT, NOT, WELL}:
            yield msgspec.structs.replace(clause, words=words)


def _piece(clause: Clause, at: int) -> tuple[Word, ...]:
    """Return a piece of a clause; a 'not' that ends it, but not the clause, denies what comes after and is left out."""
    piece = clause.words[at : at + PIECE]
    return piece[:-1] if piece[-1].says == NOT and at + PIECE < len(clause.words) else piece


def _in(window: Window, known: Phrasings) -> Iterator[tuple[Mention, Told]]:
    """Yield the few things that a window is most like, each by words of its own."""
    near = known.likeness.near([[word.root for word in clause.words] for clause in window.clauses])
    best = sorted(_most_alike(window, near, known), key=lambda one: (-one[0], one[1].phrasing.name))[:MOST_NAMES]
    voters = _voters(near, known)
    meant: list[frozenset[int]] = []
    for like, found in best:
        if len(meant) == MOST_MEANT or any(found.places <= one for one in meant):
            continue
        meant.append(found.places)
        family = known.family[found.phrasing.name]
        rival = next((other for other, one in best if one.phrasing.name not in family), 0.0)
        vote = sum(share for name, share in voters if name in family)
        tells = told(found, window, known, Nearness(like=like, rival=rival, vote=vote))
        yield _mention(found, sure(tells)), tells


def _voters(near: Near, known: Phrasings) -> list[tuple[str, float]]:
    """Return the signs of the phrasings that are most like what is said, each with its share of their likeness."""
    most = heapq.nlargest(VOTERS, near.phrasings.items(), key=lambda one: (one[1], -one[0]))
    total = sum(like for _, like in most)
    return [(known.all[number].name, like / total) for number, like in most] if total else []


def _most_alike(window: Window, near: Near, known: Phrasings) -> Iterator[tuple[float, Match]]:
    """Yield of each sign the phrasing that is most like what is said and can be meant by it, and how like they are."""
    phrasings: dict[str, list[tuple[float, int]]] = defaultdict(list)
    for number, like in near.phrasings.items():
        phrasings[known.all[number].name].append((-like, number))
    for name, like in near.names.items():
        tried = [(like - less, known.all[number]) for less, number in sorted(phrasings[name])[:MOST_TRIED]]
        found = _fitting([one for one in tried if one[0] >= LEAST_LIKE], window, known)
        if found is not None:
            yield found


def _fitting(tried: Sequence[tuple[float, Phrasing]], window: Window, known: Phrasings) -> tuple[float, Match] | None:
    """Return the first phrasing that can be meant; before one that is denied, one that says no itself and is whole."""
    first: tuple[float, Match] | None = None
    for like, phrasing in tried:
        if first is not None and not phrasing.denies:
            continue
        found = match(phrasing, window, known)
        if found is None:
            continue
        if first is None:
            first = like, found
            if not (found.no and window.nots):
                return first
        elif found.covered >= WHOLE and not _less(found, first[1]):
            return like, found
    return first


def _less(found: Match, than: Match) -> bool:
    """Whether a phrasing that says no itself is said by a part of the words of another: 'not down on power'."""
    return {word.place for word in found.met} < {word.place for word in than.met}


def _mention(found: Match, score: float) -> Mention:
    return Mention(
        phrasing=found.phrasing,
        seen=found.phrasing.well == found.no,
        places=found.places,
        clauses=tuple(sorted({word.clause for word in found.met})),
        score=score,
    )


def _rank(one: Mention, weights: Mapping[int, float]) -> float:
    said = sum(weights.get(place, 0.0) for place in one.places)
    return one.score * float(said**LONGER)


def _weight(word: Word, known: Phrasings) -> float:
    return OF_NOT if word.says == NOT else known.weight.get(word.says, 1.0)
