"""A bike sheet: the bike's own figures and kinds of parts. Anything it leaves out gets a cautious default."""

import re
from pathlib import Path

from advisor.case import Bike
from advisor.errors import CaseError, Problem
from advisor.quantities import RATIO
from advisor.rulebase.grammar import kinds_of_parts, known_key, span
from advisor.rulebase.model import Rulebase
from advisor.rulebase.table_records import Figure
from advisor.yaml_nodes import Node, optional, read_file, refuse_unread

FIELDS = ("name", "parts", "figures", "gears", "tyre")
# ISO 5751-1 size designations, metric (120/90-18) and inch (4.00-18); anything may follow the rim size.
TYRE = re.compile(r"^(?:\d{2,3}/\d{2,3}|\d\.\d{2}) ?[-BR] ?\d{2}(?:\s.*)?$")
MOST_GEARS = 6


def read_sheet(path: Path, base: Rulebase) -> Bike:
    """Return the bike that a sheet describes. Raises CaseError with every mistake in it."""
    problems: list[Problem] = []
    root = read_file(path, problems)
    bike = parse_sheet(root, base) if root is not None else None
    if problems or bike is None:
        raise CaseError(sorted(set(problems)))
    return bike


def parse_sheet(root: Node, base: Rulebase) -> Bike:
    """Return the bike on a whole page; mistakes are added to the node's problems. Nothing in it is left unread."""
    known_before = len(root.problems)
    bike = parse_bike(root, base)
    if len(root.problems) == known_before:
        refuse_unread(root)
    return bike


def parse_bike(node: Node, base: Rulebase, under: Bike | None = None) -> Bike:
    """Return the bike in a node; it overrides the sheet `under` it."""
    fields = node.fields(may=FIELDS if under is None else (*FIELDS, "sheet"), what="the bike")
    under = under or Bike()
    gears = tuple(item.number() for item in fields["gears"].items()) if "gears" in fields else under.gears
    if "gears" in fields and not are_gears(gears):
        fields["gears"].wrong(
            "write the engine's turns for one turn of the rear wheel, first gear first, like [15.4, 10]"
        )
    tyre = optional(fields, "tyre", Node.text, under.tyre)
    if "tyre" in fields and tyre and not TYRE.match(tyre):
        fields["tyre"].wrong(f"'{tyre}' is not a tyre size; write it as printed on the tyre, like 120/90-18")
    none: dict[str, str] = {}
    nothing: dict[str, tuple[float, float]] = {}
    return Bike(
        name=optional(fields, "name", Node.anything, under.name),
        parts=under.parts | optional(fields, "parts", lambda one: kinds_of_parts(one, base.parts), none),
        figures=under.figures | optional(fields, "figures", lambda one: _figures(one, base), nothing),
        gears=gears,
        tyre=tyre,
    )


def are_gears(gears: tuple[float, ...]) -> bool:
    """Whether these can be the engine's turns for one turn of the rear wheel, first gear first."""
    turning = all(RATIO[0] <= one <= RATIO[1] for one in gears)
    return turning and 0 < len(gears) <= MOST_GEARS and list(gears) == sorted(gears, reverse=True)


def _figures(node: Node, base: Rulebase) -> dict[str, tuple[float, float]]:
    """Return each figure as (lowest, highest); a single one is widened by its tolerance."""
    found = {}
    for name, given in node.pairs().items():
        if known_key(name, node, base.figures, "figure of the bike", base.figures):
            found[name] = _figure(base.figures[name], given, base)
    return found


def _figure(figure: Figure, node: Node, base: Rulebase) -> tuple[float, float]:
    low, high, _ = span(node, base.units, figure.unit)
    if low == high:
        return low - figure.tolerance, high + figure.tolerance
    return low, high
