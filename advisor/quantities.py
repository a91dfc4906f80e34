"""Units at the edge: a figure with its unit becomes a number in the unit its reading is kept in.

The conversion figures come from the units library, once, when the rule base is compiled; they are
kept with it, so that reading a case does not import that library.
"""

import re

import msgspec

from advisor.errors import nearest

# The word a mechanic writes, and what the units library calls it. Pressure of a fluid column other
# than mercury or water needs its density, and is not a unit.
WORDS = {
    "mm": "millimeter",
    "cm": "centimeter",
    "in": "inch",
    "thou": "thou",
    "kPa": "kilopascal",
    "bar": "bar",
    "psi": "psi",
    "mmHg": "mmHg",
    "cmHg": "cmHg",
    "inHg": "inHg",
    "rpm": "revolution / minute",
    "ohm": "ohm",
    "kohm": "kiloohm",
    "V": "volt",
    "C": "degC",
    "F": "degF",
    "deg": "degree",
    "km/h": "kilometer / hour",
    "mph": "mile / hour",
    "ml/min": "milliliter / minute",
    "g": "gram",
    "min": "minute",
    "s": "second",
    "turns": "turn",
    "%": "percent",
}
FIGURE = re.compile(
    r"^(?P<figure>[-+]?[0-9]+(?:\.[0-9]+)?)"  # 1050 or 0.15
    r"(?:\s*(?:\+/-|±)\s*(?P<give>[0-9]+(?:\.[0-9]+)?))?"  # how far it is trusted
    r"\s*(?P<unit>[^\W\d].*|%)?$"
)
COMMA = re.compile(r"^[-+]?[0-9][0-9.]*,[0-9]")


class Unit(msgspec.Struct, frozen=True):
    """One unit word: what it measures, and `figure * factor + offset` in that dimension's base unit."""

    dimension: str
    factor: float
    offset: float = 0.0


class Quantity(msgspec.Struct, frozen=True):
    """A figure in its reading's own unit, how far it is trusted either way (0: not told), and its unit as written."""

    value: float
    give: float = 0.0
    written: str = ""


def unit_table() -> dict[str, Unit]:
    """Return every unit word with its conversion, as the units library defines it."""
    import pint  # noqa: PLC0415 - slow to import; needed only when the rule base is compiled

    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    table = {}
    for word, name in WORDS.items():
        zero = registry.Quantity(0.0, name).to_base_units()
        one = registry.Quantity(1.0, f"delta_{name}" if zero.magnitude else name).to_base_units()
        # The library counts turns and percent as bare numbers; a turn is no angle to a mechanic.
        dimension = {"turns": "turns", "%": "share", "deg": "angle"}.get(word, str(one.dimensionality))
        if word == "rpm":
            dimension = "speed of rotation"
        table[word] = Unit(dimension, float(one.magnitude), float(zero.magnitude))
    return table


def units_like(unit: str, table: dict[str, Unit]) -> list[str]:
    """Return the unit words that measure what `unit` measures."""
    return [word for word, other in table.items() if other.dimension == table[unit].dimension]


def convert(figure: float, unit: str, to: str, table: dict[str, Unit]) -> float:
    """Return the figure in another unit of the same dimension."""
    if unit == to:
        return figure
    have, want = table[unit], table[to]
    return (figure * have.factor + have.offset - want.offset) / want.factor


def widen(width: float, unit: str, to: str, table: dict[str, Unit]) -> float:
    """Return a difference or half-width in another unit of the same dimension: it has no zero point."""
    return width if unit == to else width * table[unit].factor / table[to].factor


def parse(text: str, unit: str, table: dict[str, Unit]) -> Quantity | str:
    """Return the quantity in `unit`, or one sentence that says what is wrong with the text.

    The text is a figure and a unit, perhaps with a half-width: `0.15 mm`, `300 +/- 10 rpm`.
    """
    match = FIGURE.match(text.strip())
    usual = f"write it like '12 {unit}'"
    if match is None:
        if COMMA.match(text.strip()):
            return f"'{text}' has a comma; write figures with a point and no thousands mark, like 0.15 mm or 1050 rpm"
        return f"'{text}' is no figure with a unit; {usual}"
    given = match["unit"]
    if given is None:
        return f"'{text}' has no unit; {usual}"
    given = given.strip()
    if given not in table:
        return f"'{given}' is no unit known here{nearest(given, table)}; {usual}"
    if table[given].dimension != table[unit].dimension:
        return f"'{given}' is the wrong kind of unit; one of: {', '.join(units_like(unit, table))}"
    value = convert(float(match["figure"]), given, unit, table)
    give = widen(float(match["give"] or 0.0), given, unit, table)
    return Quantity(value, give, given)


def show(value: float, unit: str) -> str:
    """Return a figure with its unit as one writes it: three figures that count, no exponent."""
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2  # noqa: PLR2004 - three figures that count
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {unit}"
