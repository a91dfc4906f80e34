"""What is known about the virtual bike before anyone touches it: its parts, and its handbook's figures."""

from collections.abc import Iterable

from advisor.case import Bike
from advisor.observer.readings_taken import SHEET
from advisor.quantities import convert
from advisor.rulebase.model import Rulebase
from advisor.scoring.repairs import parts_needed

# What every virtual bike is built with, unless its fault needs another part; by the rule base's names.
PARTS = {
    "plugs": "plain",
    "caps": "resistor",
    "mixture-screw": "fuel",
    "vacuum-ports": "fitted",
    "secondary-air": "none",
    "ignition": "points",
    "coils": "separate",
}


def as_built(base: Rulebase, faults: Iterable[str]) -> Bike:
    """Return a bike with these faults (causes without their sides) as the rule base takes it."""
    return Bike(parts=parts(faults), figures=sheet(base))


def parts(faults: Iterable[str]) -> dict[str, str]:
    """Return the kinds of parts of a bike with these faults."""
    found = dict(PARTS)
    for cause in faults:
        found |= parts_needed(cause)
    return found


def sheet(base: Rulebase) -> dict[str, tuple[float, float]]:
    """Return the virtual bike's own figures, lowest and highest, in the rule base's units."""
    found = {}
    for name, (low, high, unit) in SHEET.items():
        to = base.figures[name].unit
        found[name] = (convert(low, unit, to, base.units), convert(high, unit, to, base.units))
    return found
