"""Reads what can be measured, on the pages of readings: a closed list of fields."""

from typing import get_args

from advisor.quantities import Unit
from advisor.rulebase.grammar import OTHER, SIDE, known, on_sides, one_figure, sentence, texts
from advisor.rulebase.model import Logged, Reading
from advisor.rulebase.table_records import Limit
from advisor.yaml_nodes import Node, optional

HIGHER, NEITHER = "higher", "neither"
PICTURES = (HIGHER, "level")
NO_PICTURE: dict[str, str] = {}
NOT_LOGGED: dict[Logged, str] = {}


def reading(name: str, node: Node, units: dict[str, Unit], limits: dict[str, Limit]) -> Reading:
    """Return one kind of reading, with defaults for wrong fields."""
    fields = node.fields(
        need=("title", "unit", "sides", "plausible", "taken"),
        may=(
            "trusted within",
            "instrument",
            "stalls",
            "hoses exchanged of",
            "zeroed by",
            "adds up",
            "from low to high",
            "also",
            "picture",
            "nothing below",
            "take again",
            "in a log",
            "question",
        ),
        what="a reading",
    )
    unit = optional(fields, "unit", lambda one: one.word(units, "unit"), "")
    lowest, highest = optional(fields, "plausible", lambda one: _bounds(one, unit), (0.0, 0.0))
    return Reading(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        unit=unit,
        sided=optional(fields, "sides", on_sides, False),
        lowest=lowest,
        highest=highest,
        give=optional(fields, "trusted within", lambda one: _give(one, unit, units), 0.0) if unit else 0.0,
        instrument=optional(fields, "instrument", lambda one: _give(one, unit, units), 0.0) if unit else 0.0,
        stalls=optional(fields, "stalls", lambda one: _give(one, unit, units), 0.0) if unit else 0.0,
        exchanges=optional(fields, "hoses exchanged of", Node.text, ""),
        zeroed_by=optional(fields, "zeroed by", Node.text, ""),
        adds=optional(fields, "adds up", texts, ()),
        range_is=optional(fields, "from low to high", Node.text, ""),
        picture=optional(fields, "picture", _picture, NO_PICTURE),
        also=optional(fields, "also", texts, ()),
        nothing_below=optional(fields, "nothing below", lambda one: known(one, limits, "limit"), ""),
        take_again=optional(fields, "take again", lambda one: sentence(one, ()), ""),
        in_a_log=optional(fields, "in a log", _in_a_log, NOT_LOGGED),
        taken=optional(fields, "taken", Node.text, ""),
        question=optional(fields, "question", Node.text, ""),
    )


def _picture(node: Node) -> dict[str, str]:
    """Return what a difference between the sides means: `higher` for the side that has more, else `level`.

    `neither` is what to ask if the engine runs but neither side has anything.
    """
    fields = node.fields(need=PICTURES, may=(NEITHER,), what="the picture")
    return {name: sentence(one, (SIDE, OTHER) if name == HIGHER else ()) for name, one in fields.items()}


def _in_a_log(node: Node) -> dict[Logged, str]:
    """Return what to say about each way the idle misbehaves in a recorded log."""
    fields = node.fields(may=get_args(Logged), what="what an idle does in a log")
    return {word: sentence(fields[word], ()) for word in get_args(Logged) if word in fields}


def _bounds(node: Node, unit: str) -> tuple[float, float]:
    bounds = [item.number() for item in node.items()]
    if len(bounds) != 2 or bounds[0] >= bounds[1]:  # noqa: PLR2004 - lowest and highest
        node.wrong(f"write the lowest and the highest believable figure in {unit}, like [0, 6000]")
        return 0.0, 0.0
    return bounds[0], bounds[1]


def _give(node: Node, unit: str, units: dict[str, Unit]) -> float:
    return one_figure(node, units, unit) or 0.0
