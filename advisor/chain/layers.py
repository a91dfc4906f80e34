"""Sorts rules into layers, so that an absence is tested only when no rule can give the fact any more."""

from collections.abc import Sequence

from advisor.chain.terms import Atom, ChainRule
from advisor.errors import ChainError


def layers(rules: Sequence[ChainRule]) -> dict[str, int]:
    """Return each rule's layer, 0 first. Raises ChainError when rules wait for each other's absence."""
    given: dict[Atom, int] = dict.fromkeys((atom for rule in rules for atom in rule.gives), 0)  # layer of its last rule
    layer = dict.fromkeys((rule.id for rule in rules), 0)
    waiting = [rule for rule in rules if not given.keys().isdisjoint((*rule.when, *rule.unless))]
    for _ in range(len(rules) + 1):
        changed = False
        for rule in waiting:
            matched = [given.get(atom, 0) for atom in rule.when]
            lowest = max(matched + [given[atom] + 1 for atom in rule.unless if atom in given])
            if lowest > layer[rule.id]:
                layer[rule.id] = lowest
                given |= {atom: max(given[atom], lowest) for atom in rule.gives}
                changed = True
        if not changed:
            return layer
    stuck = sorted(rule.id for rule in rules if layer[rule.id] > len(rules) // 2)
    msg = f"these rules wait in a ring for what another of them must not give: {', '.join(stuck)}"
    raise ChainError(msg)
