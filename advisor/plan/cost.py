"""Cost of checks in minutes, allowing for covers already open, and expected time from here to the cause."""

from collections.abc import Collection, Sequence

from advisor.plan.deciding import deciding_check
from advisor.plan.heat import waits
from advisor.rank.ranking import SMALLEST, level
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import BOTH, Side, Sided

LEAST_MINUTES = 0.5
LOST = 0.5  # share of a repair's minutes lost if that was not the cause: judgement
RETEST = 5.0  # minutes to run the engine again after a repair: judgement
DONE = 1e-4  # once the remaining probability is below this, the rest is negligible
RUNS = frozenset({"cranking", "running", "throttling", "riding"})
Opened = Collection[Sided]


def minutes(check: Check, side: Side, opened: Opened, base: Rulebase) -> float:
    """Return the minutes that a check takes here, less those for covers already open, each side by itself."""
    already = sum(base.covers[name].minutes for name, at in opens(check, side, base) if (name, at) in opened)
    return max(check.minutes - already, LEAST_MINUTES)


def opens(check: Check, side: Side, base: Rulebase) -> tuple[Sided, ...]:
    """Return the covers that a check opens, each on its side."""
    if not check.opens:
        return ()
    if not base.covers[check.opens].each_side:
        return ((check.opens, None),)
    return tuple((check.opens, one) for one in ((side,) if check.sided else BOTH))


def open_after(check: Check, side: Side, opened: Opened, base: Rulebase) -> tuple[Sided, ...]:
    """Return the covers open after a check: one that runs the engine first closes those that must be shut."""
    runs = bool(RUNS & set(check.involves))
    left = [one for one in opened if not (runs and base.covers[one[0]].shut_to_run)]
    return tuple(dict.fromkeys([*left, *(() if runs and _shut(check, base) else opens(check, side, base))]))


def _shut(check: Check, base: Rulebase) -> bool:
    return bool(check.opens) and base.covers[check.opens].shut_to_run


def expected_minutes(prices: Sequence[float], chances: Sequence[float]) -> float:
    """Return the expected minutes to the cause, searching one place after another, best bargain first.

    `prices` are minutes for each place, `chances` how likely it is there. Expected cost of repair under one fault
    (Heckerman, Breese, Rommelse, "Decision-theoretic troubleshooting", Comm. ACM 38 (3), 1995, from memory): the order
    by probability over cost is optimal.
    """
    total = sum(chances)
    if total <= 0.0:
        return sum(prices)
    found, left = 0.0, 1.0
    for _, price, chance in sorted(
        [(-chance / price, price, chance) for price, chance in zip(prices, chances, strict=True)]
    ):
        found += left * price
        left -= chance / total
        if left < DONE:
            break
    return found


class Search:
    """Going for one cause after another, given the open covers and the results of deciding checks so far.

    A cause confirmed by its deciding check is put right, which is seldom in vain: the work is often due anyway.
    Any other is examined by that check, together with every cause that the same check decides: these are one `place`.
    """

    def __init__(
        self,
        base: Rulebase,
        causes: Sequence[Sided],
        opened: Opened,
        said: Sequence[bool | None],
        cools: float | None = None,
    ) -> None:
        """Price going for every cause; `said` holds the result of each deciding check, None if not done yet.

        A cause found sound costs a second look. `cools` is the number of minutes until the engine is cold, if known.
        """
        places: dict[Sided, int] = {}
        self.place: list[int] = []  # for each cause
        self.prices: list[float] = []  # for each place, minutes
        for cause, known in zip(causes, said, strict=True):
            check, side = deciding_check(*cause, base)
            key = cause if known else (f"look {check}", side)
            if key not in places:
                places[key] = len(self.prices)
                repair = RETEST + LOST * base.causes[cause[0]].minutes
                look = minutes(base.checks[check], side, opened, base) + waits(base.checks[check], cools)
                self.prices.append(repair if known else look + base.words.step)
            self.place.append(places[key])

    def at(self, chances: Sequence[float]) -> list[float]:
        """Return the probability of each place, given those of the causes."""
        found = [0.0] * len(self.prices)
        for place, chance in zip(self.place, chances, strict=True):
            found[place] += chance
        return found

    def bargain(self, chances: Sequence[float], among: Collection[int]) -> int:
        """Return the likeliest cause in the place with the most probability per minute: the first of equals."""
        at = self.at(chances)
        rate = {one: at[self.place[one]] / self.prices[self.place[one]] for one in among}
        return max(among, key=lambda one: (level(rate[one]), level(chances[one])))

    def price(self, cause: int) -> float:
        """Return the minutes that going for a cause takes."""
        return self.prices[self.place[cause]]

    def expected(self, chances: Sequence[float]) -> float:
        """Return the expected minutes to the cause, given the probabilities of the causes."""
        return expected_minutes(self.prices, self.at(chances))

    def expected_after(self, bargain: int, chances: Sequence[float]) -> tuple[float, float]:
        """Return how likely it is that going for one cause is in vain, and the expected minutes from there."""
        at = self.at(chances)
        missed = 1 - at[self.place[bargain]] / max(sum(at), SMALLEST)
        at[self.place[bargain]] = 0.0
        return missed, expected_minutes(self.prices, at)
