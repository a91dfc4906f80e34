"""What to do next about a figure that is over or under its limit, by the limit: one step, for `advisor measure`.

All of it is common practice, no source. A limit that only some shop's own pages know has no step here.
"""

from collections.abc import Iterable

from advisor.sides import BOTH, Side, Sided, fill

STEPS = {
    "idle-fastest": (
        "See that no cable is tight, then back both idle stops out by equal parts until it idles at its figure."
    ),
    "idle-slowest": "Open both idle stops by equal parts until it idles at its figure.",
    "drop-none": (
        "The {side} cylinder does nothing at idle. Look at its spark, then its compression; turn no screw before that."
    ),
    "depression-least": (
        "On the {side} there is little depression. See that hose and port let it through; then look for air that "
        "comes in behind the butterfly, a late spark and tight valves."
    ),
    "instrument-apart": (
        "The instrument itself reads more on one leg. Set its zero, or take this off, before you trust it on the stops."
    ),
    "slack-least": "Screw the {side} cable's adjuster in until there is slack as its figure says.",
    "slack-most": "Screw the {side} cable's adjuster out until there is slack as its figure says.",
    "stop-base-least": (
        "Look on the {side} for air that comes in past the butterfly before you turn the stop back to its base."
    ),
    "stop-base-most": (
        "Look for what the {side} lacks at idle (spark, compression, mixture) before you turn the stop back to its "
        "base."
    ),
    "mixture-base-least": "Look on the {side} for what makes it rich at idle, then set the screw to its base.",
    "mixture-base-most": (
        "Look on the {side} for air that leaks in and for a blocked idle jet, then set the screw to its base."
    ),
    "screw-moved": (
        "Set the {side} screw back to where it was left, see that its spring holds, and count it again after a ride."
    ),
    "clearance-moved": (
        "Set it, ride it, and measure again cold: a valve that moves again sinks, or its adjuster does not hold."
    ),
    "fuel-level-least": (
        "Set the {side} float until the fuel stands at its figure; see that its valve and strainer let it in."
    ),
    "fuel-level-most": (
        "Look whether the {side} float valve seals and its float is sound, then set the float to its figure."
    ),
    "float-heaviest": "Shake the {side} float and hold it in warm water: one that has taken up fuel is replaced.",
    "floats-apart": "Weigh both once more, dry. The heavier float, on the {side}, has taken up fuel: replace it.",
    "fuel-flow-least": (
        "Open the filler cap and measure again; if it stays, clean tap, strainer and hose of the {side}."
    ),
    "clearance-inlet-least": (
        "Set the {side} inlet valve's clearance, engine cold, before anything else and before a long ride."
    ),
    "clearance-inlet-most": "Set the {side} inlet valve's clearance, engine cold, before anything else.",
    "clearance-exhaust-least": (
        "Do not ride on with it: a tight exhaust valve burns. Set the {side} one's clearance, engine cold."
    ),
    "clearance-exhaust-most": "Set the {side} exhaust valve's clearance, engine cold, before anything else.",
    "end-float-least": "Give the {side} rocker its end float, then set the valve clearances again.",
    "end-float-most": "Take up the {side} rocker's end float, then set the valve clearances again.",
    "leak-down-most": (
        "Listen on the {side} while the air is on: at the carburettor (inlet valve), at the silencer (exhaust valve),"
        " at the oil filler (rings)."
    ),
    "points-gap-least": "Dress or replace the contacts, set the gap to its figure, then the timing.",
    "points-gap-most": "Set the contacts' gap to its figure, then the timing.",
    "dwell-least": "Close the contacts' gap a little until the dwell is right, then set the timing.",
    "dwell-most": "Open the contacts' gap a little until the dwell is right, then set the timing.",
    "timing-idle-least": "Set the {side} spark earlier until it meets its idle mark, then look at it at full advance.",
    "timing-idle-most": (
        "See that the {side} advance comes all the way back, then set the spark later, to its idle mark."
    ),
    "timing-full-least": (
        "See that the advance moves all the way and is not worn, then set the {side} spark to its mark."
    ),
    "timing-full-most": (
        "Do not open it wide before this is right. Set the {side} spark later, to its full-advance mark, and look "
        "whether the advance goes past its stop."
    ),
    "timing-late-most": "Set the {side} spark earlier, to its mark, before you balance anything.",
    "timing-early-most": "Set the {side} spark later, to its mark, before you ride it hard.",
    "plug-gap-least": "Open the {side} plug's gap to its figure.",
    "plug-gap-most": "Close the {side} plug's gap to its figure, or put in a new plug.",
    "plug-path-most": "Measure the {side} cap, plug and lead apart; there must be one resistor and no bad joint.",
    "plug-path-open": "Measure the {side} cap, plug and lead apart, and renew the one that is open.",
    "coil-primary-least": "Measure the {side} coil again with its wires off; if it stays, try another coil.",
    "coil-primary-most": "Clean the {side} coil's terminals and measure again; if it stays, the winding is broken.",
    "coil-secondary-least": "Measure the {side} coil again with its leads off; if it stays, try another coil.",
    "coil-secondary-most": "Take the caps and leads off and measure the {side} coil itself; if it stays, replace it.",
    "coil-feed-drop-most": (
        "Measure from joint to joint, ignition on: clean the one, or the switch, where the volts are lost."
    ),
    "battery-rest-least": (
        "Charge the battery, let it rest some hours, and measure again; only then judge spark or charging."
    ),
    "charging-least": "Charge the battery, clean its terminals and the earth, and measure again at 3,000 rpm.",
    "charging-most": (
        "Do not ride on with it: it boils the battery and burns lamps and ignition. Clean the regulator's earth and "
        "sense wire and measure again; if it stays, replace the regulator."
    ),
    "needles-apart": "Hang both needles in the same notch: the {side} one hangs higher.",
    "needle-notch-least": "Put the {side} needle's clip in the notch of its figure, and the other side's alike.",
    "needle-notch-most": "Put the {side} needle's clip in the notch of its figure, and the other side's alike.",
    "altitude-highest": (
        "Leave the screws: so far above where it was set a richer idle is no fault. Judge the mixture lower down."
    ),
    "drift-up": (
        "Look for air that leaks in more as it gets hot: inlet stubs and their joints first, with the engine warm."
    ),
    "drift-down": (
        "Look for what gives way as it gets hot: a coil, a valve clearance that closes, fuel that stops coming."
    ),
    "swing-most": (
        "Look for air that no screw meters, both inlet stubs and their joints first, then for a weak idle mixture."
    ),
    "step-most": (
        "Look for what let go at that moment: a butterfly that sticks, a cable off its seat, one side dropping out."
    ),
    "hang-most": (
        "Screw both cables slack and blip it again: if it still hangs, look for an air leak and a lean idle mixture."
    ),
    "spark-reach-least": (
        "Try on the {side} the other side's cap, lead and coil, one at a time: what makes the spark long is the cure."
    ),
    "column-swing-fine": "Damp the columns, with a jet or a pinched hose, before you read a slight lead.",
    "column-swing-most": "Damp the columns, with a jet or a pinched hose, until they stand still; read them then.",
    "rim-runout-most": "See that bearings and spokes are tight, then have that rim trued, before you blame the engine.",
    "co-most": (
        "Screw the {side} mixture leaner by an eighth turn at a time; if it does not follow, look at fuel level and "
        "choke."
    ),
    "co-least": (
        "Look for air that leaks in at the {side} inlet or silencer, then screw its mixture richer by an eighth turn."
    ),
}


def steps(outside: Iterable[Sided]) -> list[str]:
    """Return one step for each limit that a figure is outside of, given as (limit, side); both sides share one."""
    found: dict[str, set[Side]] = {}
    for limit, side in outside:
        if limit in STEPS:
            found.setdefault(limit, set()).add(side)
    return [_step(STEPS[limit], sides) for limit, sides in found.items()]


def _step(text: str, sides: set[Side]) -> str:
    if sides >= set(BOTH):
        return text.replace("{side}", "left and right")
    return fill(text, next(iter(sides)))
