"""Runs the examples in the rule pages: small cases, each with the result it must give."""

from collections.abc import Collection, Iterator
from pathlib import Path

import msgspec

from advisor.case import Case
from advisor.chain.compile import atom_of, is_sided
from advisor.chain.run import Chained
from advisor.diagnose import Advisor
from advisor.errors import ChainError, Problem
from advisor.intake.casefile import parse_case
from advisor.rulebase.blame import at_fault
from advisor.rulebase.grammar import known
from advisor.rulebase.model import Condition, PartIs, ReadingIs, Rule, SignIs
from advisor.rulebase.read import read
from advisor.rulebase.source import read_pages
from advisor.sides import Side, named, sides_of
from advisor.yaml_nodes import Node

GIVEN = ("seen", "not seen", "measured", "last time", "parts", "figures", "at hand", "told by")
OF_BIKE = ("parts", "figures")
RULE_FIELDS = ("fires", "quiet", "waits for")
FIRES: dict[str, set[Side]] = {"left": {"left"}, "right": {"right"}, "both": {"left", "right"}, "yes": {None}}
EXPECT = ("first", "not first", "in first three", "seen")
NEEDED = 3
Spots = Collection[tuple[str, int]]  # file and line
SHOWN = 3  # causes listed in the message of a failing example, besides its own


class Example(msgspec.Struct, frozen=True):
    """An example and the page it is on."""

    kind: str
    page: str
    name: str
    node: Node
    fields: dict[str, Node]


def examples(folders: list[Path], problems: list[Problem], without: Collection[Path] = ()) -> list[Example]:
    """Return the examples of every rule and cause page; a later folder's page replaces an earlier one's."""
    pages = read_pages(folders, problems, without)
    rules: dict[str, Node] = {}
    causes: dict[str, Node] = {}
    for _, page in pages["readings"]:
        rules |= page.pairs()["rules"].pairs() if "rules" in page.pairs() else {}
    for _, page in pages["patterns"]:
        rules |= page.pairs()
    for _, page in pages["causes"]:
        if "id" in page.pairs():
            causes[page.pairs()["id"].text()] = page
    found = list(_of("rule", rules, (*GIVEN, *RULE_FIELDS)))
    found += _of("cause", causes, (*GIVEN, "expect"))
    return found


def _of(kind: str, pages: dict[str, Node], allowed: tuple[str, ...]) -> Iterator[Example]:
    for page, node in pages.items():
        listed = node.pairs().get("examples")
        for one in listed.items() if listed else []:
            fields = one.fields(need=("name",), may=allowed, what="an example")
            yield Example(kind, page, fields["name"].text() if "name" in fields else "", one, fields)


def check(folders: list[Path], advisor: Advisor) -> tuple[int, list[Problem]]:
    """Return how many examples were run, and a problem for each that fails or is missing.

    Each problem is in a page of the folder whose mistake it is.
    """
    many, problems = _run(folders, advisor)
    spots = {(one.file, one.line) for one in problems}
    return many, sorted(set(at_fault(problems, folders, lambda some, without: _again(some, without, spots))))


def _again(folders: list[Path], without: frozenset[Path], spots: Spots) -> set[Problem] | None:
    """Return the problems at these places without some pages; None if those left do not make a rule base."""
    noted: list[Problem] = []
    base = read(folders, noted, without)
    if noted or base is None:
        return None
    try:
        return {one for one in _run(folders, Advisor(base), spots, without)[1] if (one.file, one.line) in spots}
    except ChainError:
        return None


def _run(
    folders: list[Path], advisor: Advisor, spots: Spots | None = None, without: Collection[Path] = ()
) -> tuple[int, list[Problem]]:
    """Run all examples, or those at some places. The nodes of the pages note their mistakes in the list returned."""
    problems: list[Problem] = []
    found = examples(folders, problems, without)
    _missing(found, advisor, problems)
    for example in found:
        if spots is not None and (example.node.file, example.node.line) not in spots:
            continue
        before = len(problems)
        case = parse_case(_case_node(example), advisor.base)
        if case is not None and len(problems) == before:
            (_check_rule if example.kind == "rule" else _check_cause)(example, case, advisor)
    return len(found), problems


def _case_node(example: Example) -> Node:
    """Return the input part of the example in the form of a case file."""
    node = example.node
    value = {name: one for name, one in example.fields.items() if name in GIVEN and name not in OF_BIKE}
    of_bike = {name: example.fields[name] for name in OF_BIKE if name in example.fields}
    if of_bike:
        value["bike"] = Node(of_bike, node.file, node.line, node.problems)
        value["bike"].keys = {name: node.keys[name] for name in of_bike}
    case = Node(value, node.file, node.line, node.problems)
    case.keys = {name: node.keys.get(name, node.line) for name in value}
    return case


