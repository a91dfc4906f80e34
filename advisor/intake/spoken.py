"""Readings as typed on a command line: `left 200 rpm, 210 rpm right 280 rpm`.

Anything with only one meaning is accepted: l and r, a range with a dash, 1 1/2, thousands with a comma, and a unit
written once for all, or left out if only one is possible. Anything else is refused, with the right form shown.
"""

import re
from collections.abc import Iterator

from advisor.case import Measured
from advisor.errors import AdvisorError, CaseError, Problem, shortened
from advisor.intake.figures import GOES, STALLS, STOPS, parse_measured
from advisor.quantities import FIGURE, parse, units_like
from advisor.rulebase.model import Reading, Rulebase
from advisor.sides import BOTH
from advisor.yaml_nodes import Node

SIDES = re.compile(
    r"(?<![^\s,;:])(?P<side>left|right|l|r)(?P<more>\s+more\s+by)?(?![^\s:=,;])", re.IGNORECASE
)  # a separate word
SIDES_BEHIND = re.compile(
    r"(?:\s+(?:on|at|for|of))?(?:\s+the)?\s+(?P<side>left|right|l|r|both(?: sides)?|each(?: side)?|either side)"
    r"(?: side| one)?\s*(?:$|,\s*(?:and\s+|but\s+)?|;\s*|\s+(?:and|but)\s+|\s+(?=[-+]?\d))",
    re.IGNORECASE,
)
IN_ORDER = re.compile(
    r"^(?P<left>\d[\d.]*)(?:,| and|/)\s*(?P<right>\d[\d.]*)\s*(?P<unit>[^\d\s,]*),?\s+left(?:,| and|/)\s*right\W*$",
    re.IGNORECASE,
)
JOINS = " ,:;=\t\n"
IN_FRONT_OF_BOTH = re.compile(r"^(?:both|each|either)(?: sides?)?(?: are| is| at)?[ :]+(?=[-+]?\d)", re.IGNORECASE)
PAIR = re.compile(rf"^{GOES} (?P<goes>.+?),? (?:{STOPS}|stops) (?P<stops>.+)$")
MIXED = re.compile(
    r"(?<![\d./])(?P<whole>[0-9]{1,9})[ -](?P<over>[0-9]{1,9})/(?P<under>[1-9][0-9]{0,8})(?![\d/])"
)  # 1 1/2
DASH = re.compile(
    r"(?<![\d./-])(?P<low>\d+(?:\.\d+)?)(?:-|\u2013| - | \u2013 )(?P<high>\d+(?:\.\d+)?)(?![\d/])"
)  # 20-30, or with a long dash
COMMAS = re.compile(r"(?<![\d.,])(?P<figure>\d+(?:,\d+)+(?:\.\d+)?)(?=(?P<unit>[^,]*))")
THOUSANDS = re.compile(r"^[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?$")
NO_PATH = re.compile(r"\b(?:(?<!wide )open(?: circuit)?|infinit[ey]|overload|o\.?l)\b|∞", re.IGNORECASE)
NEXT_FIGURE = re.compile(r"(?<=[^\s,]) +(?=[-+]?\d)")
COLUMN_OF = re.compile(r"\bof \d")
STALLED = {"stall", "stalled", STALLS}
LONGEST = 1_000  # signs: dozens of repeats
WHERE = "what was given"


def spoken(name: str, words: str, base: Rulebase) -> list[Measured]:
    """Return the readings in a line of words. Raises CaseError when they do not make a reading."""
    if len(words) > LONGEST:
        msg = f"this is {len(words):,} signs long; the figures of one reading take {LONGEST:,} at most"
        raise AdvisorError(msg)
    problems: list[Problem] = []
    reading = base.readings.get(name)
    text = _tidied(words, reading, base)
    first, sides = _by_side(text)
    value: Node
    if not sides and reading and reading.sided:
        msg = f"'{name}' is measured on a side; write '{name} left {first} right ...', or one side alone"
        raise AdvisorError(msg)
    if sides and first:
        msg = f"'{first}' stands before any side; write '{name} left ... right ...'"
        raise AdvisorError(msg)
    unit = _unit([one for part in (sides.values() if sides else [first]) for one in _leaves(part)], reading, base)
    if sides:
        value = _mapping({side: _value(part, unit, problems) for side, part in sides.items()}, problems)
    else:
        value = _value(first, unit, problems)
    found = parse_measured(_mapping({name: value}, problems), base)
    if problems:
        raise CaseError(sorted(set(problems)))
    return found


def _by_side(text: str) -> tuple[str, dict[str, str]]:
    """Return the text before any side, and the text after each side; before each, where sides stand after figures."""
    if behind := _sides_behind(text):
        return "", behind
    marks = list(SIDES.finditer(text))
    ends = [*(one.start() for one in marks), len(text)]
    sides: dict[str, str] = {}
    for mark, end in zip(marks, ends[1:], strict=True):
        side = {"l": "left", "r": "right"}[mark["side"][0].lower()] + (" more by" if mark["more"] else "")
        if side in sides:
            msg = f"'{side}' is given twice; separate repeats with commas, like: {side} 200 rpm, 210 rpm"
            raise AdvisorError(msg)
        sides[side] = _stripped(text[mark.end() : end])
    return _stripped(text[: ends[0]]), sides


