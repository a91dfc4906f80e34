"""What a repair cures, as its page says; and the parts without which a virtual bike cannot have a fault."""

from collections.abc import Collection, Mapping

from advisor.rulebase.model import Cause
from advisor.sides import Side, Sided

# Parts that a bike must have for this fault to be possible: kinds of parts by the rule base's names.
PARTS_OF: Mapping[str, Mapping[str, str]] = {
    "too-much-resistance": {"plugs": "resistor"},
    "coil-common-failing": {"coils": "double-ended"},
}


def parts_needed(cause: str) -> Mapping[str, str]:
    """Return the parts without which a bike cannot have this fault; none for most faults."""
    return PARTS_OF.get(cause, {})


def cured(repair: Cause, side: Side, faults: Collection[Sided]) -> frozenset[Sided]:
    """Return which of these faults a repair on its side cures: on either side if it is done to both at once."""
    names = {repair.id, *repair.also_cures}
    return frozenset(one for one in faults if one[0] in names and (repair.both_sides or one[1] == side))
