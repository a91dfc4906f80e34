"""How warm the engine is after what was done, and the minutes that a check then waits for it to be cold or warm."""

from msgspec.structs import replace

from advisor.case import Case
from advisor.rulebase.model import Check

# Minutes until a hot engine is cold enough for valve clearances, until it is too cool for a check on a warm engine, and
# to warm it up again. Common practice, no source; a handbook may ask for a night.
COOLING, STAYS_WARM, WARMING = 60.0, 15.0, 5.0
WARMS = frozenset({"running", "throttling", "riding"})


def cools(case: Case) -> float | None:
    """Return the minutes until the engine is cold: 0 if it is, None if that is not known."""
    if case.cools is not None:
        return case.cools
    return {"cold": 0.0, "warm": COOLING}.get(case.means.engine)


def waits(check: Check, left: float | None) -> float:
    """Return the minutes that a check waits, `left` being those until the engine is cold."""
    if left is None:
        return 0.0
    if check.engine == "cold":
        return left
    return WARMING if check.engine == "warm" and left < COOLING - STAYS_WARM else 0.0


def warms(check: Check) -> bool:
    """Whether the engine is warm after a check."""
    return check.engine == "warm" or not WARMS.isdisjoint(check.involves)


def cools_after(check: Check, takes: float, left: float | None) -> float | None:
    """Return the minutes until the engine is cold after a check that `takes` so many minutes, its wait included."""
    if warms(check):
        return COOLING
    if check.engine == "cold":
        return 0.0
    return None if left is None else max(left - takes, 0.0)


def cooling_lost(check: Check, left: float | None) -> float:
    """Return the minutes of cooling that a check costs whoever needs the engine cold afterwards.

    If nothing is known of the engine, it is as likely cold as warm.
    """
    return COOLING - (COOLING / 2 if left is None else left) if warms(check) else 0.0


def heated(case: Case, left: float | None) -> Case:
    """Return the case with the engine as it is now."""
    if left is None:
        return case
    return replace(case, cools=left, means=replace(case.means, engine="warm" if left else "cold"))
