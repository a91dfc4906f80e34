"""Refuses every rule set that durable_rules would accept and then run wrongly, or crash on."""

from collections import Counter
from collections.abc import Iterable, Sequence

from advisor.chain.terms import Atom, ChainRule, Scalar
from advisor.errors import ChainError

RESERVED = {"id", "sid", "k", "name"}
# Beyond these the library's C code overruns its own tables; found by trial, with room to spare.
MAX_RULES, MAX_CONDITIONS, MAX_SAME, MAX_NAMES, MAX_TESTS = 4_000, 16, 250, 500, 60


def type_of(value: Scalar) -> type:
    """Return the one type by which the rules compare a value: bool, str or float."""
    return bool if isinstance(value, bool) else str if isinstance(value, str) else float


def types_of(rules: Sequence[ChainRule]) -> dict[tuple[str, str], type]:
    """Return the type of each (kind, field). Raises ChainError when a field is compared as two."""
    types: dict[tuple[str, str], type] = {}
    for rule in rules:
        for match in rule.when:
            for test in match.tests:
                kind = type_of(test.value)
                if types.setdefault((match.kind, test.field), kind) is not kind:
                    msg = f"rule {rule.id}: {match.kind}.{test.field} is compared both as text and as a number"
                    raise ChainError(msg)
                if kind is not float and test.comparison not in ("==", "!="):
                    msg = f"rule {rule.id}: {match.kind}.{test.field} {test.comparison} {test.value!r} has no order"
                    raise ChainError(msg)
    return types


def refuse_unsafe(rules: Sequence[ChainRule], layer: dict[str, int]) -> None:
    """Raise ChainError for the first kind of thing that leaves the safe part of the library."""
    ids = Counter(rule.id for rule in rules)
    bad = [name for name, count in ids.items() if count > 1 or name.startswith("~") or "$" in name or not name]
    refuse(bad, "rule ids that are repeated, empty, or hold '~' or '$'")
    refuse([rule.id for rule in rules if not rule.when], "rules with no positive condition")
    many = [rule.id for rule in rules if len(rule.when) + len(rule.unless) > MAX_CONDITIONS]
    refuse(many, f"rules with more than {MAX_CONDITIONS} conditions")
    # The library lets no fact fill two conditions of one rule, so two tests of one fact must be one condition.
    twice = [rule.id for rule in rules if _repeats((match.kind, match.name) for match in rule.when)]
    refuse(twice, "rules with two conditions on one fact; put their tests into one condition")
    refuse([rule.id for rule in rules if _repeats(rule.unless)], "rules that ask twice for one absence")
    refuse(["more"] * (len(rules) > MAX_RULES), f"more than {MAX_RULES} rules")
    matches = {match for rule in rules for match in rule.when}
    refuse([match.kind for match in matches if match.kind.startswith("~")], "kinds that begin with '~'")
    fields = {test.field for match in matches for test in match.tests}
    refuse([field for field in fields if field in RESERVED or "$" in field], "reserved fields")
    _refuse_full_tables(rules, layer)


def _refuse_full_tables(rules: Sequence[ChainRule], layer: dict[str, int]) -> None:
    same = Counter(match for rule in rules for match in rule.when)
    shared = [f"{match.kind} {match.name}" for match, count in same.items() if count > MAX_SAME]
    refuse(shared, f"conditions that over {MAX_SAME} rules share")
    names: dict[str, set[str]] = {}
    tests: dict[Atom, set[tuple[object, ...]]] = {}
    for match in same:
        names.setdefault(match.kind, set()).add(match.name)
        tested = tests.setdefault((match.kind, match.name), set())
        tested.update((test.field, test.comparison, test.value) for test in match.tests)
    refuse([kind for kind, found in names.items() if len(found) > MAX_NAMES], f"kinds with over {MAX_NAMES} names")
    full = [f"{kind} {name}" for (kind, name), found in tests.items() if len(found) > MAX_TESTS]
    refuse(full, f"facts with over {MAX_TESTS} tests")
    absent = {(layer[rule.id], atom) for rule in rules for atom in rule.unless}
    refuse(["more"] * (len(absent) > MAX_NAMES), f"more than {MAX_NAMES} absences")


def refuse(found: Sequence[str], what: str) -> None:
    """Raise ChainError when anything was found."""
    if found:
        msg = f"{what}: {', '.join(found[:5])}"
        raise ChainError(msg)


def _repeats(atoms: Iterable[Atom]) -> bool:
    return any(count > 1 for count in Counter(atoms).values())
