"""Reads the single files at the top of a rule base: strength words, means, parts, limits, cautions, order."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from advisor.errors import Problem
from advisor.pages import Node, optional
from advisor.quantities import Unit, parse
from advisor.rulebase.model import Area, Caution, Choice, Limit, Record, Tool, Trust, Words

Pages = list[tuple[Path, Node]]
R = TypeVar("R", bound=Record)
Reader = Callable[[str, Node], R | None]


def keyed(pages: Pages, read: Reader[R], problems: list[Problem], root_of: Callable[[Path], Path]) -> dict[str, R]:
    """Return records by id. A repeated id is a mistake within one rule base; in a later one it replaces."""
    found: dict[str, R] = {}
    home: dict[str, Path] = {}
    for path, page in pages:
        for name, node in page.pairs().items():
            line = page.keys.get(name, page.line)
            if name in found and home[name] == root_of(path):
                first = found[name]
                problems.append(Problem(str(path), line, f"'{name}' stands twice; first in {first.file}:{first.line}"))
                continue
            record = read(name, node)
            if record is not None:
                found[name] = record
                home[name] = root_of(path)
    return found


def chance(node: Node) -> float:
    """Return a probability strictly between 0 and 1."""
    value = node.number()
    if not 0.0 < value < 1.0:
        node.wrong(f"{value:g} is no chance; write a figure between 0 and 1, like 0.7")
        return 0.5
    return value


def words(pages: Pages) -> Words | None:
    """Return the strength table; the last page wins."""
    table = None
    for _, page in pages:
        fields = page.fields(need=("shows", "met", "healthy", "trust", "act at", "source"), what="the strength table")
        if len(fields) < 6:  # noqa: PLR2004 - the six tables just named
            return None
        trust = {word: _trust(node) for word, node in fields["trust"].pairs().items()}
        table = Words(
            shows={word: chance(node) for word, node in fields["shows"].pairs().items()},
            met={word: chance(node) for word, node in fields["met"].pairs().items()},
            healthy={word: chance(node) for word, node in fields["healthy"].pairs().items()},
            trust=trust,
            act_at=chance(fields["act at"]),
            source=fields["source"].text(),
        )
    return table


def _trust(node: Node) -> Trust:
    fields = node.fields(need=("notices", "imagines"), what="a trust word")
    hit = chance(fields["notices"]) if "notices" in fields else 0.9
    false_alarm = chance(fields["imagines"]) if "imagines" in fields else 0.1
    if false_alarm >= hit:
        node.wrong("'imagines' must be less than 'notices'")
    return Trust(hit, false_alarm)


def limit(name: str, node: Node, units: dict[str, Unit]) -> Limit:
    """Return one figure with unit, meaning and source, with defaults in place of what is wrong."""
    fields = node.fields(need=("value", "meaning", "source"), what="a limit")
    value, unit = optional(fields, "value", lambda one: _figure(one, units), (0.0, ""))
    return Limit(
        id=name,
        file=node.file,
        line=node.line,
        value=value,
        unit=unit,
        meaning=optional(fields, "meaning", Node.text, ""),
        source=optional(fields, "source", Node.text, ""),
    )


def _figure(node: Node, units: dict[str, Unit]) -> tuple[float, str]:
    """Return a figure and the unit word it is written in."""
    text = node.text()
    unit = next((word for word in sorted(units, key=len, reverse=True) if text.endswith(f" {word}")), "")
    quantity = parse(text, unit, units) if unit else f"'{text}' is no figure with a unit, like '0.15 mm'"
    if isinstance(quantity, str):
        node.wrong(quantity)
        return 0.0, ""
    return quantity.value, unit


def choice(name: str, node: Node) -> Choice:
    """Return one kind of part."""
    fields = node.fields(need=("title", "kinds"), what="a part")
    kinds = tuple(item.text() for item in fields["kinds"].items()) if "kinds" in fields else ()
    return Choice(id=name, file=node.file, line=node.line, title=optional(fields, "title", Node.text, ""), kinds=kinds)


def tool(name: str, node: Node) -> Tool:
    """Return one tool."""
    return Tool(id=name, file=node.file, line=node.line, title=node.text())


def caution(name: str, node: Node) -> Caution:
    """Return one caution."""
    return Caution(id=name, file=node.file, line=node.line, says=node.text())


def area(name: str, node: Node) -> Area:
    """Return one stage of the readiness order."""
    fields = node.fields(need=("title", "places", "reason"), what="a stage of the order")
    places = tuple(item.text() for item in fields["places"].items()) if "places" in fields else ()
    title = optional(fields, "title", Node.text, "")
    return Area(
        id=name,
        file=node.file,
        line=node.line,
        title=title,
        places=places,
        reason=optional(fields, "reason", Node.text, ""),
    )


def means(pages: Pages, problems: list[Problem]) -> tuple[tuple[str, ...], dict[str, Tool]]:
    """Return who may be at the bike (least able first) and the tools that checks may need."""
    persons: tuple[str, ...] = ()
    tools: dict[str, Tool] = {}
    for _, page in pages:
        fields = page.fields(may=("persons", "tools"), what="the table of means")
        if "persons" in fields:
            persons = tuple(item.text() for item in fields["persons"].items())
        for name, node in fields["tools"].pairs().items() if "tools" in fields else ():
            tools[name] = tool(name, node)
    if not persons:
        problems.append(Problem("means.yaml", 0, "lacks 'persons': a list, least able first"))
    return persons, tools
