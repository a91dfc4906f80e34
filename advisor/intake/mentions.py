"""Which phrasings of signs a sentence contains: each telling word of it supports one sign at most.

A phrasing is looked for within one clause, or across two that follow each other ('spray the rubber, the revs rise').
The figures here are judgement, held against sentences of people apart (`python -m tests.sentences`).
"""

from collections import defaultdict
from collections.abc import Container, Iterator, Sequence

import msgspec

from advisor.intake.clauses import Clause, Word
from advisor.intake.denial import denied, refuser
from advisor.intake.window import Window, more_said, together, whole_object, window_of
from advisor.rulebase.phrasings import OF_NOT, Phrasing, Phrasings
from advisor.rulebase.speech import LIGHT
from advisor.rulebase.wording import NOT, WELL

TELLING = 2  # words; of a phrasing that is not whole, one says too little
COVERED = 0.75  # the share of a phrasing's weight that a clause must contain
COVERED_OBJECT = 0.45  # the same where all that is denied belongs to the phrasing: no leak, no noise
COVERED_ACROSS = 0.8  # the same across two clauses
HINTED = 0.55  # the same for a vague sign, where nothing else was found
ACROSS = 0.9  # what a match across two clauses counts, beside one within a clause
LEAST_IN_EACH = 0.2  # of the weight of a match across two clauses, the share that is in each
NEARLY = 0.8  # what a word counts that says nearly the same
EXTRA = 0.04  # what it costs that a clause says more
MOST_MORE = 3  # telling words beside the only one of a circumstance: with more, it is the scene of something else
MOST_BETWEEN = 3  # words, between one that tells something and those that say little
FRESH = 0.6  # the share of its words that no surer sign has taken


class Mention(msgspec.Struct, frozen=True):
    """A sign that a sentence mentions: where, how surely, and whether it is there."""

    phrasing: Phrasing
    seen: bool
    places: frozenset[int]
    clauses: tuple[int, ...]
    score: float


class _Match(msgspec.Struct, frozen=True):
    """A phrasing with its words in a window, its own 'not' there, and whether the window denies it."""

    phrasing: Phrasing
    met: list[Word]
    refused: Word | None
    no: bool
    weight: float

    @property
    def covered(self) -> float:
        return self.weight / self.phrasing.weight

    @property
    def telling(self) -> int:
        return sum(word.says not in LIGHT for word in self.met)

    @property
    def places(self) -> frozenset[int]:
        return frozenset(word.place for word in (*self.met, *([self.refused] if self.refused else [])))


def mentions(told: Sequence[Clause], known: Phrasings) -> list[Mention]:
    """Return what clauses mention, surest first; no word counts for two things."""
    found = sorted(_all(told, known), key=lambda one: (-one.score, one.phrasing.weight, one.phrasing.name))
    weights = {word.place: _weight(word, known) for clause in told for word in clause.words}
    shared = {word.place for clause in told for word in clause.words if word.says in {NOT, WELL}}
    taken: set[int] = set()
    kept: list[Mention] = []
    for one in found:
        own = one.places - shared or one.places
        fresh = sum(weights.get(place, 0.0) for place in own - taken)
        if fresh and fresh >= FRESH * sum(weights.get(place, 0.0) for place in own):
            kept.append(one)
            taken |= one.places
    return kept


def hinted(clause: Clause, known: Phrasings, vague: Container[str]) -> Mention | None:
    """Return the vague sign that a clause hints at in which nothing was found: 'miserable tickover' is a bad idle."""
    window = window_of(clause)
    if clause.past or window.nots or window.praises:
        return None
    found = [
        Mention(
            phrasing=phrasing,
            seen=True,
            places=match.places,
            clauses=(clause.number,),
            score=match.weight * match.covered,
        )
        for phrasing in _with_a_word_of(window, known)
        if phrasing.name in vague and not (phrasing.well or phrasing.denies or phrasing.order)
        for match in [_match(phrasing, window, known)]
        if match is not None and match.covered >= HINTED and match.telling
    ]
    return max(found, key=lambda one: one.score, default=None)


def _with_a_word_of(window: Window, known: Phrasings) -> Iterator[Phrasing]:
    numbers = (number for says in window.at for number in known.with_word.get(says, ()))
    return (known.all[number] for number in dict.fromkeys(numbers))


def _all(told: Sequence[Clause], known: Phrasings) -> Iterator[Mention]:
    for number, clause in enumerate(told):
        yield from _in(window_of(clause), known)
        if number + 1 < len(told):
            yield from _in(window_of(clause, told[number + 1]), known)


