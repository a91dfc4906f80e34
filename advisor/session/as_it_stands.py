"""What a check takes on the bike as it stands: covers that are open save minutes, and a wrong engine costs them."""

from advisor.case import Case
from advisor.plan.cost import minutes
from advisor.plan.heat import cools, waits
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Side


def minutes_now(check: Check, side: Side, case: Case, base: Rulebase) -> float:
    """Return the minutes of a check on the bike as it stands, its wait for the engine included."""
    return minutes(check, side, case.opened, base) + waits(check, cools(case))


def first_of_all(check: Check, case: Case) -> tuple[str, ...]:
    """Return what to do before a check because the engine is too warm or too cold for it; nothing if it is not."""
    left = waits(check, cools(case))
    if not left:
        return ()
    if check.engine == "cold":
        return (f"Let the engine cool first, about {left:.0f} minutes.",)
    return ("Warm the engine up again first.",)
