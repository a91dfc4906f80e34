"""Readings in a case file: one figure, repeats, a range, a pair of feeler gauges, or one side's surplus."""

from advisor.case import Measured
from advisor.quantities import Quantity, parse, show
from advisor.rulebase.grammar import known_key
from advisor.rulebase.model import Reading, Rulebase
from advisor.sides import BOTH, Side
from advisor.yaml_nodes import Node

STALLS = "stalls"
GOES, STOPS = "goes", "does not go"
SURPLUS = {"left more by": ("left", 1), "right more by": ("right", 1)}
MOST_REPEATS = 50
SWING_SHARE = 0.5  # a swinging needle is read at its middle and trusted within half of half its swing; judgement


def parse_measured(node: Node, base: Rulebase) -> list[Measured]:
    """Return the readings of a `measured` mapping; mistakes are noted."""
    found: list[Measured] = []
    for name, given in node.pairs().items():
        if known_key(name, node, base.readings, "reading", base.readings):
            found += _reading(base.readings[name], given, base)
    return found


def _reading(reading: Reading, node: Node, base: Rulebase) -> list[Measured]:
    usual = f"12 {reading.unit}"
    if not reading.sided:
        if isinstance(node.value, dict) and {"left", "right", *SURPLUS} & set(node.value):
            node.wrong(f"'{reading.id}' has no sides; write '{reading.id}: {usual}'")
            return []
        return _side(reading, None, node, base)
    if not isinstance(node.value, dict):
        node.wrong(f"'{reading.id}' is measured on a side; write '{reading.id}: {{left: {usual}, right: {usual}}}'")
        return []
    found: list[Measured] = []
    fields = node.fields(may=(*BOTH, *SURPLUS), what=f"'{reading.id}'")
    if not node.value:
        node.wrong(f"'{reading.id}' has no figure; write '{reading.id}: {{left: {usual}, right: {usual}}}'")
    if len(set(fields) & set(SURPLUS)) > 1 or (set(fields) & set(SURPLUS) and set(fields) & set(BOTH)):
        node.wrong(f"'{reading.id}': give both sides, or which side has more and by how much, not both")
        return []
    for side in BOTH:
        if side in fields:
            found += _side(reading, side, fields[side], base)
        if f"{side} more by" in fields:
            found += _side(reading, side, fields[f"{side} more by"], base, over_other=True)
    return found


def _side(reading: Reading, side: Side, node: Node, base: Rulebase, *, over_other: bool = False) -> list[Measured]:
    if isinstance(node.value, dict):
        return _feeler(reading, side, node, base)
    items = node.items() if isinstance(node.value, list) else [node]
    if not 0 < len(items) <= MOST_REPEATS:
        node.wrong(f"1 to {MOST_REPEATS} repeats are needed here")
        return []
    stalls = [item for item in items if item.says(STALLS)]
    if stalls and not reading.stalls:
        stalls[0].wrong(f"only a drop in revs can end in a stall; write '12 {reading.unit}'")
        return []
    figures = [_figure(reading, item, base, signed=over_other) for item in items if item.value != STALLS]
    if any(one is None for one in figures):
        return []
    known = [one for one in figures if one is not None]
    written = tuple(str(item.value) for item in items)
    give = max((max(one.give, reading.give if not one.give else 0.0) for one in known), default=reading.give)
    swing = max((one.swing for one in known), default=0.0)
    return [
        Measured(
            reading=reading.id,
            side=side,
            values=tuple(one.value for one in known),
            give=(give**2 + (SWING_SHARE * swing) ** 2) ** 0.5,
            given=", ".join(written),
            written=written,
            unit=known[0].written if known else reading.unit,
            stalls=len(stalls),
            over_other=over_other,
            line=node.line,
        )
    ]


def _feeler(reading: Reading, side: Side, node: Node, base: Rulebase) -> list[Measured]:
    """Return the reading from a go and a no-go gauge: the figure lies between them."""
    fields = node.fields(need=(GOES, STOPS), what=f"a gauge pair for '{reading.id}'")
    if len(fields) < 2:  # noqa: PLR2004 - the pair
        return []
    goes, stops = (_figure(reading, fields[name], base) for name in (GOES, STOPS))
    if goes is None or stops is None:
        return []
    if goes.value >= stops.value:
        node.wrong(
            f"what goes in must be thinner than what does not; {fields[GOES].value} is not under {fields[STOPS].value}"
        )
        return []
    written = (str(fields[GOES].value), str(fields[STOPS].value))
    bounds = (goes.value, stops.value)
    return [
        Measured(
            reading=reading.id,
            side=side,
            values=(),
            give=0.0,
            given=f"{written[0]} goes, {written[1]} does not",
            written=written,
            unit=goes.written,
            bounds=bounds,
            line=node.line,
        )
    ]


def _figure(reading: Reading, node: Node, base: Rulebase, *, signed: bool = False) -> Quantity | None:
    """Return one figure if it is plausible, else note why not."""
    text = node.text()
    if not text:
        return None
    quantity = parse(text, reading.unit, base.units)
    if isinstance(quantity, str):
        node.wrong(quantity)
        return None
    lowest = 0.0 if signed else reading.lowest
    highest = reading.highest - reading.lowest if signed else reading.highest
    if not lowest <= quantity.value <= highest:
        bounds = f"{show(lowest, reading.unit)} and {show(highest, reading.unit)}"
        node.wrong(f"'{text}' cannot be right for '{reading.id}'; it lies between {bounds}")
        return None
    return quantity
