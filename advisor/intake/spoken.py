"""Readings as one types them on a command line: `left 200 rpm, 210 rpm right 280 rpm`."""

import re

from advisor.errors import AdvisorError, CaseError, Problem
from advisor.intake.figures import GOES, STOPS, parse_measured
from advisor.pages import Node
from advisor.records import Measured
from advisor.rulebase.model import Rulebase

SIDES = re.compile(r"\b(left more by|right more by|left|right)\b")
PAIR = re.compile(rf"^{GOES} (?P<goes>.+?),? (?:{STOPS}|stops) (?P<stops>.+)$")
WHERE = "what was given"


def spoken(name: str, words: str, base: Rulebase) -> list[Measured]:
    """Return the readings in a line of words. Raises CaseError where they do not make a reading."""
    problems: list[Problem] = []
    parts = [part.strip(" ,:") for part in SIDES.split(words)]
    value: Node
    if len(parts) == 1 and name in base.readings and base.readings[name].sided:
        msg = f"'{name}' is measured on a side; write '{name} left {parts[0]} right ...', or one side alone"
        raise AdvisorError(msg)
    if len(parts) == 1:
        value = _value(parts[0], problems)
    elif parts[0]:
        msg = f"'{parts[0]}' stands before any side; write '{name} left ... right ...'"
        raise AdvisorError(msg)
    else:
        sides: dict[str, Node] = {}
        for side, text in zip(parts[1::2], parts[2::2], strict=True):
            if side in sides:
                msg = f"'{side}' stands twice; part repeats with commas, like: {side} 200 rpm, 210 rpm"
                raise AdvisorError(msg)
            sides[side] = _value(text, problems)
        value = _mapping(sides, problems)
    found = parse_measured(_mapping({name: value}, problems), base)
    if problems:
        raise CaseError(sorted(set(problems)))
    return found


def _mapping(pairs: dict[str, Node], problems: list[Problem]) -> Node:
    node = Node(pairs, WHERE, 0, problems)
    node.keys = dict.fromkeys(pairs, 0)
    return node


def _value(text: str, problems: list[Problem]) -> Node:
    pair = PAIR.match(text)
    if pair:
        return _mapping({GOES: _value(pair["goes"], problems), STOPS: _value(pair["stops"], problems)}, problems)
    items = [Node(one.strip(), WHERE, 0, problems) for one in text.split(",")]
    return items[0] if len(items) == 1 else Node(items, WHERE, 0, problems)
