"""Units on input: a figure with its unit becomes a number in the unit of its reading.

The conversion factors come from the units library once, when the rule base is compiled. They are
stored with it, so reading a case does not import that library.
"""

import math
import re
from functools import cache
from typing import TYPE_CHECKING

import msgspec

from advisor.errors import nearest, shortened
from advisor.lazy import lazy

if TYPE_CHECKING:
    import pint
else:
    pint = lazy("pint")  # needed only when the rule base is compiled

# The word a mechanic writes, and the units library's name for it. The pressure of a column of another fluid
# needs the density of the fluid, so it is not a unit.
WORDS = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "thou": "thou",
    "ft": "foot",
    "kPa": "kilopascal",
    "hPa": "hectopascal",
    "mbar": "millibar",
    "bar": "bar",
    "psi": "psi",
    "mmHg": "mmHg",
    "cmHg": "cmHg",
    "inHg": "inHg",
    "rpm": "revolution / minute",
    "rpm/min": "revolution / minute ** 2",
    "ohm": "ohm",
    "kohm": "kiloohm",
    "Mohm": "megaohm",
    "V": "volt",
    "C": "degC",
    "F": "degF",
    "deg": "degree",
    "km/h": "kilometer / hour",
    "mph": "mile / hour",
    "ml": "milliliter",
    "tbsp": "tablespoon",
    "ml/min": "milliliter / minute",
    "g": "gram",
    "kg/m3": "kilogram / meter ** 3",
    "g/cm3": "gram / centimeter ** 3",
    "cSt": "centistokes",
    "min": "minute",
    "s": "second",
    "turns": "turn",
    "notches": "dimensionless",
    "%": "percent",
}
ALIASES = {"°C": "C", "°F": "F", "degC": "C", "degF": "F", "degrees": "deg", "°": "deg", "turn": "turns", '"': "in"}
ALIASES |= {"megohm": "Mohm", "megohms": "Mohm", "ohms": "ohm", "volts": "V", "volt": "V"}
ALIASES |= {f"{length}H2O": f"{length} of water" for length in ("mm", "cm", "in")}
ALIASES |= {f"{length} {fluid}": f"{length} of {fluid}" for length in ("mm", "cm", "in") for fluid in ("water", "oil")}
# The units library takes these for bare numbers or something else; to a mechanic they are not angles.
KINDS = {"turns": "turns", "notches": "notches", "%": "share", "deg": "angle", "rpm": "speed of rotation"}
KMH = 3.6  # km/h in 1 m/s
MMHG = 133.322_387_415  # Pa
GRAVITY = 9.80665  # m/s2, standard acceleration of free fall (ISO 80000-3)
# Columns of these fluids need no stated density, kg/m3: the conventional ones (ISO 80000-4), and light engine oil at
# room temperature (860 to 880 for most: common practice, no source).
FLUIDS = {"mercury": 13_595.1, "water": 1_000.0, "oil": 870.0}
COLUMN_READ = 0.010  # m: how closely both legs of a settled tube are read by eye; common practice, no source
SHOWN, MOST_DECIMALS = 3, 5  # three significant figures
FINE = {"V": 4}  # a battery's state of charge shows in hundredths of a volt
NUMBER = r"[-+]?[0-9]+(?:\.[0-9]+|/[1-9][0-9]*)?"  # 1050, 0.15 or 3/16
FIGURE = re.compile(
    rf"^(?P<figure>{NUMBER})"  # 1050 or 0.15
    rf"(?:\s*(?:\+/-|±)\s*(?P<give>[0-9]+(?:\.[0-9]+)?)|\s+to\s+(?P<upto>{NUMBER}))?"  # half-width, or a range
    r"\s*(?P<unit>[^\W\d].*|[%°\"].*)?$"
)
COLUMN = re.compile(rf"^(?P<length>\S+) of (?:(?P<fluid>[a-z]+)|(?P<density>{NUMBER})\s*(?P<unit>kg/m3|g/cm3))$")
COMMA = re.compile(r"^[-+]?[0-9][0-9.]*,[0-9]")


LONGEST = 100  # signs of a figure with its unit
MOST = 1e12  # in any unit: no figure on a bike comes near it, and sums of it stay exact enough
DENSITIES = (100.0, 25_000.0)  # kg/m3, of anything that stays in a tube


class Unit(msgspec.Struct, frozen=True):
    """One unit word: what it measures, and `figure * factor + offset` in that dimension's base unit."""

    dimension: str
    factor: float
    offset: float = 0.0


class Quantity(msgspec.Struct, frozen=True):
    """A figure in its reading's unit, how far it is trusted either way (0: not stated), and its unit as written.

    A range is kept as its middle and half its width, its `swing`.
    """

    value: float
    give: float = 0.0
    written: str = ""
    swing: float = 0.0


class Bounds(msgspec.Struct, frozen=True):
    """The least and the most that a figure can be, in a unit."""

    low: float
    high: float
    unit: str


# On any motorcycle: judgement.
ROAD_SPEED, ENGINE_SPEED = Bounds(1, 400, "km/h"), Bounds(100, 20_000, "rpm")
RATIO = (1.0, 50.0)  # engine turns for one turn of the rear wheel: judgement


def unit_table() -> dict[str, Unit]:
    """Return every unit word with its conversion, as the units library defines it."""
    return dict(_units())


