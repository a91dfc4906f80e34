"""Sorts rules into layers, so that an absence is only asked for once nothing can give the fact any more."""

from collections.abc import Sequence

from advisor.chain.terms import Atom, ChainRule
from advisor.errors import ChainError


def layers(rules: Sequence[ChainRule]) -> dict[str, int]:
    """Return each rule's layer, 0 first. Raises ChainError when rules wait for each other's absence."""
    givers: dict[Atom, list[str]] = {}
    for rule in rules:
        for atom in rule.gives:
            givers.setdefault(atom, []).append(rule.id)
    layer = dict.fromkeys((rule.id for rule in rules), 0)
    waiting = [rule for rule in rules if not givers.keys().isdisjoint((*rule.when, *rule.unless))]
    for _ in range(len(rules) + 1):
        changed = False
        for rule in waiting:
            matched = [layer[giver] for atom in rule.when for giver in givers.get(atom, ())]
            refused = [layer[giver] + 1 for atom in rule.unless for giver in givers.get(atom, ())]
            lowest = max([0, *matched, *refused])
            if lowest > layer[rule.id]:
                layer[rule.id] = lowest
                changed = True
        if not changed:
            return layer
    stuck = sorted(rule.id for rule in rules if layer[rule.id] > len(rules) // 2)
    msg = f"these rules wait in a ring for what another of them must not give: {', '.join(stuck)}"
    raise ChainError(msg)
