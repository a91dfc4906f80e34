"""What a mechanic knows of repairs and parts, for the virtual bike: each table is read through one function only."""

from collections.abc import Collection, Mapping

from advisor.sides import Sided

# What one repair puts right besides, on its side. A new plug is neither fouled nor wrong in its gap; points are set
# together with the timing; slack and mixture are set as a whole.
ALSO_CURES: Mapping[str, frozenset[str]] = {
    "plug-dead": frozenset({"plug-fouled", "plug-gap-wrong"}),
    "lead-damaged": frozenset({"cap-or-lead-failing"}),
    "cable-slack-unequal": frozenset({"no-cable-slack"}),
    "no-cable-slack": frozenset({"cable-slack-unequal"}),
    "points-burnt": frozenset({"points-gap-wrong", "timing-wrong"}),
    "points-gap-wrong": frozenset({"timing-wrong"}),
    "timing-wrong": frozenset({"points-gap-wrong"}),
    # the clearances are set first, and once more with the head back on
    "compression-lost": frozenset({"clearance-tight", "clearance-wide"}),
    "clearance-wide": frozenset({"clearance-tight"}),
    "clearance-tight": frozenset({"clearance-wide"}),
    "set-too-cold": frozenset({"set-too-hot", "out-of-adjustment"}),
    "set-too-hot": frozenset({"set-too-cold", "out-of-adjustment"}),
    "out-of-adjustment": frozenset({"set-too-cold", "set-too-hot"}),
}
# Repairs done to both sides, as their pages say: a new pair of plugs, both gaps, all clearances, both cables alike.
ON_BOTH_SIDES = frozenset({"plug-dead", "plug-gap-wrong", "clearance-tight", "cable-slack-unequal", "no-cable-slack"})
# Parts that a bike must have for this fault to be possible: kinds of parts by the rule base's names.
PARTS_OF: Mapping[str, Mapping[str, str]] = {
    "too-much-resistance": {"plugs": "resistor"},
    "coil-common-failing": {"coils": "double-ended"},
}


def cures(cause: str) -> frozenset[str]:
    """Return the causes that are cured by putting this one right: itself first of all."""
    return ALSO_CURES.get(cause, frozenset()) | {cause}


def done_on_both_sides(cause: str) -> bool:
    """Whether putting this cause right is work on both sides, whichever side it was found on."""
    return cause in ON_BOTH_SIDES


def parts_needed(cause: str) -> Mapping[str, str]:
    """Return the parts without which a bike cannot have this fault; none for most faults."""
    return PARTS_OF.get(cause, {})


def cured(repair: Sided, faults: Collection[Sided]) -> frozenset[Sided]:
    """Return which of these faults a repair on its side cures."""
    cause, side = repair
    names = cures(cause)
    return frozenset(one for one in faults if one[0] in names and (one[1] == side or done_on_both_sides(cause)))