def _in(window: Window, known: Phrasings) -> Iterator[Mention]:
    met: dict[int, float] = defaultdict(float)
    for says in window.at:
        for number in known.with_word.get(says, ()):
            met[number] += known.weight[says]
    has_side = any(clause.sides for clause in window.clauses)
    for number, weight in met.items():
        phrasing = known.all[number]
        whole = weight + (OF_NOT if phrasing.denies and window.nots else 0.0)
        lacks = (phrasing.sided and not has_side) or (WELL in phrasing.words and not window.praises)
        if lacks or whole < COVERED_OBJECT * phrasing.weight:
            continue
        match = _match(phrasing, window, known)
        if match is not None and _holds(match, window, known):
            yield _mention(match, window, known)


def _match(phrasing: Phrasing, window: Window, known: Phrasings) -> _Match | None:
    """Return where a phrasing's words are in a window; None if they are not all together there."""
    if phrasing.order:
        met = together(phrasing.order, window)
    else:
        met = [window.at[says][0] for says in phrasing.words if says in window.at]
    if not met or (WELL not in phrasing.words and _praise_between(met, window)):
        return None
    if phrasing.well and _other_between(met, window):
        return None
    weight = sum(known.weight.get(says, 0.0) for says in {word.says for word in met} & phrasing.words)
    if not phrasing.denies:
        no = denied(phrasing, met, window)
        return _Match(phrasing=phrasing, met=met, refused=None, no=no, weight=weight)
    refused = refuser(met, window)
    if refused is None:
        return None
    return _Match(phrasing=phrasing, met=met, refused=refused, no=False, weight=weight + OF_NOT)


def _praise_between(met: Sequence[Word], window: Window) -> bool:
    places = [word.place for word in met]
    return any(min(places) < one.place < max(places) for one in window.praises)


def _other_between(met: Sequence[Word], window: Window) -> bool:
    """Whether something else is told after the praise: 'starts well, dies hot' is no good start when hot."""
    praised = min((word.place for word in met if word.says == WELL), default=-1)
    last = max(word.place for word in met)
    between = (word for word in window.words if praised < word.place < last and word not in met) if praised >= 0 else ()
    return any(word.says not in LIGHT and word.says not in {NOT, WELL} for word in between)


def _holds(match: _Match, window: Window, known: Phrasings) -> bool:
    """Whether a match says enough, and says it of now."""
    if _how_it_was(match, window) or _says_too_little(match, window):
        return False
    if window.across and not _across(match, window, known):
        return False
    return match.covered >= _least(match, window)


def _how_it_was(match: _Match, window: Window) -> bool:
    """Whether it tells how it was: what was looked at, and found well, still is."""
    if match.phrasing.looked_for:
        return any(clause.of_then for clause in window.clauses)
    good = match.no or match.phrasing.well
    return any(clause.past and (good or clause.used_to) for clause in window.clauses)


def _says_too_little(match: _Match, window: Window) -> bool:
    phrasing, few = match.phrasing, match.telling < TELLING
    whole = match.covered >= 1
    if match.no and phrasing.past and (few or not whole):
        return True
    if not few:
        return False
    if not phrasing.well and not phrasing.complaint:
        most = 0 if phrasing.looked_for else MOST_MORE
        if more_said(match.met, window) > most:
            return True
    apart = max(match.places) - min(match.places) + 1 - len(match.places)
    if not whole and (phrasing.well or not match.no):
        return True
    return len(match.met) > match.telling and apart > MOST_BETWEEN


def _least(match: _Match, window: Window) -> float:
    """Return the share of a phrasing that must be there."""
    if window.across:
        return COVERED_ACROSS
    of_riders = not match.phrasing.looked_for or window.praises
    if match.no and of_riders and not match.phrasing.well and match.telling and len(match.phrasing.words) <= TELLING:
        return COVERED_OBJECT if whole_object(match.met, window) else COVERED
    return COVERED


def _across(match: _Match, window: Window, known: Phrasings) -> bool:
    """Whether two clauses together say something: nothing in them is denied or praised, and each has its part."""
    phrasing = match.phrasing
    if phrasing.well or (window.praises and WELL not in phrasing.words) or (window.nots and not phrasing.denies):
        return False
    whole = sum(known.weight[word.says] for word in match.met)
    return all(
        sum(known.weight[word.says] for word in match.met if word.clause == clause.number) >= LEAST_IN_EACH * whole
        for clause in window.clauses
    )


def _mention(match: _Match, window: Window, known: Phrasings) -> Mention:
    extra = sum(known.weight.get(word.says, 0.0) for word in window.words if word.place not in match.places)
    exact = sum(word.exact in match.phrasing.exact for word in match.met) / len(match.met)
    sure = match.weight * match.covered**2 * (NEARLY + (1 - NEARLY) * exact)
    return Mention(
        phrasing=match.phrasing,
        seen=match.phrasing.well == match.no,
        places=match.places,
        clauses=tuple(sorted({word.clause for word in match.met})),
        score=sure * (ACROSS if window.across else 1.0) - EXTRA * extra,
    )


def _weight(word: Word, known: Phrasings) -> float:
    return OF_NOT if word.says == NOT else known.weight.get(word.says, 1.0)