def _sides_behind(text: str) -> dict[str, str]:
    """Return the text before each side, if each stands after its figure: '24 mm left, 22 mm on the right'."""
    if in_order := IN_ORDER.match(text):
        unit = in_order["unit"]
        return {"left": f"{in_order['left']} {unit}".strip(), "right": f"{in_order['right']} {unit}".strip()}
    parts = SIDES_BEHIND.split(text)
    *figures, end = parts[::2]
    if end or not figures or not all(re.match(r"[-+]?\d", one.lstrip(JOINS)) for one in figures):
        return {}
    named = parts[1::2]
    if any(one[0].lower() in "be" for one in named):  # both, each, either
        return dict.fromkeys(BOTH, _stripped(figures[0])) if len(figures) == 1 else {}
    sides = ["left" if one[0].lower() == "l" else "right" for one in named]
    if len(set(sides)) < len(sides):
        return {}
    return dict(zip(sides, (one.strip(JOINS) for one in figures), strict=True))


def _stripped(text: str) -> str:
    return text.strip(JOINS)


def _tidied(words: str, reading: Reading | None, base: Rulebase) -> str:
    """Return the words with figures in standard form: 1.5 for 1 1/2, 20 to 30 for 20-30, 1050 for 1,050.

    An open or infinite resistance becomes the highest value of the reading.
    """
    if reading is not None and is_resistance(reading, base):
        words = NO_PATH.sub(f"{reading.highest:.0f} {reading.unit}", words)  # the most a meter can show
    words = IN_FRONT_OF_BOTH.sub("", words) + " both" if IN_FRONT_OF_BOTH.match(words) else words
    text = COMMAS.sub(lambda found: _no_comma(found, reading, base), words)
    text = MIXED.sub(_decimal, text)
    return DASH.sub(r"\g<low> to \g<high>", text)


def is_resistance(reading: Reading, base: Rulebase) -> bool:
    """Whether a reading is a resistance, which may be open."""
    return base.units[reading.unit].dimension == base.units["ohm"].dimension


def _decimal(found: re.Match[str]) -> str:
    over, under = int(found["over"]), int(found["under"])
    return f"{int(found['whole']) + over / under:.6g}" if over < under else found[0]


def _no_comma(found: re.Match[str], reading: Reading | None, base: Rulebase) -> str:
    """Return a figure without its thousands mark, if the result is plausible."""
    figure = found["figure"]
    plain = figure.replace(",", "")
    if reading is not None and THOUSANDS.match(figure):
        unit = SIDES.split(found["unit"])[0].strip() or reading.unit
        quantity = parse(f"{plain} {unit}", reading.unit, base.units)
        if not isinstance(quantity, str) and reading.lowest <= quantity.value <= reading.highest:
            return plain
    point = figure.replace(",", ".", 1)
    msg = f"'{figure}' has a comma inside; use a point, like {point}; repeats are separated by a comma and a space"
    raise AdvisorError(msg)


def _leaves(text: str) -> Iterator[str]:
    """Yield every figure of one side, as written."""
    pair = PAIR.match(text)
    for part in (pair["goes"], pair["stops"]) if pair else (text,):
        yield from (_stripped(one) for one in part.split(","))


def _unit(leaves: list[str], reading: Reading | None, base: Rulebase) -> str:
    """Return the unit for a figure without one: the unit written with the others, or the only possible one."""
    if reading is None:
        return ""
    written = {match["unit"] for one in leaves if (match := FIGURE.match(one)) and match["unit"]}
    if written:
        return written.pop() if len(written) == 1 else ""
    possible = units_like(reading.unit, base.units)
    return reading.unit if possible == [reading.unit] else ""


def _mapping(pairs: dict[str, Node], problems: list[Problem]) -> Node:
    node = Node(pairs, WHERE, 0, problems)
    node.keys = dict.fromkeys(pairs, 0)
    return node


def _value(text: str, unit: str, problems: list[Problem]) -> Node:
    pair = PAIR.match(text)
    if pair:
        parts = {GOES: pair["goes"], STOPS: pair["stops"]}
        return _mapping({key: _value(part, unit, problems) for key, part in parts.items()}, problems)
    items = [Node(_figure(_stripped(one), unit), WHERE, 0, problems) for one in text.split(",")]
    return items[0] if len(items) == 1 else Node(items, WHERE, 0, problems)


def _figure(text: str, unit: str) -> str:
    """Return one figure with its unit. Raises AdvisorError for two figures without a comma between them."""
    if text.lower() in STALLED:
        return STALLS
    match = FIGURE.match(text)
    if match and not match["unit"] and unit:
        return f"{text} {unit}"
    several = match is None or (match["unit"] and NEXT_FIGURE.search(match["unit"]) and not COLUMN_OF.search(text))
    if several and text[:1].isdigit() and NEXT_FIGURE.search(text):
        apart = NEXT_FIGURE.sub(", ", text)
        msg = f"'{shortened(text)}' is more than one figure; separate repeats with commas, like '{shortened(apart)}'"
        raise AdvisorError(msg)
    return text
