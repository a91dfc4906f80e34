"""What checks cost in minutes, also with what is already open, and how long it takes from here to the cause."""

from collections.abc import Collection, Mapping, Sequence

from advisor.rank.network import SideOf
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import BOTH, Side

LEAST_MINUTES = 0.5
RETEST = 5.0  # minutes to run it again once something was put right: judgement
DONE = 1e-4  # as likely as this that the cause was none of those looked at: the rest weighs nothing
RUNS = frozenset({"cranking", "running", "throttling", "riding"})
Opened = Collection[SideOf]


def minutes(check: Check, side: Side, opened: Opened, base: Rulebase) -> float:
    """Return the minutes that a check takes here, less those for what is open already."""
    if check.opens and all(one in opened for one in opens(check, side, base)):
        return max(check.minutes - base.covers[check.opens].minutes, LEAST_MINUTES)
    return max(check.minutes, LEAST_MINUTES)


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


class Search:
    """Going for one cause after the other, with what stands open and what the deciding checks said so far.

    A cause whose deciding check spoke for it is put right on trial, any other is looked at by that check.
    """

    def __init__(self, base: Rulebase, causes: Sequence[SideOf], opened: Opened, said: Sequence[bool | None]) -> None:
        """Price going for every cause; `said` holds what the deciding check of each said, None where it is to do."""
        self.prices = [
            minutes(base.checks[base.causes[name].settled_by], side, opened, base)
            if known is None
            else base.causes[name].minutes + RETEST
            for (name, side), known in zip(causes, said, strict=True)
        ]

    def bargain(self, chances: Mapping[int, float]) -> int:
        """Return the cause with the most probability for the minutes that going for it takes."""
        return max(chances, key=lambda cause: (chances[cause] / self.prices[cause], -cause))

    def expected(self, chances: Mapping[int, float]) -> float:
        """Return the expected minutes to the cause for these probabilities of the causes by index."""
        return expected_minutes(self.prices, chances)
