"""A naive forward chainer, as slow and as plain as can be, to hold the engine against."""

import itertools
import operator
from collections.abc import Iterable, Sequence

from advisor.chain.terms import ChainRule, GivenFact, Match, Scalar

COMPARE = {
    "==": operator.eq,
    "!=": operator.ne,
    ">": operator.gt,
    ">=": operator.ge,
    "<": operator.lt,
    "<=": operator.le,
}
Row = tuple[str, str, tuple[tuple[str, Scalar], ...]]  # kind, name, data


def row(kind: str, name: str, data: dict[str, Scalar]) -> Row:
    """Return a fact as plain values."""
    return kind, name, tuple(sorted(data.items()))


def holds(match: Match, fact: Row) -> bool:
    """Whether a condition matches a fact. A field that the fact does not have never matches."""
    kind, name, data = fact
    have = dict(data)
    return (kind, name) == (match.kind, match.name) and all(
        test.field in have and COMPARE[test.comparison](have[test.field], test.value) for test in match.tests
    )


def chain(
    rules: Sequence[ChainRule], levels: dict[str, int], given: Iterable[GivenFact]
) -> tuple[set[Row], set[tuple[str, tuple[Row, ...]]]]:
    """Return all facts and all firings (rule, matched facts), one level of rules after the other."""
    facts = {row(fact.kind, fact.name, fact.data) for fact in given}
    fired: set[tuple[str, tuple[Row, ...]]] = set()
    for level in sorted(set(levels.values())):
        grew = True
        while grew:
            grew = False
            for rule in rules:
                if levels[rule.id] != level or any(
                    (kind, name) == atom for atom in rule.unless for kind, name, _ in facts
                ):
                    continue
                pools = [[fact for fact in facts if holds(match, fact)] for match in rule.when]
                for matched in itertools.product(*pools):
                    if (rule.id, matched) not in fired:
                        fired.add((rule.id, matched))
                        facts |= {row(kind, name, {}) for kind, name in rule.gives}
                        grew = True
    return facts, fired
