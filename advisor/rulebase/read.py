"""Reads the pages of a rule base in two passes: first the names, then the pages that refer to them."""

from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

import msgspec

from advisor.errors import Problem, nearest
from advisor.quantities import unit_table
from advisor.rulebase import (
    cause_pages,
    check_pages,
    pattern_pages,
    reading_pages,
    sheets,
    sign_pages,
    tables,
    whole,
)
from advisor.rulebase.grammar import Names
from advisor.rulebase.model import Cause, Check, Rule, Rulebase
from advisor.rulebase.source import FELT, KINDS, place_of, read_pages
from advisor.rulebase.table_records import Words
from advisor.yaml_nodes import Node, refuse_unread

Pages = list[tuple[Path, Node]]
EXAMPLES = ("examples",)  # fields that are read and run elsewhere (`advisor/examples.py`)


class _Reader(msgspec.Struct):
    """State shared by every step of reading."""

    folders: list[Path]
    pages: dict[str, Pages]
    problems: list[Problem]
    roots: dict[Path, Path] = {}

    def root_of(self, path: Path) -> Path:
        """Return the rule folder that a page belongs to (the innermost, if they are nested)."""
        if path not in self.roots:
            above = [folder for folder in self.folders if folder in path.parents]
            self.roots[path] = max(above, key=lambda folder: len(folder.parts))
        return self.roots[path]


def read(folders: list[Path], problems: list[Problem], without: Collection[Path] = ()) -> Rulebase | None:
    """Return the rule base of these folders; every mistake is noted, in a page or in the whole.

    Some pages may be left out.
    """
    pages = read_pages(folders, problems, without)
    drawn = sheets.read_sheets(folders, problems, without)
    if problems:  # the names on an unreadable page would be missing everywhere else
        return None
    reader = _Reader(folders, pages, problems)
    words = tables.words(pages["strength"])
    means = tables.means(pages["means"], problems)
    persons, tools, covers = means.persons, means.tools, means.covers
    if words is None:
        problems.append(Problem(str(folders[0]), 0, "a rule base needs a complete strength.yaml"))
        return None
    units = unit_table()

    def keyed(kind: str, read: "tables.Reader[tables.R]") -> dict[str, tables.R]:
        return tables.keyed(pages[kind], read, problems, reader.root_of)

    figures = keyed("figures", lambda name, node: tables.figure(name, node, units))
    limits = keyed("limits", lambda name, node: tables.limit(name, node, units, figures))
    parts = keyed("parts", tables.choice)
    cautions = keyed("cautions", tables.caution)
    glossary = keyed("glossary", tables.term)
    drawings = keyed("drawings", lambda name, node: tables.drawing(name, node, drawn))
    signs = keyed("signs", lambda name, node: sign_pages.sign(name, node, words, persons))
    sections = _sections(pages["readings"])
    readings = tables.keyed(
        sections["readings"],
        lambda name, node: reading_pages.reading(name, node, units, limits),
        problems,
        reader.root_of,
    )
    for reading in readings.values():
        for name in (*reading.adds, reading.exchanges, reading.zeroed_by, reading.range_is):
            if name and name not in readings:
                problems.append(Problem(reading.file, reading.line, f"'{reading.id}': no reading is called '{name}'"))
    names = Names(
        signs=signs,
        readings=readings,
        limits=limits,
        parts=parts,
        causes=_cause_signs(pages["causes"], words),
        checks={name for _, page in pages["checks"] for name in page.pairs()},
        cautions=set(cautions),
        tools=set(tools),
        covers=set(covers),
        drawings=set(drawings),
        units=units,
    )
    shakes, ride_next = tables.shakes(pages["shakes"], signs, problems)
    areas = keyed("order", lambda name, node: tables.area(name, node, names))
    _places(reader, [place for area in areas.values() for place in area.places])
    rule_pages = [*sections["rules"], *pages["patterns"]]
    rules: dict[str, Rule] = tables.keyed(
        rule_pages, lambda name, node: pattern_pages.rule(name, node, names), problems, reader.root_of
    )
    checks: dict[str, Check] = keyed("checks", lambda name, node: check_pages.check(name, node, names, persons, words))
    causes = _causes(reader, lambda place, node: cause_pages.cause(place, node, names, words))
    if not problems:
        for _, page in (one for found in pages.values() for one in found):
            refuse_unread(page, but=EXAMPLES)
    if problems:
        return None
    base = Rulebase(
        words=words,
        persons=persons,
        units=units,
        figures=figures,
        limits=limits,
        shakes=shakes,
        ride_next=ride_next,
        parts=parts,
        tools=tools,
        tool_roll=means.roll,
        tool_roll_asked=means.asked,
        covers=covers,
        areas=tuple(areas.values()),
        cautions=cautions,
        glossary=glossary,
        drawings=drawings,
        sheets=drawn,
        signs=_in_order(signs),
        readings=_in_order(readings),
        rules=_in_order(rules),
        causes=dict(sorted(causes.items(), key=lambda one: (one[1].place, one[0]))),
        checks=_in_order(checks),
        folders=tuple(map(str, folders)),
    )
    problems += whole.problems(base)
    return base


