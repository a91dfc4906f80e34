"""Readings as they come: both columns to scale on one line."""

from advisor.intake.live_table import Row
from advisor.session.balance_drawn import both
from advisor.session.following import HELD, READY, WAITS

CELLS = 20  # at most, for each side
DOES = {
    WAITS: "turn, then Enter",
    HELD: "look at the hoses, then Enter",
    READY: "ready? Enter",
}  # as a state is said where lines are typed
FULL = 300.0  # mmHg: more than an engine draws at idle


def live_line(row: Row, state: str, wide: int) -> str:
    """Return a row as one line of at most so many columns: '240 ███|██ 205  1,050 rpm  moving'."""
    ends = f"{row.left:4.0f} ", f" {row.right:<4.0f} {row.revs:5,.0f} rpm  {DOES.get(state, state)}"
    cells = max(min(CELLS, (wide - sum(map(len, ends)) - 2) // 2), 4)
    return f"{ends[0]}{both(row.left, row.right, FULL, cells)}{ends[1]}".rstrip()[: wide - 1]
