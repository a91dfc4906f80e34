"""Reads the pages of checks: a closed list of fields."""

from pathlib import Path

from advisor.rulebase.grammar import (
    NO_CONDITIONS,
    Names,
    conditions,
    involves,
    known,
    known_list,
    minutes,
    shown,
    texts,
)
from advisor.rulebase.model import ENGINE_STATES, Check, Outcome, Shown
from advisor.rulebase.source import place_of
from advisor.rulebase.table_records import Words
from advisor.yaml_nodes import Node, optional

CHECK_SIDES = {"one at a time": True, "once": False}
DRAWING = "drawing"
WHEN_ASKED = "only after", "first after", "not found"


def check(name: str, node: Node, names: Names, persons: tuple[str, ...], words: Words) -> Check | None:
    """Return one check."""
    need = ("title", "do", "sides", "who", "how", "minutes", "outcomes")
    may = ("say", "tools", "engine", "involves", "needs", "unless", "takes", "opens", "place", "cautions", DRAWING)
    fields = node.fields(need=need, may=(*may, *WHEN_ASKED), what="a check")
    if not set(need) <= set(fields):
        return None
    sided = CHECK_SIDES.get(fields["sides"].word(CHECK_SIDES, "choice of sides"), False)
    return Check(
        id=name,
        file=node.file,
        line=node.line,
        title=fields["title"].text(),
        say=optional(fields, "say", Node.text, ""),
        steps=texts(fields["do"]),
        sided=sided,
        who=fields["who"].word(persons, "person"),
        how=fields["how"].word(words.trust, "word for how it is known"),
        tools=optional(fields, "tools", lambda one: known_list(one, names.tools, "tool"), ()),
        minutes=minutes(fields["minutes"]),
        engine=fields["engine"].word(ENGINE_STATES, "state of the engine") if "engine" in fields else "any",
        involves=optional(fields, "involves", involves, ()),
        place=optional(fields, "place", Node.text, place_of(Path(node.file))),
        needs=optional(fields, "needs", lambda one: conditions(one, names), NO_CONDITIONS),
        unless=optional(fields, "unless", lambda one: conditions(one, names), NO_CONDITIONS),
        only_after=optional(fields, "only after", lambda one: known_list(one, names.signs, "sign"), ()),
        first_after=optional(fields, "first after", lambda one: known_list(one, names.signs, "sign"), ()),
        not_found=optional(fields, "not found", lambda one: one.word(words.trust, "word for how it is known"), ""),
        drawing=optional(fields, DRAWING, lambda one: known(one, names.drawings, "drawing"), ""),
        takes=optional(fields, "takes", lambda one: known_list(one, names.readings, "reading"), ()),
        opens=optional(fields, "opens", lambda one: known(one, names.covers, "cover"), ""),
        cautions=optional(fields, "cautions", lambda one: known_list(one, names.cautions, "caution"), ()),
        outcomes=tuple(
            found for found in (_outcome(item, sided, names) for item in fields["outcomes"].items()) if found
        ),
    )


def _outcome(node: Node, sided: bool, names: Names) -> Outcome | None:
    fields = node.fields(need=("says", "shows"), what="an outcome")
    if len(fields) < 2:  # noqa: PLR2004 - says and shows
        return None
    settles = shown(fields["shows"], names)
    return Outcome(says=fields["says"].text(), either_side=not sided and _one_sided(settles), shows=settles)


def _one_sided(settles: tuple[Shown, ...]) -> bool:
    """Whether the outcome differs between left and right."""
    swap = {"this": "other", "other": "this"}
    mirrored = {(one.sign, swap.get(one.bearing, "none"), one.seen) for one in settles}
    return mirrored != {(one.sign, one.bearing, one.seen) for one in settles}
