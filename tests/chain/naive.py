"""A naive forward chainer, as slow and as plain as can be, to hold the engine against."""

from collections.abc import Iterable, Sequence

from advisor.chain.terms import Atom, ChainRule


def chain(rules: Sequence[ChainRule], levels: dict[str, int], given: Iterable[Atom]) -> tuple[set[Atom], set[str]]:
    """Return all facts and the rules that fired, one level of rules after the other."""
    facts = set(given)
    fired: set[str] = set()
    for level in sorted(set(levels.values())):
        grew = True
        while grew:
            grew = False
            for rule in rules:
                ready = levels[rule.id] == level and facts >= set(rule.when) and not facts & set(rule.unless)
                if ready and rule.id not in fired:
                    fired.add(rule.id)
                    facts |= set(rule.gives)
                    grew = True
    return facts, fired
