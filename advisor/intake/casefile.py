"""A case file in, a `Case` out. The grammar is closed; every mistake carries its line."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from advisor.case import Bike, Case, Means, SignReport
from advisor.errors import CaseError, Problem
from advisor.intake.beside import beside
from advisor.intake.bike_sheet import parse_bike, parse_sheet
from advisor.intake.figures import parse_measured
from advisor.intake.riding import ANSWERS, parse_logs, parse_shakes
from advisor.rulebase.grammar import known_key, known_list
from advisor.rulebase.model import ENGINE_STATES, Rulebase, Sign
from advisor.sides import BOTH, Side, Sided, named, sides_of
from advisor.yaml_nodes import Node, optional, read_file, refuse_unread

FIELDS = (
    "case",
    "told by",
    "bike",
    "complaint",
    "seen",
    "not seen",
    "measured",
    "last time",
    "shakes",
    "logs",
    "put right",
    "ruled out",
    "not again",
    "opened",
    "at hand",
)
# One word for both sides of a sided sign: (side, seen) pairs.
SIDE_WORDS: dict[str, tuple[tuple[Side, bool], ...]] = {
    "left": (("left", True),),
    "right": (("right", True),),
    "both": (("left", True), ("right", True)),
    "neither": (("left", False), ("right", False)),
}
TOLD, DEFAULT_PERSON = "told", "mechanic"


def read_case(path: Path | str, base: Rulebase, files_from: Sequence[Path | str] = ()) -> Case:
    """Return the case in a YAML file. Raises CaseError with every mistake in it, each with its line.

    Its sheet and logs are relative to its folder, and are read from there and below, and from `files_from`, if given.

    >>> import advisor
    >>> from advisor.places import shipped
    >>> told = advisor.read_case(shipped("cases_demo") / "mail-4-shakes-at-cruise.yaml", advisor.load_rules())
    >>> told.seen[0].sign, told.seen[0].side, told.seen[0].seen
    ('cruise-vibration', None, True)
    """
    problems: list[Problem] = []
    root = read_file(Path(path), problems)
    case = parse_case(root, base, files_from) if root is not None else None
    if problems or case is None:
        raise CaseError(sorted(set(problems)))
    return case


def parse_case(root: Node, base: Rulebase, files_from: Sequence[Path | str] = ()) -> Case:
    """Return the case in a node; mistakes are added to the node's problems. Nothing in it is left unread."""
    known_before = len(root.problems)
    case = _parsed(root, base, [Path(one) for one in files_from])
    if len(root.problems) == known_before:
        refuse_unread(root)
    return case


def _parsed(root: Node, base: Rulebase, files_from: Sequence[Path]) -> Case:
    fields = root.fields(may=FIELDS, what="a case")
    bike = _bike(fields["bike"], base, files_from) if "bike" in fields else Bike()
    means = _means(fields.get("at hand"), base)
    how = fields["told by"].word(base.words.trust, "word for how it is known") if "told by" in fields else TOLD
    seen = [
        report
        for name in ("seen", "not seen")
        if name in fields
        for report in _seen(fields[name], name == "seen", how, base)
    ]
    _contradictions(root, seen, base)
    causes = {cause.id: cause.sided for cause in base.causes.values()}
    checks = {check.id: check.sided for check in base.checks.values()}
    covers = {cover.id: cover.each_side for cover in base.covers.values()}
    return Case(
        title=optional(fields, "case", Node.anything, ""),
        bike=bike,
        complaint=optional(fields, "complaint", Node.anything, ""),
        seen=tuple(seen),
        measured=tuple(optional(fields, "measured", lambda one: parse_measured(one, base), [])),
        before=tuple(optional(fields, "last time", lambda one: parse_measured(one, base), [])),
        shakes=tuple(optional(fields, "shakes", lambda one: parse_shakes(one, how, base), [])),
        logs=tuple(optional(fields, "logs", lambda one: parse_logs(one, how, base, files_from), [])),
        put_right=tuple(optional(fields, "put right", lambda one: _on_sides(one, causes, "cause"), [])),
        ruled_out=tuple(optional(fields, "ruled out", lambda one: _on_sides(one, causes, "cause"), [])),
        not_again=tuple(optional(fields, "not again", lambda one: _on_sides(one, checks, "check"), [])),
        opened=tuple(optional(fields, "opened", lambda one: _on_sides(one, covers, "cover"), [])),
        means=means,
    )


def _on_sides(node: Node, sided: dict[str, bool], what: str) -> list[Sided]:
    """Return names with their sides from a list of `name` or `name: side`."""
    found: dict[Sided, Node] = {}
    for item, name, side in _listed(node, sided, what):
        first = found.setdefault((name, side), item)
        if sided[name] and not side:
            item.wrong(f"'{name}' is on a side; write '- {name}: left'")
        elif first is not item:
            item.wrong(f"'{named(name, side)}' is in this list twice{_first_in(first)}; keep one")
    return list(found)


def _listed(node: Node, sided: dict[str, bool], what: str) -> Iterator[tuple[Node, str, Side]]:
    """Yield each item of a list of `name` or `name: side` with its name, and its side or None; note what is wrong."""
    for item in node.items():
        if isinstance(item.value, list):
            item.wrong(f"one {what} for each '- '; take out the inner list")
            continue
        pairs = item.pairs() if isinstance(item.value, dict) else {item.text(): None}
        name, *more = pairs or {"": None}
        for other in more:
            at = Node("", item.file, item.keys[other], item.problems)
            at.wrong(f"one {what} for each '- '; begin a new line with '- ' for '{other}'")
        if not name and not isinstance(item.value, dict):
            continue  # noted already
        if not known_key(name, item, sided, what, sided):
            continue
        given = pairs[name]
        if given is None:
            yield item, name, None
        elif not sided[name]:
            item.wrong(f"'{name}' has no sides; write '- {name}'")
        elif side := given.word(BOTH, "side"):
            yield item, name, "left" if side == "left" else "right"


