"""Both sides of a balance on one line, to scale, and the way they came."""

from collections.abc import Sequence

from advisor.balance.course_steps import COLUMNS, IDLE, Method, Seen, Where

CELLS = 16  # for each side
# What fills a side: more than an engine draws at idle (mmHg), than a plug is worth at idle or off it (rpm).
FULL: dict[tuple[Method, Where], float] = {(COLUMNS, IDLE): 300.0, (COLUMNS, "off idle"): 300.0}
BLOCK, BLANK = "█", "░"
MOST_CAME = 3  # readings on the line


def both(left: float, right: float, top: float, cells: int = CELLS) -> str:
    """Return two columns back to back: each from the middle outwards, to scale up to `top`, on so many cells a side.

    >>> both(240, 205, 300)
    '░░░█████████████|███████████░░░░░'
    """
    scale = max(top, left, right, 1e-9)
    one, other = (round(cells * max(value, 0.0) / scale) for value in (left, right))
    return f"{BLANK * (cells - one)}{BLOCK * one}|{BLOCK * other}{BLANK * (cells - other)}"


def came(seen: Sequence[Seen]) -> str:
    """Return how far the left side was behind at each of the last readings: '+35 > +12 > -3'."""
    values = [one.behind for one in seen if one.behind is not None][-MOST_CAME:]
    return " > ".join(f"{value:+.0f}" for value in values)


def line(seen: Sequence[Seen]) -> str:
    """Return the last reading of these on one line, with the way they came; '' if there is none.

    Where only the difference was read, both stand about the middle.
    """
    if not seen:
        return ""
    last = seen[-1]
    top = FULL.get((last.by, last.where), 0.0)
    if last.sides is None:
        return f"left {last.behind or 0:+.0f}  came: {came(seen)}"
    left, right = last.sides
    return f"left {left:.0f} {both(left, right, top or 1.3 * max(left, right))} {right:.0f} right  {came(seen)}"
