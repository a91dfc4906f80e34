"""What is amiss with readings while they come.

That is a pause, a time that jumps back, an engine that stops, columns that stand still or have changed places. All of
it is said once, in one sentence, and nothing of it is taken for a reading. The widths are judgement.
"""

import msgspec

from advisor.intake.live_table import Row
from advisor.intake.logfile import STOPPED

PAUSE_S = 3.0  # s without a row
STUCK_REVS = 300.0  # rpm: revs that go so far move a column
STUCK_S = 4.0  # s: damped gauges have followed by then, and flicker
STUCK = 1.0  # mmHg: one that stays within this has not moved
FROZEN_S = 8.0  # s of the very same figures: no instrument gives them
HOOKED = 20.0  # mmHg: a running engine draws more; below it the hoses are off
EXCHANGED = 12.0  # mmHg: sides must differ by so much, for an exchange to show
ALIKE = 0.25  # of that difference: so near the other side's old figure is its own figure now
CALM = 100.0  # rpm: with so much change of the revs, columns may cross by themselves
BACK = "The time jumps back: it counts from there on."
STOPS = "The engine has stopped. Start it; it goes on by itself."
RUNS = "The engine runs again."
FROZEN = "The figures stand still: does the instrument still measure?"
SWAPPED, LOOKED = (
    "Left and right have changed places. Are the hoses on the right sides?",
    "Enter takes it on from here.",
)
STANDS = "The {side} column stands still while the revs move: is its hose on, open and not kinked?"


class Amiss(msgspec.Struct, frozen=True):
    """One thing that is amiss or right again, in a sentence; `holds`: no reading is taken until it was looked at.

    `typed` is what to type then, where lines are typed.
    """

    says: str
    holds: bool = False
    typed: str = ""


class Watch:
    """Looks at each row as it comes."""

    def __init__(self) -> None:
        self.stopped = False
        self.frozen = False
        self.begin()

    def begin(self) -> None:
        """Forget the rows before this: they tell nothing of the next ones."""
        self._last: Row | None = None
        self._same_since: float | None = None
        self._calm: Row | None = None  # the last row, smoothed
        self._low: Row | None = None
        self._high: Row | None = None
        self._moved_at: float | None = None  # when the revs had moved far enough to move a column
        self._stuck: set[str] = set()

    def take(self, row: Row) -> Amiss | None:
        """Take in a row; return what is amiss with it, if something is that was not said."""
        last = self._last
        if last is not None and (row.time < last.time or row.time - last.time > PAUSE_S):
            pause = row.time - last.time
            self.begin()
            self._last = row
            return Amiss(BACK if pause < 0 else f"Nothing was written for {pause:.0f} s; it goes on.")
        self._last = row
        if (row.revs < STOPPED) != self.stopped:
            self.stopped = row.revs < STOPPED
            self._calm = None
            return Amiss(STOPS if self.stopped else RUNS)
        return self._frozen(row, last) or self._exchanged(row) or self._stuck_at(row)

    def _frozen(self, row: Row, last: Row | None) -> Amiss | None:
        same = last is not None and (row.left, row.right, row.revs) == (last.left, last.right, last.revs)
        self._same_since = (self._same_since if self._same_since is not None else row.time) if same else None
        was = self.frozen
        self.frozen = self._same_since is not None and row.time - self._same_since >= FROZEN_S and row.revs > STOPPED
        return Amiss(FROZEN) if self.frozen and not was else None

    def _exchanged(self, row: Row) -> Amiss | None:
        """Return that left and right have changed places from one row to the next, the revs as they were."""
        calm, self._calm = self._calm, _smoothed(self._calm, row)
        if calm is None or abs(row.revs - calm.revs) > CALM:
            return None
        apart = abs(calm.left - calm.right)
        near = ALIKE * apart
        if apart > EXCHANGED and abs(row.left - calm.right) < near and abs(row.right - calm.left) < near:
            self._calm = row
            return Amiss(SWAPPED, holds=True, typed=LOOKED)
        return None

    def _stuck_at(self, row: Row) -> Amiss | None:
        self._low, self._high = _least(self._low, row), _most(self._high, row)
        if self._high.revs - self._low.revs < STUCK_REVS or min(row.revs, self._low.revs) < STOPPED:
            return None
        self._moved_at = row.time if self._moved_at is None else self._moved_at
        if row.time - self._moved_at < STUCK_S:
            return None
        sides = [one for one in ("left", "right") if getattr(self._high, one) - getattr(self._low, one) <= STUCK]
        self._low = self._high = self._moved_at = None
        new = [one for one in sides if one not in self._stuck]
        self._stuck = set(sides)
        hooked = max(row.left, row.right) > HOOKED
        return Amiss(STANDS.format(side=new[0])) if len(sides) == 1 and new and hooked else None


def _smoothed(before: Row | None, row: Row) -> Row:
    if before is None or abs(row.revs - before.revs) > CALM:
        return row
    part = 0.3
    return Row(
        row.time, *(part * now + (1 - part) * then for now, then in zip(_three(row), _three(before), strict=True))
    )


def _three(row: Row) -> tuple[float, float, float]:
    return row.revs, row.left, row.right


def _least(one: Row | None, other: Row) -> Row:
    return other if one is None else Row(other.time, *map(min, _three(one), _three(other)))


def _most(one: Row | None, other: Row) -> Row:
    return other if one is None else Row(other.time, *map(max, _three(one), _three(other)))