@cache
def _units() -> dict[str, Unit]:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    table = {}
    for word, name in WORDS.items():
        zero = registry.Quantity(0.0, name).to_base_units()
        one = registry.Quantity(1.0, f"delta_{name}" if zero.magnitude else name).to_base_units()
        dimension = KINDS.get(word, str(one.dimensionality))
        table[word] = Unit(dimension, float(one.magnitude), float(zero.magnitude))
    return table


def unit_of(word: str, table: dict[str, Unit]) -> Unit | None:
    """Return the unit that a word means: one in the table, another spelling of it, or a column of fluid.

    A column is `mm of 860 kg/m3`, `in of water`: its pressure is density x gravity x height.
    """
    word = ALIASES.get(word, word)
    if word in table:
        return table[word]
    match = COLUMN.match(word)
    length = table.get(ALIASES.get(match["length"], match["length"])) if match else None
    if match is None or length is None or length.dimension != table["mm"].dimension:
        return None
    if match["fluid"]:
        density = FLUIDS.get(match["fluid"], 0.0)
    else:
        density = _number(match["density"]) * table[match["unit"]].factor
    return (
        Unit(table["kPa"].dimension, density * GRAVITY * length.factor)
        if DENSITIES[0] <= density <= DENSITIES[1]
        else None
    )


def units_like(unit: str, table: dict[str, Unit]) -> list[str]:
    """Return the unit words that measure what `unit` measures."""
    return [word for word, other in table.items() if other.dimension == table[unit].dimension]


def convert(figure: float, unit: str, to: str, table: dict[str, Unit]) -> float:
    """Return the figure in another unit of the same dimension."""
    have, want = unit_of(unit, table), unit_of(to, table)
    if have is None or want is None or have == want:
        return figure
    return (figure * have.factor + have.offset - want.offset) / want.factor


def widen(width: float, unit: str, to: str, table: dict[str, Unit]) -> float:
    """Return a difference or half-width in another unit of the same dimension: an offset does not apply."""
    have, want = unit_of(unit, table), unit_of(to, table)
    if have is None or want is None or have == want:
        return width
    return width * have.factor / want.factor


def _column_read(given: str, unit: Unit, table: dict[str, Unit]) -> float:
    """Return how far a column of a light fluid is trusted, in its own unit; 0 for mercury, or no column."""
    match = COLUMN.match(ALIASES.get(given, given))
    if match is None:
        return 0.0
    length = table[ALIASES.get(match["length"], match["length"])].factor
    return COLUMN_READ / length if unit.factor < FLUIDS["mercury"] * GRAVITY * length else 0.0


def parse(text: str, unit: str, table: dict[str, Unit]) -> Quantity | str:  # noqa: PLR0911 - one return a mistake
    """Return the quantity in `unit`, or one sentence saying what is wrong with the text.

    The text is a figure or range with a unit, and may have a half-width: `0.15 mm`, `300 +/- 10 rpm`,
    `20 to 30 mmHg`, `120 mm of 860 kg/m3`.
    """
    match = FIGURE.match(text.strip()) if len(text) <= LONGEST else None
    usual = f"write it like '12 {unit}'"
    if match is None:
        if COMMA.match(text.strip()):
            like = "write figures with a point and no thousands mark, like 0.15 mm or 1050 rpm"
            return f"'{shortened(text)}' has a comma; {like}"
        return f"'{shortened(text)}' is not a figure with a unit; {usual}"
    if match["unit"] is None:
        return f"'{text}' has no unit; {usual}"
    given = " ".join(match["unit"].split())
    known = unit_of(given, table)
    if known is None:
        if " of " in given and table[unit].dimension == table["kPa"].dimension:
            return f"'{given}' is not a column of fluid; write it like '120 mm of oil' or '120 mm of 860 kg/m3'"
        return f"'{given}' is not a unit known here{nearest(given, units_like(unit, table))}; {usual}"
    if known.dimension != table[unit].dimension:
        return f"'{given}' is the wrong kind of unit; one of: {', '.join(units_like(unit, table))}"
    figure, half, swing = _number(match["figure"]), float(match["give"] or _column_read(given, known, table)), 0.0
    if match["upto"]:
        upto = _number(match["upto"])
        if upto < figure:
            return f"'{text}' runs backwards; write the smaller figure first"
        figure, swing = (figure + upto) / 2, (upto - figure) / 2
    found = Quantity(
        value=convert(figure, given, unit, table),
        give=widen(half, given, unit, table),
        written=ALIASES.get(given, given),
        swing=widen(swing, given, unit, table),
    )
    if max(abs(found.value), found.give, found.swing) > MOST:
        return f"'{shortened(text)}' cannot be right; no figure here is that large"
    return found


def parse_within(text: str, bounds: Bounds, table: dict[str, Unit]) -> Quantity | str:
    """Return the quantity in the unit of its bounds, or one sentence saying what is wrong with the text."""
    found = parse(text, bounds.unit, table)
    if isinstance(found, Quantity) and not bounds.low <= found.value <= bounds.high:
        lies = f"{show(bounds.low, bounds.unit)} and {show(bounds.high, bounds.unit)}"
        return f"'{text}' cannot be right; it lies between {lies}"
    return found


def _number(text: str) -> float:
    over, _, under = text.partition("/")
    return float(over) / float(under) if under else float(over)


def show(value: float, unit: str) -> str:
    """Return a figure with its unit as usually written: three significant figures, no exponent."""
    size = abs(value)
    before = math.floor(math.log10(size)) if size > 0 and math.isfinite(size) else 0
    count = FINE.get(unit, SHOWN)
    text = f"{value:.{min(max(count - 1 - before, 0), MOST_DECIMALS)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {unit}"
