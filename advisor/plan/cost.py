"""What checks cost in minutes, also with what is already open, and how long it takes from here to the cause."""

from collections.abc import Collection, Mapping, Sequence

from advisor.rank.network import SideOf
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import BOTH, Side

LEAST_MINUTES = 0.5
LITTLE_DOUBT, MAY_BE_LOST = 0.9, 6.0  # probability; minutes that a look may cost in vain: judgement
DONE = 1e-4  # as likely as this that the cause was none of those looked at: the rest weighs nothing
RUNS = frozenset({"cranking", "running", "throttling", "riding"})
Opened = Collection[SideOf]


def minutes(check: Check, side: Side, opened: Opened, base: Rulebase) -> float:
    """Return the minutes that a check takes here, less those for what is open already."""
    if check.opens and all(one in opened for one in opens(check, side, base)):
        return max(check.minutes - base.covers[check.opens].minutes, LEAST_MINUTES)
    return max(check.minutes, LEAST_MINUTES)


def deciding_check(cause: str, side: Side, base: Rulebase) -> SideOf:
    """Return a cause's deciding check on its side; None for one that is done once for both."""
    check = base.checks[base.causes[cause].settled_by]
    return check.id, side if check.sided else None


def opens(check: Check, side: Side, base: Rulebase) -> tuple[SideOf, ...]:
    """Return what a check opens, each cover on its side."""
    if not check.opens:
        return ()
    if not base.covers[check.opens].each_side:
        return ((check.opens, None),)
    return tuple((check.opens, one) for one in ((side,) if check.sided else BOTH))


def open_after(check: Check, side: Side, opened: Opened, base: Rulebase) -> tuple[SideOf, ...]:
    """Return what stands open once a check was done: what must be shut to run is shut by a check that runs."""
    runs = bool(RUNS & set(check.involves))
    left = [one for one in opened if not (runs and base.covers[one[0]].shut_to_run)]
    return tuple(dict.fromkeys([*left, *(() if runs and _shut(check, base) else opens(check, side, base))]))


def _shut(check: Check, base: Rulebase) -> bool:
    return bool(check.opens) and base.covers[check.opens].shut_to_run


def expected_minutes(prices: Sequence[float], chances: Mapping[int, float]) -> float:
    """Return the expected minutes to the cause when causes are looked at in turn, the best bargain first.

    `prices` are minutes to look at each cause, `chances` its probability, both by index. Expected cost of repair under
    one fault (Heckerman, Breese, Rommelse, "Decision-theoretic troubleshooting", Comm. ACM 38 (3), 1995, from memory):
    the order by probability over cost is the best one there is.
    """
    total = sum(chances.values())
    if total <= 0.0:
        return sum(prices)
    found, left = 0.0, 1.0
    for _, cause in sorted((-chance / prices[cause], cause) for cause, chance in chances.items()):
        found += left * prices[cause]
        left -= chances[cause] / total
        if left < DONE:
            break
    return found


def worth_acting(chance: float, price: float, base: Rulebase) -> bool:
    """Whether a cause is likely enough to go to its deciding check, given the minutes that it takes.

    From `act at` on, where few minutes would be lost on average if it is not that; else once there is little doubt.
    """
    return chance >= base.words.act_at and (chance >= LITTLE_DOUBT or (1 - chance) * price <= MAY_BE_LOST)


class Search:
    """Looking at one cause after the other by its deciding check, with what stands open."""

    def __init__(self, base: Rulebase, causes: Sequence[SideOf], opened: Opened) -> None:
        """Price every cause's deciding check."""
        self.prices = [minutes(base.checks[base.causes[name].settled_by], side, opened, base) for name, side in causes]

    def bargain(self, chances: Mapping[int, float]) -> int:
        """Return the cause with the most probability for the minutes of its deciding check."""
        return max(chances, key=lambda cause: (chances[cause] / self.prices[cause], -cause))

    def expected(self, chances: Mapping[int, float]) -> float:
        """Return the expected minutes to the cause for these probabilities of the causes by index."""
        return expected_minutes(self.prices, chances)
