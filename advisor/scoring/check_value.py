"""What each check tells of a hidden fault, asked on its own after the opening readings: toward the fault, or away.

A check that leads away on average says that its page, the strengths of its signs or the model is wrong.
"""

import copy

import msgspec

from advisor.plan.candidates import feasible
from advisor.scoring.log_odds import given, raised
from advisor.scoring.score import Task, opened
from advisor.sides import BOTH, Side

LEAST = 1e-6  # of a probability, so that one that was as good as none weighs no more than that


class Lesson(msgspec.Struct, frozen=True):
    """One check on one bike: by how many bits it raised the odds of the fault ranked best, and what it said."""

    number: int
    check: str
    bits: float
    fault: str
    says: str


def batch(task: Task) -> list[Lesson]:
    """Return what every check that can be done told on each bike of a task."""
    found = []
    for number, (stand, _) in enumerate(opened(task), task.start):
        chances = stand.chances()
        before = max(given(chances, stand.hidden.causes), LEAST)
        fault = max(stand.hidden.causes, key=lambda one: chances[one])[0]
        here, base = stand.scene(), stand.advisor.base
        for check in base.checks.values():
            tried = copy.copy(stand)
            tried.events = list(stand.events)
            sides: tuple[Side, ...] = BOTH if check.sided else (None,)
            says = [tried.do(check.id, side).says for side in sides if feasible(check, side, here, base)]
            if says:
                after = max(given(tried.chances(), stand.hidden.causes), LEAST)
                found.append(Lesson(number, check.id, raised(before, after), fault, " | ".join(dict.fromkeys(says))))
    return found
