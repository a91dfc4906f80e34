"""The sides on which a sign is, and what is said of one side only by what was said of the other."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.intake.clauses import LIKEWISE, Clause
from advisor.intake.mentions import Mention
from advisor.intake.told_side import EACH, of_the_other
from advisor.rulebase.model import Rulebase
from advisor.rulebase.speech import LIGHT, PARTS
from advisor.rulebase.wording import NOT, SAME_AS_BEFORE, WELL, nearly, root
from advisor.sides import Side, other

SAYS_NO_MORE = frozenset([*LIGHT, NOT, WELL, SAME_AS_BEFORE, *(nearly(root(word)) for word in (*PARTS, *LIKEWISE))])
NEAR = 2  # clauses: further back nobody means what was said of the other side


def sides_named(mention: Mention, told: Sequence[Clause]) -> list[Side]:
    """Return the sides that are named with a sign; if none is, the one that was named last."""
    here = [side for number in mention.clauses for side in told[number].sides]
    words = {word for number in mention.clauses for word in told[number].raw}
    if here or EACH & words:
        return here
    before = [side for clause in told[: mention.clauses[0]] for side in clause.sides]
    if not before:
        after = told[mention.clauses[-1] + 1].sides if mention.clauses[-1] + 1 < len(told) else ()
        return [*after] if len(after) == 1 and told[mention.clauses[-1]].supposed else []
    turned = any(of_the_other(told[number].raw) for number in mention.clauses)
    return [other(before[-1])] if before[-1] is not None and turned else [before[-1]]


def other_side(found: Sequence[Mention], told: Sequence[Clause], base: Rulebase) -> Iterator[Mention]:
    """Yield what is said of one side only by what was said of the other: 'the left drips, the right is fine'."""
    heard = {number for one in found for number in one.clauses}
    for clause in told:
        if clause.number in heard or len(clause.sides) != 1 or not _says_no_more(clause):
            continue
        near = [one for one in found if _is_near(one, clause) and base.signs[one.phrasing.name].sided]
        near = [one for one in near if sides_named(one, told) == [other(clause.sides[0])]]
        last = max((one.clauses[-1] for one in near), default=-1)
        for one in near:
            seen = _as_there(clause, one, told[one.clauses[-1]])
            if one.clauses[-1] == last and seen is not None:
                yield msgspec.structs.replace(one, seen=seen, clauses=(clause.number,), places=frozenset())


def _is_near(one: Mention, clause: Clause) -> bool:
    return 0 < clause.number - one.clauses[-1] <= NEAR


def _says_no_more(clause: Clause) -> bool:
    """Whether a clause names a side and says only how that is, not what."""
    return not clause.asked and not clause.supposed and all(word.says in SAYS_NO_MORE for word in clause.words)


def _as_there(clause: Clause, one: Mention, before: Clause) -> bool | None:
    """Whether what was said of the other side is there on this one; None if that is not said."""
    says = {word.says for word in clause.words}
    if NOT in says and WELL in says:
        return None
    if WELL in says:
        return False
    if NOT in says:
        too = any(word.says == NOT for word in before.words)  # the left does not leak, nor does the right
        return one.seen if too else not one.seen
    return one.seen if LIKEWISE & set(clause.raw) else None
