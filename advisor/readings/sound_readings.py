"""A recording of the exhaust as readings like any others, and in words. Speeds in 1/min, times in s."""

from collections.abc import Sequence
from pathlib import Path

from advisor.case import LogFile, Measured
from advisor.errors import CaseError, Problem
from advisor.intake.sound_file import open_sound
from advisor.quantities import show
from advisor.readings.idle_log import SHORTEST
from advisor.readings.logs import NEVER_WARM, idle_picture, idle_readings
from advisor.readings.sound_log import SoundLog, reduce_sound
from advisor.readings.sound_sides import Shorting
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH

HELD_OPEN = 1_800.0  # rpm from which plugs are shorted with the throttle held open: between idle and 2,500; judgement
IDLE_READING, OPEN_READING = "drop-idle", "drop-off-idle"
WHILE_IT_RUNS = ("carbon-monoxide", "hot-parts", "moving-parts", "overheating")  # by the names of their pages
SHORTING, BLIPPED = ("high-tension", "spark-to-earth"), ("stuck-throttle",)
LEAST_GIVE = 10.0  # rpm: no drop by ear is trusted further

ALONE = "Only one side is heard, once in two turns. Short one plug at a time: that of the dead side changes nothing."
UNLIKE = (
    "One side sounds {share:.0%} as strong as the other ({low:.0%} to {high:.0%}). If the phone was in the middle, "
    "that side does less: short one plug at a time to see which. Else record it from the middle."
)
ALIKE = "Both sides sound alike."
UNCERTAIN = "Whether both sides sound alike cannot be told from this one."
CLIPPED = "It is too loud for the phone, whose peaks are cut off: the sides cannot be compared. Go further away."
SHORT = (
    "It lasts {lasts:.0f} s without what was left out: whether it hunts, drifts or moves in steps cannot be told; "
    "{need:.0f} s are needed."
)
HOW_WARM = "Was the engine warm? Say so, --starts warm, and the idle is judged."
IN_WHICH_ORDER = "A plug was shorted {count} times, by ear. Say whose, in order: --shorted '{like}'."
NOT_AS_MANY = (
    "{told} plugs are said to have been shorted, and {heard} are heard. One whose side does nothing is not heard, nor "
    "one that stalls it. Leave four seconds between them, and record it again."
)
COMPARE = "Compare the sides: advisor measure {reading} {words}"


def sound_of(one: LogFile) -> SoundLog:
    """Return what a recording tells. Raises CaseError when the file cannot be used."""
    with open_sound(Path(one.path)) as sound:
        return reduce_sound(sound, one.starts, one.near)


def picture(found: SoundLog, one: LogFile, base: Rulebase) -> list[str]:
    """Return what it means and what to do next, in words."""
    if found.doubt:
        return [found.doubt]
    said = [*_of_idle(found, one, base), *_of_sides(found), *_of_shorted(found, one)]
    return [*said, CLIPPED] if found.clipped else said


def _of_idle(found: SoundLog, one: LogFile, base: Rulebase) -> list[str]:
    if found.idle is None:
        return [SHORT.format(lasts=found.kept, need=SHORTEST)]
    said = idle_picture(found.idle, base)
    return [HOW_WARM if line == NEVER_WARM and not one.starts else line for line in said]


def _of_sides(found: SoundLog) -> list[str]:
    if found.alone:
        return [ALONE]
    sides = found.half_order
    if sides is None:
        return []
    if sides.verdict == "unlike":
        low, high = ((1 - bound) / (1 + bound) for bound in (sides.high, sides.low))
        return [UNLIKE.format(share=sides.share, low=low, high=high)]
    return [ALIKE if sides.verdict == "alike" else UNCERTAIN]


def _of_shorted(found: SoundLog, one: LogFile) -> list[str]:
    if one.shorted and len(one.shorted) != len(found.shorted):
        return [NOT_AS_MANY.format(told=len(one.shorted), heard=len(found.shorted))]
    if found.shorted and not one.shorted:
        like = " ".join(BOTH[number % 2] for number in range(len(found.shorted)))
        return [IN_WHICH_ORDER.format(count=len(found.shorted), like=like)]
    made = _drops(found, one)
    words = " ".join(f"{each.side} {', '.join(show(value, 'rpm') for value in each.values)}" for each in made)
    return [COMPARE.format(reading=made[0].reading, words=words)] if len(made) == len(BOTH) else []


def cautions(found: SoundLog) -> tuple[str, ...]:
    """Return the names of what to take care of when it is recorded again, or when plugs are shorted as it says."""
    unlike = found.half_order is not None and found.half_order.verdict == "unlike"
    shorting = bool(found.shorted) or found.alone or unlike
    blipped = found.idle is not None and bool(found.idle.hangs)
    return (*(BLIPPED if blipped else ()), *(SHORTING if shorting else ()), *WHILE_IT_RUNS)


def readings_of(one: LogFile) -> list[Measured]:
    """Return the readings that a recording holds. Raises CaseError when it cannot tell the revs, and says why."""
    found = sound_of(one)
    if found.doubt:
        raise CaseError([Problem(one.path, 0, found.doubt)])
    if one.shorted and len(one.shorted) != len(found.shorted):
        text = NOT_AS_MANY.format(told=len(one.shorted), heard=len(found.shorted))
        raise CaseError([Problem(one.path, 0, text)])
    return [*_idle_readings(found, one), *_drops(found, one)]


def _idle_readings(found: SoundLog, one: LogFile) -> list[Measured]:
    if found.idle is not None:
        return idle_readings(found.idle, one)
    if one.starts != "warm" or found.level is None or found.within is None or found.level >= HELD_OPEN:
        return []
    given = f"{show(found.level, 'rpm')} ({Path(one.path).name})"
    give = max(found.within, 20.0)
    return [
        Measured(
            reading="idle-speed", side=None, values=(found.level,), give=give, unit="rpm", line=one.line, given=given
        )
    ]


def _drops(found: SoundLog, one: LogFile) -> list[Measured]:
    """Return the drops on each side whose plug was shorted, if it was told whose."""
    if len(one.shorted) != len(found.shorted) or not found.shorted:
        return []
    held = sorted(each.before for each in found.shorted)[len(found.shorted) // 2] >= HELD_OPEN
    made = []
    for side in BOTH:
        own = [each for each, whose in zip(found.shorted, one.shorted, strict=True) if whose == side]
        if own:
            made.append(_drop(OPEN_READING if held else IDLE_READING, side, own, one))
    return made


def _drop(reading: str, side: str, own: Sequence[Shorting], one: LogFile) -> Measured:
    values = tuple(max(each.drop, 0.0) for each in own)
    said = ", ".join(show(value, "rpm") for value in values)
    return Measured(
        reading=reading,
        side="left" if side == "left" else "right",
        values=values,
        give=max(LEAST_GIVE, *(each.within for each in own)),
        unit="rpm",
        line=one.line,
        given=f"{said} ({Path(one.path).name})",
    )
