"""Which phrasings of signs a sentence contains: each telling word of it supports one sign at most.

A phrasing is looked for within one clause, or across two that follow each other ('spray the rubber, the revs rise').
"""

from collections import defaultdict
from collections.abc import Container, Iterator, Sequence

import msgspec

from advisor.intake.clauses import Clause, Word
from advisor.intake.denial import denied
from advisor.rulebase.phrasings import OF_NOT, Phrasing, Phrasings
from advisor.rulebase.wording import LIGHT, NOT, WELL

TELLING = 2  # words; of a phrasing that is not whole, one says too little
COVERED = 0.7  # the share of a phrasing's weight that a clause must contain; judgement, from sentences of others
COVERED_DENIED = 0.7
COVERED_OBJECT = 0.45  # where all that is denied belongs to the phrasing: no leak, no noise
COVERED_ACROSS = 0.8
ACROSS = 0.9  # what a match across two clauses counts, beside one within a clause
LEAST_IN_EACH = 0.2
NEARLY = 0.8  # what a word counts that says nearly the same
MOST_MORE = 3
MOST_BETWEEN = 3  # words, between one that says something and those that say little
HINTED = 0.55  # the share of a phrasing of a vague sign that hints at it
FRESH = 0.6  # the share of its words that no likelier sign has taken
EXTRA = 0.04


class Mention(msgspec.Struct, frozen=True):
    """A sign that a sentence mentions: where, how surely, and whether it is there."""

    phrasing: Phrasing
    seen: bool
    places: frozenset[int]
    clauses: tuple[int, ...]
    score: float
    covered: float
    weight: float


def mentions(told: Sequence[Clause], known: Phrasings) -> list[Mention]:
    """Return what clauses mention, surest first; no word counts for two things."""
    found = sorted(_all(told, known), key=lambda one: (-one.score, one.phrasing.weight, one.phrasing.name))
    weights = {word.place: _weight(word, known) for clause in told for word in clause.words}
    taken: set[int] = set()
    kept: list[Mention] = []
    for one in found:
        fresh = sum(weights.get(place, 0.0) for place in one.places - taken)
        if fresh and fresh >= FRESH * sum(weights.get(place, 0.0) for place in one.places):
            kept.append(one)
            taken |= one.places
    return kept


def vaguely(clause: Clause, known: Phrasings, vague: Container[str]) -> Mention | None:
    """Return the vague sign that a clause hints at in which nothing else was found: 'miserable tickover' is a bad idle."""
    says = {word.says: word for word in clause.words}
    if clause.past or NOT in says or WELL in says:
        return None
    best: Mention | None = None
    for number in dict.fromkeys(number for one in says for number in known.with_word.get(one, ())):
        phrasing = known.all[number]
        met = [says[one] for one in phrasing.words if one in says]
        weight = sum(known.weight[one.says] for one in met)
        covered = weight / phrasing.weight
        if phrasing.name not in vague or phrasing.well or phrasing.denies or phrasing.order or covered < HINTED:
            continue
        if all(one.says in LIGHT for one in met) or (best is not None and weight * covered <= best.score):
            continue
        places = frozenset(one.place for one in met)
        best = Mention(phrasing, True, places, (clause.number,), weight * covered, covered, weight)
    return best


def _all(told: Sequence[Clause], known: Phrasings) -> Iterator[Mention]:
    for number, clause in enumerate(told):
        yield from _in((clause,), known)
        if number + 1 < len(told):
            yield from _in((clause, told[number + 1]), known)


def _in(window: Sequence[Clause], known: Phrasings) -> Iterator[Mention]:
    at: dict[str, list[Word]] = defaultdict(list)
    for clause in window:
        for word in clause.words:
            at[word.says].append(word)
    met: dict[int, float] = defaultdict(float)
    for says in at:
        for number in known.with_word.get(says, ()):
            met[number] += known.weight[says]
    has_side = any(clause.sides for clause in window)
    for number, weight in met.items():
        phrasing = known.all[number]
        if phrasing.sided and not has_side:
            continue
        whole = weight + (OF_NOT if phrasing.denies and NOT in at else 0.0)
        if whole >= COVERED_OBJECT * phrasing.weight and (WELL in at or WELL not in phrasing.words):
            found = _mention(phrasing, weight, at, window, known)
            if found is not None:
                yield found


