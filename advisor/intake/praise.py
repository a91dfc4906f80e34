"""What is praised as a matter ('pickup is good'), what simply works ('it starts'), and what did not move in a swap.

Here nobody names a sign. The matter that is praised, or that works, denies its most general sign; of things that were
swapped while the trouble stayed, each is one that it does not follow. What is told of the same words in a surer way, by
`advisor.intake.mentions`, goes before that.
"""

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from advisor.intake.clauses import Clause, Word
from advisor.intake.denial import UNTIL
from advisor.intake.mentions import Mention
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import Phrasing
from advisor.rulebase.speech import (
    AS_GOOD_AS_PRAISE,
    AT_WORK,
    IT_WORKS,
    LIGHT,
    MATTERS,
    OCCASIONS,
    SWAPPED,
    UNREAL,
    WHOLE_BIKE,
)
from advisor.rulebase.wording import NOT, SAME_AS_BEFORE, WELL, nearly, root
from advisor.sides import BOTH

AS_SURE = 0.6  # beside what is heard by words of its own
MOST_BESIDE = 2  # telling words beside a matter and its praise: more tell something else
NO_MORE = frozenset([*LIGHT, NOT, WELL, SAME_AS_BEFORE])


def _by_word(table: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Return a table of signs and the words for them by those words, as they are heard."""
    return {nearly(root(word)): sign for sign, words in table.items() for word in words}


SIGN_OF = _by_word(MATTERS)
PRAISED_BY = {sign: frozenset(nearly(root(word)) for word in words) for sign, words in AS_GOOD_AS_PRAISE.items()}
WORKS = {word: sign for sign, words in IT_WORKS.items() for word in words}
FOLLOWS = _by_word(SWAPPED)
SWAP, MOVE = nearly(root("swapped")), nearly(root("move"))


def with_praise(found: Sequence[Mention], told: Sequence[Clause], base: Rulebase) -> list[Mention]:
    """Return mentions with what is praised, works, or did not move, and the occasions on which all went well denied."""
    works = [one for clause in told for one in _works(clause, base)]
    stayed = [*_stayed(told, base)]
    told_of = {place for one in found if not one.phrasing.complaint for place in one.places}
    works = [one for one in works if not one.places & told_of]  # it starts, after a rest: that is a sign of its own
    own = {place for one in (*works, *stayed) for place in one.places}
    kept = [one for one in found if not one.places & own]
    taken = {place for one in kept for place in one.places}
    heard = {number for one in kept for number in one.clauses}
    praised = [
        one for clause in told for one in _praised(clause, clause.number in heard, base) if not one.places & taken
    ]
    return [*_on_occasions(kept, told), *works, *stayed, *praised]


def _denied(sign: str, words: Sequence[Word], clause: Clause, base: Rulebase) -> Iterator[Mention]:
    if sign in base.signs:
        says = base.signs[sign].title
        phrasing = Phrasing(sign, says, frozenset(), denies=False, well=False, sided=False, weight=1.0)
        places = frozenset(word.place for word in words)
        yield Mention(phrasing, seen=False, places=places, clauses=(clause.number,), score=AS_SURE)


def _is_so(clause: Clause) -> bool:
    """Whether a clause tells how it is: no question, no guess, no wish, and nothing that was once so."""
    unreal = UNREAL & set(clause.raw) or clause.asked or clause.supposed or clause.of_then or UNTIL & set(clause.raw)
    return not unreal and not clause.did


def _praised(clause: Clause, heard: bool, base: Rulebase) -> Iterator[Mention]:
    """Yield the general sign of each matter that a clause praises; of the whole bike, if it praises nothing else."""
    parts = {word.part for word in clause.words if word.says == WELL}
    if not _is_so(clause) or any(word.says == NOT for word in clause.words):
        return
    for part in dict.fromkeys(word.part for word in clause.words):
        here = [word for word in clause.words if word.part == part and word.says not in NO_MORE]
        says = {word.says for word in clause.words if word.part == part}
        matters = {SIGN_OF[word.says]: word for word in here if word.says in SIGN_OF}
        if len(here) - len(matters) <= MOST_BESIDE:
            for sign, word in matters.items():
                if WELL in says or says & PRAISED_BY.get(sign, frozenset()):
                    yield from _denied(sign, [word], clause, base)
    here = [word for word in clause.words if word.says not in NO_MORE]
    if parts and not (here or heard or set(BOTH) & set(clause.raw)):
        yield from _denied(WHOLE_BIKE, [word for word in clause.words if word.says == WELL], clause, base)


def _works(clause: Clause, base: Rulebase) -> Iterator[Mention]:
    """Yield the sign that is not there because a thing simply works: 'she starts, she idles'."""
    verbs = [word for word in clause.raw if word in WORKS]
    if len(verbs) == 1 and _is_so(clause) and set(clause.raw) <= {*verbs, *AT_WORK}:
        works = [word for word in clause.words if word.says not in {NOT, WELL}]
        yield from _denied(WORKS[verbs[0]], works, clause, base)


def _stayed(told: Sequence[Clause], base: Rulebase) -> Iterator[Mention]:
    """Yield that the trouble does not follow the parts that were swapped, in the clauses before one that says so."""
    for number, clause in enumerate(told):
        if not _did_not_move(clause):
            continue
        first = number
        while first and SWAP in {word.says for word in told[first - 1].words}:
            first -= 1
        for before in told[first:number]:
            for word in before.words:
                if word.says in FOLLOWS:
                    yield from _denied(FOLLOWS[word.says], [word], clause, base)


def _did_not_move(clause: Clause) -> bool:
    says = [word.says for word in clause.words]
    return SAME_AS_BEFORE in says or (NOT in says and MOVE in says[says.index(NOT) :])


def _on_occasions(found: Sequence[Mention], told: Sequence[Clause]) -> Iterator[Mention]:
    """Yield mentions, with an occasion denied on which all went well: 'I rode home in the rain and it never missed'."""
    troubled = {
        number
        for one in found
        if one.seen and one.phrasing.complaint and one.phrasing.name not in OCCASIONS
        for number in one.clauses
    }
    for one in found:
        near = told[one.clauses[0] : one.clauses[-1] + 2]
        well = any(_only_praise(clause) for clause in near) and not troubled & {clause.number for clause in near}
        if one.seen and one.phrasing.name in OCCASIONS and well:
            yield msgspec.structs.replace(one, seen=False)
        else:
            yield one


def _only_praise(clause: Clause) -> bool:
    says = {word.says for word in clause.words}
    return WELL in says and NOT not in says and says <= NO_MORE
