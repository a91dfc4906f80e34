"""Refuses every rule set that durable_rules would accept but then run wrongly, or crash on."""

from collections import Counter
from collections.abc import Sequence

from advisor.chain.terms import Atom, ChainRule
from advisor.errors import ChainError

# Beyond these the library's C code overruns its tables; found by trial, with a margin.
MAX_RULES, MAX_CONDITIONS, MAX_SAME, MAX_NAMES = 4_000, 16, 250, 500


def refuse_unsafe(rules: Sequence[ChainRule], layer: dict[str, int]) -> None:
    """Raise ChainError for the first violation of the safe subset."""
    ids = Counter(rule.id for rule in rules)
    bad = [name for name, count in ids.items() if count > 1 or name.startswith("~") or "$" in name or not name]
    refuse(bad, "rule ids that are repeated, empty, or hold '~' or '$'")
    refuse([rule.id for rule in rules if not rule.when], "rules with no positive condition")
    many = [rule.id for rule in rules if len(rule.when) + len(rule.unless) > MAX_CONDITIONS]
    refuse(many, f"rules with more than {MAX_CONDITIONS} conditions")
    # In this library one fact cannot satisfy two conditions of a rule, so such a rule would never fire.
    refuse([rule.id for rule in rules if _repeats(rule.when)], "rules that ask twice for one fact")
    refuse([rule.id for rule in rules if _repeats(rule.unless)], "rules that ask twice for one absence")
    refuse(["more"] * (len(rules) > MAX_RULES), f"more than {MAX_RULES} rules")
    same = Counter(atom for rule in rules for atom in rule.when)
    refuse([kind for kind, _ in same if kind.startswith("~")], "kinds that begin with '~'")
    shared = [f"{kind} {name}" for (kind, name), count in same.items() if count > MAX_SAME]
    refuse(shared, f"conditions that over {MAX_SAME} rules share")
    names = Counter(kind for kind, _ in same)
    refuse([kind for kind, count in names.items() if count > MAX_NAMES], f"kinds with over {MAX_NAMES} names")
    absent = {(layer[rule.id], atom) for rule in rules for atom in rule.unless}
    refuse(["more"] * (len(absent) > MAX_NAMES), f"more than {MAX_NAMES} absences")


def refuse(found: Sequence[str], what: str) -> None:
    """Raise ChainError if anything was found."""
    if found:
        msg = f"{what}: {', '.join(found[:5])}"
        raise ChainError(msg)


def _repeats(atoms: Sequence[Atom]) -> bool:
    return len(set(atoms)) < len(atoms)