def _mention(
    phrasing: Phrasing, weight: float, at: dict[str, list[Word]], window: Sequence[Clause], known: Phrasings
) -> Mention | None:
    met = [at[says][0] for says in phrasing.words if says in at]
    nots = at.get(NOT, [])
    telling = sum(word.says not in LIGHT for word in met)
    if telling < TELLING and not phrasing.well and not phrasing.complaint:
        more = _more_said(met, window)
        if more > (0 if phrasing.looked_for else MOST_MORE):
            return None
    places = {word.place for word in met}
    if phrasing.order:
        run = _run(phrasing.order, window)
        if run is None:
            return None
        places = run
        met = [word for clause in window for word in clause.words if word.place in run]
    if WELL not in phrasing.words and any(min(places) < one.place < max(places) for one in at.get(WELL, ())):
        return None
    if phrasing.denies:
        refuser = next((one for one in nots if _governs(one, met)), None)
        if refuser is None:
            return None
        places.add(refuser.place)
        weight += OF_NOT
        no = False
    else:
        no = denied(phrasing, met, at, window)
    if no and phrasing.past and (telling < TELLING or weight < phrasing.weight):
        return None
    covered = weight / phrasing.weight
    seen = phrasing.well == no
    if any(clause.past and (no or phrasing.well or clause.used_to) for clause in window):
        return None  # how it was before
    across = len(window) > 1
    if across:
        if phrasing.well or (WELL in at and WELL not in phrasing.words) or (nots and not phrasing.denies):
            return None
        if not _in_each(met, window, known):
            return None
        least = COVERED_ACROSS
    else:
        least = COVERED
        if no and not phrasing.well:
            short = len(phrasing.words) <= TELLING and telling
            whole = _whole_object(nots, met, window[0]) or _whole_praised(at.get(WELL, []), met, window[0])
            least = COVERED_OBJECT if short and whole else COVERED_DENIED
    if covered < least or (covered < 1 and telling < TELLING and not no):
        return None
    near = _span(places) - len(places)
    if telling < TELLING and len(met) > telling and near > MOST_BETWEEN:
        return None
    extra = sum(known.weight.get(word.says, 0.0) for clause in window for word in clause.words if word.place not in places)
    exact = sum(word.exact in phrasing.exact for word in met) / max(len(met), 1)
    score = weight * covered * covered * (NEARLY + (1 - NEARLY) * exact) * (ACROSS if across else 1.0) - EXTRA * extra
    clauses = tuple(sorted({word.clause for word in met}))
    return Mention(phrasing, seen, frozenset(places), clauses, score, covered, weight)


def _run(order: Sequence[str], window: Sequence[Clause]) -> set[int] | None:
    """Return the places of words that stand in this order, with nothing between them, in one clause."""
    for clause in window:
        says = [word for _, word in clause.order]
        for start in range(len(says) - len(order) + 1):
            if says[start : start + len(order)] == list(order):
                return {place for place, _ in clause.order[start : start + len(order)]}
    return None


def _more_said(met: Sequence[Word], window: Sequence[Clause]) -> int:
    """Return how many telling words clauses have beside these."""
    others = (word for clause in window for word in clause.words if word not in met)
    return sum(word.says not in LIGHT and word.says not in {NOT, WELL} for word in others)


def _whole_object(nots: Sequence[Word], met: Sequence[Word], clause: Clause) -> bool:
    """Whether all that stands after a 'not' in its part of a clause is met."""
    for no in nots:
        after = [word.says for word in clause.words if word.part == no.part and word.place > no.place]
        if after and set(after) <= {word.says for word in met}:
            return True
    return False


def _whole_praised(praises: Sequence[Word], met: Sequence[Word], clause: Clause) -> bool:
    """Whether all that stands beside a 'well' in its part of a clause is met."""
    for praise in praises:
        beside = {word.says for word in clause.words if word.part == praise.part and word.says not in LIGHT} - {WELL}
        if beside and beside <= {word.says for word in met}:
            return True
    return False


def _span(places: set[int]) -> int:
    return max(places) - min(places) + 1


def _governs(refuser: Word, met: Sequence[Word]) -> bool:
    """Whether a 'not' stands before some of these words, in the same clause."""
    return any(word.clause == refuser.clause and word.part >= refuser.part and word.place > refuser.place for word in met)


def _in_each(met: Sequence[Word], window: Sequence[Clause], known: Phrasings) -> bool:
    whole = sum(known.weight[word.says] for word in met)
    return all(
        sum(known.weight[word.says] for word in met if word.clause == clause.number) >= LEAST_IN_EACH * whole
        for clause in window
    )


def _weight(word: Word, known: Phrasings) -> float:
    return OF_NOT if word.says == NOT else known.weight.get(word.says, 1.0)
