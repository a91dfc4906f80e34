"""What a recording of the exhaust tells, on a terminal."""

from rich.console import Group
from rich.text import Text

from advisor.quantities import show
from advisor.readings.sound_log import SoundLog
from advisor.readings.sound_sides import Shorting
from advisor.show.logs import reduced_idle
from advisor.show.measure import lines
from advisor.show.screen import Rows

STEPS = "▁▂▃▄▅▆▇█"
WIDE = 48  # columns of the line
REVS = "revs"


def sound(found: SoundLog, picture: list[str], cautions: list[str]) -> Group:
    """Return what was heard, and its `picture` in words, to be printed; last what hurts whoever records again."""
    rows = heard(found)
    if found.level is not None and found.within is not None:
        rows.insert(1 + next(number for number, (label, _) in enumerate(rows) if label == REVS), ("", line(found)))
    safe = Rows([("  !", Text(one)) for one in cautions], label=4)
    return Group(lines("By ear", rows, picture), Text(), safe)


def heard(found: SoundLog) -> list[tuple[str, str]]:
    """Return what was heard, as labelled lines."""
    rows = [("recording", f"{found.lasts:.0f} s, {_channels(found.channels)}, {found.rate:,} samples a second")]
    rows += [("repaired", text) for text in found.repairs]
    if found.level is not None and found.within is not None:
        rows.append((REVS, f"{found.level:.0f} rpm (±{max(found.within, 1):.0f})"))
        rows += [("  or", f"{found.either:.0f} rpm if one side is dead; --near tells which")] if found.either else []
        rows.append(("clear beat", f"in {found.beats:.0%} of it"))
        rows += reduced_idle(found.idle) if found.idle else []
        rows += _sides(found)
        rows += [(f"shorted {number}", _shorted(one)) for number, one in enumerate(found.shorted, start=1)]
    return rows


def _shorted(one: Shorting) -> str:
    revs = f"{one.before:.0f}, {one.during:.0f}, {one.after:.0f} rpm"
    return f"from {one.start:.0f} s: {revs}; drop {one.drop:.0f} rpm (±{one.within:.0f})"


def _channels(count: int) -> str:
    return {1: "mono", 2: "stereo"}.get(count, f"{count} channels")


def _sides(found: SoundLog) -> list[tuple[str, str]]:
    half = found.half_order
    if half is None:
        return []
    text = (
        f"half orders {half.strength:.2f} of whole ones (95%: {half.low:.2f} to {half.high:.2f}; 0: both sides alike)"
    )
    return [("sides", text)]


def line(found: SoundLog) -> str:
    """Return the revs over time in one line, from the lowest to the highest; a blank where no beat is clear."""
    low, high = min(found.revs), max(found.revs)
    cells: list[list[float]] = [[] for _ in range(WIDE)]
    for at, revs in zip(found.times, found.revs, strict=True):
        cells[min(int(at / found.lasts * WIDE), WIDE - 1)].append(revs)
    span = max(high - low, 1.0)
    drawn = "".join(_cell((sorted(one)[len(one) // 2] - low) / span) if one else " " for one in cells)
    return f"{low:.0f} {drawn} {show(round(high), 'rpm')}"


def _cell(part: float) -> str:
    return STEPS[min(int(part * len(STEPS)), len(STEPS) - 1)]