def _first_in(node: Node) -> str:
    return f"; first in line {node.line}" if node.line else ""


def _bike(node: Node, base: Rulebase, files_from: Sequence[Path]) -> Bike:
    """Return the bike of a case: its own entries override its sheet."""
    sheet = node.value.get("sheet") if isinstance(node.value, dict) else None
    path = beside(sheet, files_from) if sheet is not None else None
    root = read_file(path, node.problems) if path is not None else None
    return parse_bike(node, base, parse_sheet(root, base) if root is not None else Bike())


def _means(node: Node | None, base: Rulebase) -> Means:
    fields = node.fields(may=("person", "tools", "engine"), what="what is at hand") if node else {}
    tools: frozenset[str] | None = None
    if "tools" in fields and not fields["tools"].says("all"):
        tools = frozenset(known_list(fields["tools"], base.tools, "tool"))
    return Means(
        person=fields["person"].word(base.persons, "person") if "person" in fields else DEFAULT_PERSON,
        tools=tools,
        engine=fields["engine"].word(ENGINE_STATES, "state of the engine") if "engine" in fields else "",
    )


def _seen(node: Node, seen: bool, how: str, base: Rulebase) -> list[SignReport]:
    """Return the reports of `seen` (a mapping) or `not seen` (a list of names, or of `name: side`)."""
    if not seen:
        sided = {sign.id: sign.sided for sign in base.signs.values()}
        return [
            SignReport(sign=name, side=one, seen=False, how=how, line=item.line)
            for item, name, side in _listed(node, sided, "sign")
            for one in ((side,) if side else sides_of(sided[name]))
        ]
    reports: list[SignReport] = []
    for name, state in node.pairs().items():
        if known_key(name, node, base.signs, "sign", base.signs):
            reports.extend(_states(base.signs[name], state, node.keys[name], how, base))
    return reports


def _states(sign: Sign, node: Node, line: int, how: str, base: Rulebase) -> list[SignReport]:
    """Return the reports in one `sign: state` line, one for each side it names."""
    if isinstance(node.value, str):
        return _in_a_word(sign, node, line, how)
    fields = node.fields(may=("left", "right", "is", "how") if sign.sided else ("is", "how"), what=f"'{sign.id}'")
    how = fields["how"].word(base.words.trust, "word for how it is known") if "how" in fields else how
    if sign.sided and isinstance(node.value, dict) and not {"left", "right", "is"} & set(fields):
        node.wrong(f"'{sign.id}' is told for a side; write '{{left: yes, right: no}}'")
    elif not sign.sided and set(node.value) <= {"how"}:
        node.wrong(f"'{sign.id}' does not say whether it is seen; add 'is: yes' or 'is: no'")
    reports = _in_a_word(sign, fields["is"], line, how) if "is" in fields else []
    for side in BOTH:
        if side in fields:
            reports += _one_side(sign, fields[side], side, how, base)
    return reports


def _in_a_word(sign: Sign, node: Node, line: int, how: str) -> list[SignReport]:
    """Return the reports in one word: a side for a sided sign, yes or no for any other."""
    text = node.value if isinstance(node.value, str) else ""
    if sign.sided:
        if text in ANSWERS:
            node.wrong(
                f"'{sign.id}' is told for a side; write left, right, both, neither, or '{{left: yes, right: no}}'"
            )
            return []
        pairs = SIDE_WORDS.get(node.word(SIDE_WORDS, "side"), ())
    else:
        if text in SIDE_WORDS:
            node.wrong(f"'{sign.id}' has no sides; write yes or no")
            return []
        answer = node.word(ANSWERS, "answer")
        pairs = ((None, ANSWERS[answer]),) if answer else ()
    return [SignReport(sign=sign.id, side=side, seen=seen, how=how, line=line) for side, seen in pairs]


def _one_side(sign: Sign, node: Node, side: Side, how: str, base: Rulebase) -> list[SignReport]:
    if isinstance(node.value, dict):
        fields = node.fields(need=("is",), may=("how",), what=f"'{sign.id}' {side}")
        how = fields["how"].word(base.words.trust, "word for how it is known") if "how" in fields else how
        node = fields.get("is", node)
    answer = node.word(ANSWERS, "answer")
    return [SignReport(sign=sign.id, side=side, seen=ANSWERS[answer], how=how, line=node.line)] if answer else []


def _contradictions(root: Node, seen: list[SignReport], base: Rulebase) -> None:
    """Note a sign that is told twice, both seen and not seen, or on both sides when it can only be on one."""
    first: dict[Sided, SignReport] = {}
    for report in seen:
        earlier = first.setdefault((report.sign, report.side), report)
        if earlier is not report:
            lines = sorted({earlier.line, report.line})
            where = (
                f" (lines {lines[0]} and {lines[1]})" if len(lines) > 1 else f" (line {lines[0]})" if lines[0] else ""
            )
            twice = "told twice" if earlier.seen == report.seen else "both seen and not seen"
            text = f"'{named(report.sign, report.side)}' is {twice}{where}; keep the one that holds"
            root.problems.append(Problem(root.file, lines[-1], text))
    for report in seen:
        twin = first.get((report.sign, "right"))
        if base.signs[report.sign].exclusive and report.side == "left" and report.seen and twin and twin.seen:
            root.problems.append(
                Problem(root.file, twin.line, f"'{report.sign}' can be on one side only; it compares the two")
            )
