"""Practice rounds on bikes with planted faults; and what is not there."""

from advisor.diagnose import Advisor
from advisor.practice.levels import BikeId
from advisor.practice.round import Round
from advisor.rulebase.model import Rulebase
from advisor.scoring.hidden_bikes import Fault, planted
from advisor.sides import Sided, sides_of

PLUG: Fault = ("plug-dead", "right", 1.0)
SLIDE: Fault = ("slide-sticking", "left", 1.0)
SOUND: Sided = ("fuel-stale-or-wrong", None)  # a cause that these bikes do not have


def bike_with(advisor: Advisor, *faults: Fault, level: str = "easy") -> Round:
    """Return a round on a bike by the book with these faults."""
    return Round(advisor, BikeId(seed=7, level=level), planted(faults))


def first_checks(base: Rulebase) -> list[Sided]:
    """Return the first check of every stage."""
    names = [area.items[0].check for area in base.areas if area.items]
    return [(one, sides_of(base.checks[one].sided)[0]) for one in names]
