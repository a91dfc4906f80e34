"""The figures in the virtual bike's handbook."""

import msgspec

from advisor.observer.readings_taken import SHEET
from advisor.quantities import convert
from advisor.rulebase.model import Rulebase


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """The handbook's range for a figure: from `low` to `high`, both in `unit`."""

    low: float
    high: float
    unit: str


def asked(name: str, base: Rulebase, unit: str = "") -> Asked | None:
    """Return the handbook's range for a figure, in this unit ('' for the handbook's own); None if it has none."""
    if name not in SHEET:
        return None
    low, high, own = SHEET[name]
    unit = unit or own
    return Asked(low=convert(low, own, unit, base.units), high=convert(high, own, unit, base.units), unit=unit)


def figures(base: Rulebase) -> list[tuple[str, Asked]]:
    """Return every figure of the handbook: its title, and its range."""
    found = ((base.figures[name].title, asked(name, base)) for name in SHEET)
    return [(title, one) for title, one in found if one]