def _missing(found: list[Example], advisor: Advisor, problems: list[Problem]) -> None:
    """Note pages that have too few examples, or none in which their rule or cause must not apply."""
    for rule in advisor.base.rules.values():
        mine = [one for one in found if one.kind == "rule" and one.page == rule.id]
        if not any("fires" in one.fields for one in mine) or not any(
            {"quiet", "waits for"} & set(one.fields) for one in mine
        ):
            problems.append(
                Problem(
                    rule.file, rule.line, f"'{rule.id}' needs an example in which it fires and one in which it does not"
                )
            )
    for cause in advisor.base.causes.values():
        mine = [one for one in found if one.kind == "cause" and one.page == cause.id]
        if len(mine) < NEEDED:
            problems.append(
                Problem(cause.file, cause.line, f"'{cause.id}' has {len(mine)} examples; it needs {NEEDED}")
            )
        elif not any("not first" in _expectations(one) for one in mine):
            problems.append(
                Problem(
                    cause.file,
                    cause.line,
                    f"'{cause.id}' needs an example that must not put it first ('expect: {{not first: ...}}')",
                )
            )


def _expectations(example: Example) -> dict[str, Node]:
    if "expect" not in example.fields:
        return {}
    return example.fields["expect"].fields(may=EXPECT, what="what an example expects")


def _check_rule(example: Example, case: Case, advisor: Advisor) -> None:
    rule = advisor.base.rules[example.page]
    chained = advisor.chained(advisor.in_full(case))
    fired = {
        side for side in sides_of(is_sided(rule)) if any(one.rule == named(rule.id, side) for one in chained.firings)
    }
    where = ", ".join(sorted(str(side or "yes") for side in fired)) or "nowhere"
    stated = [name for name in RULE_FIELDS if name in example.fields]
    if len(stated) != 1:
        example.node.wrong(f"an example of a rule says one of: {', '.join(RULE_FIELDS)}")
        return
    node = example.fields[stated[0]]
    if stated[0] == "fires":
        wanted = FIRES.get(node.word(FIRES, "place to fire"))
        if wanted is not None and fired != wanted:
            example.node.wrong(f"example '{example.name}': '{rule.id}' fires {where}; it should fire {node.value}")
    elif fired:
        example.node.wrong(f"example '{example.name}': '{rule.id}' fires {where}; it should stay quiet")
    elif stated[0] == "waits for":
        _check_waiting(example, node.text(), rule, case, chained)


def _check_waiting(example: Example, awaited: str, rule: Rule, case: Case, chained: Chained) -> None:
    """Check that a rule is quiet only because one thing is not known: none of its conditions is known to fail."""
    for side in sides_of(is_sided(rule)):
        states = {subject(one): truth(one, side, case, chained) for one in rule.when}
        if False not in states.values() and {name for name, state in states.items() if state is None} == {awaited}:
            return
    example.node.wrong(f"example '{example.name}': '{rule.id}' does not wait for '{awaited}' alone")


def subject(condition: Condition) -> str:
    """Return what a condition asks about."""
    if isinstance(condition, SignIs):
        return condition.sign
    return condition.reading if isinstance(condition, ReadingIs) else condition.part


def truth(condition: Condition, side: Side, case: Case, chained: Chained) -> bool | None:
    """Return whether a condition holds, or None when that is not known."""
    if isinstance(condition, PartIs):
        kind = case.bike.parts.get(condition.part)
        return None if kind is None else kind == condition.kind
    facts = {(fact.kind, fact.name) for fact in chained.facts.values()}
    if atom_of(condition, side) in facts:
        return True
    return False if atom_of(condition, side, turned=True) in facts else None


def _check_cause(example: Example, case: Case, advisor: Advisor) -> None:
    expected = _expectations(example)
    if not expected:
        example.node.wrong(f"example '{example.name}' expects nothing; add 'expect: {{first: {example.page}}}'")
        return
    chained, ranking = advisor.rank(case)
    order = sorted(range(len(ranking.network.causes)), key=lambda cause: -ranking.probability(cause))
    names = [named(*ranking.network.causes[cause]) for cause in order]
    ranked = ", ".join(
        f"{named(*ranking.network.causes[cause])} {ranking.probability(cause):.2f}" for cause in order[:SHOWN]
    )
    for what, node in expected.items():
        if what == "seen":
            _check_seen(example, node, chained)
        elif known(node, names, "cause (with its side)"):
            place = names.index(node.text())
            holds = {"first": place == 0, "not first": place > 0, "in first three": place < NEEDED}[what]
            if not holds:
                own = "" if place < SHOWN else f" ... {node.text()} {ranking.probability(order[place]):.2f}"
                example.node.wrong(f"example '{example.name}' expects {what}: {node.text()}; ranked are {ranked}{own}")


def _check_seen(example: Example, node: Node, chained: Chained) -> None:
    seen = [named(sign.id, sign.side) for sign in chained.signs if sign.state == "seen"]
    if node.text() not in seen:
        example.node.wrong(
            f"example '{example.name}' expects the sign '{node.text()}'; seen are {', '.join(seen) or 'none'}"
        )