def _in_order(records: "dict[str, tables.R]") -> "dict[str, tables.R]":
    """Return records sorted by name, so that no rank depends on the order in the files."""
    return {name: records[name] for name in sorted(records)}


def _places(reader: _Reader, places: list[str]) -> None:
    """Note each page in a folder that is not a place."""
    for path, page in (one for kind in KINDS for one in reader.pages[kind]):
        if place_of(path) not in (*places, FELT):
            place, known = place_of(path), f"one of: {', '.join(places)}; or {FELT}"
            page.problems.append(
                Problem(str(path), 0, f"the folder '{place}' is not a place{nearest(place, places)}; {known}")
            )


def _sections(pages: Pages) -> dict[str, Pages]:
    """Return the two sections of the reading pages: what can be measured, and the rules about it."""
    found: dict[str, Pages] = {"readings": [], "rules": []}
    for path, page in pages:
        for name, node in page.fields(need=("readings",), may=("rules",), what="a page of readings").items():
            found[name].append((path, node))
    return found


def _cause_signs(pages: Pages, words: Words) -> dict[str, tuple[str, ...]]:
    """Return the id of every cause with the signs on its page; a later page of a cause replaces an earlier one."""
    found = [node.pairs() for _, node in pages]
    return {
        one["id"].text(): tuple(sorted(set(_signs_of(one["signs"], words)))) if "signs" in one else ()
        for one in found
        if "id" in one
    }


def _signs_of(node: Node, words: Words) -> Iterable[str]:
    """Return the signs that a page names, also one whose signs do not stand in groups yet: that is said elsewhere."""
    ungrouped = isinstance(node.value, dict) and not words.shows.keys() >= node.value.keys()
    return node.pairs() if ungrouped else _named(node)


def _named(node: Node) -> Iterator[str]:
    """Yield the names in the lists below a node, right or wrong."""
    match node.value:
        case str():
            yield node.value
        case list():
            below = node.value
        case dict():
            below = list(node.value.values())
    for one in () if isinstance(node.value, str) else below:
        yield from _named(one)


def _causes(reader: _Reader, read: "tables.Reader[Cause]") -> dict[str, Cause]:
    """Return the cause pages by id; a page is named after its cause and belongs in PLACE/causes/."""
    found: dict[str, Cause] = {}
    for path, node in reader.pages["causes"]:
        cause = read(place_of(path), node)
        if cause is None or not cause.id:
            continue
        if path.stem != cause.id:
            node.wrong(f"the page of '{cause.id}' must be called {cause.id}.yaml")
        earlier = found.get(cause.id)
        if earlier is not None and reader.root_of(Path(earlier.file)) == reader.root_of(path):
            node.wrong(f"'{cause.id}' has a page already: {earlier.file}")
        found[cause.id] = cause
    return found
