"""What each check alone tells about a hidden fault after the opening readings: whether it leads to it, or away.

If a check leads away on average, its page, the strengths of its signs, or the model is wrong.
"""

import copy

import msgspec

from advisor.plan.candidates import feasible
from advisor.scoring.log_odds import given, raised
from advisor.scoring.score import Task, opened
from advisor.sides import BOTH, Side

LEAST = 1e-6  # of a probability: below that, a change of the odds means nothing


class CheckValue(msgspec.Struct, frozen=True):
    """One check on one bike: by how many bits it raised the odds of the fault ranked best, and what it said."""

    number: int
    check: str
    bits: float
    fault: str
    says: str


def batch(task: Task) -> list[CheckValue]:
    """Return, for each bike of a task, what every check that can be done there tells alone."""
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
                found.append(
                    CheckValue(number, check.id, raised(before, after), fault, " | ".join(dict.fromkeys(says)))
                )
    return found
