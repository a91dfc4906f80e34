"""A bike from the rule base's own network as a game: it answers each check truly, and a look always finds the fault.

So nothing but the choice of what to do next is judged here. It is played until every fault is put right.
"""

import math
import random
import statistics
from collections.abc import Iterator

import msgspec

from advisor.case import Bike, Case, Means
from advisor.plan.candidates import Scene, candidates, real_outcomes, scene
from advisor.plan.cost import RETEST, Opened, open_after
from advisor.plan.deciding import settling
from advisor.rank.network import Network, build
from advisor.rank.ranking import Ranking
from advisor.report import SignState
from advisor.rulebase.model import Rulebase
from advisor.scoring.game import Answers, Policy, play
from advisor.scoring.network_bikes import NetworkBike, draw, perturbed
from advisor.scoring.policies import POLICIES
from advisor.sides import Side, Sided

MOST_MOVES = 400  # far more than any of the policies needs: judgement
OPENING = 3  # signs that are told before the first check: judgement


class Outcome(msgspec.Struct, frozen=True):
    """What one policy took on one bike, in minutes, and what knowing the faults would have taken (`floor`)."""

    minutes: float
    floor: float


class NetworkGame(Answers):
    """One bike, with the state of its `signs` now, those that are `known`, and the faults that are `left`."""

    one_look = True

    def __init__(self, base: Rulebase, network: Network, bike: NetworkBike, rng: random.Random) -> None:
        """Begin with some of the signs that a rider notices."""
        super().__init__(base)
        self.network, self.bike = network, bike
        self.index = {cause: number for number, cause in enumerate(network.causes)}
        self.signs = bike.signs(bike.faults)
        self.left = set(bike.faults)
        self.looked_at: dict[Sided, None] = {}
        felt = [key for key, seen in self.signs.items() if seen and base.signs[key[0]].seen_by == base.persons[0]]
        self.told = rng.sample(felt, min(OPENING, len(felt)))
        self.findings: dict[Sided, bool] = dict.fromkeys(self.told, True)
        self._opened: tuple[Sided, ...] = ()

    @property
    def over(self) -> bool:
        """Whether every fault has been put right."""
        return not self.left

    @property
    def opened(self) -> Opened:
        """The covers that stand open."""
        return self._opened

    def known(self) -> tuple[Ranking, Scene]:
        """Return the ranking on what is known, without what was put right or found sound, and the scene."""
        return self._ranking(), self._scene()

    def _ranking(self) -> Ranking:
        trust = self.base.words.trust["seen"]
        reports = {key: self.network.report(key, trust, seen=seen) for key, seen in self.findings.items()}
        network = self.network.without(self.looked_at)
        if any(self.findings.values()):
            network = msgspec.structs.replace(network, for_nothing=self.base.words.for_nothing)
        return Ranking.of_most(network, reports)[0]

    def _scene(self) -> Scene:
        states = [
            SignState(
                id=sign, side=side, state="seen" if seen else "not seen", title="", how="seen", rules=(), facts=()
            )
            for (sign, side), seen in self.findings.items()
        ]
        means = Means(person=self.base.persons[-1], tools=None, engine="")
        case = Case(title="", bike=Bike(), complaint="", seen=(), measured=(), opened=self._opened, means=means)
        return scene(self.base, case, states, frozenset())

    def done_with(self) -> dict[Sided, None]:
        """Return the causes that were looked at: they are put right, or sound for certain."""
        return self.looked_at

    def do(self, check: str, side: Side) -> None:
        """Do a check: the signs of its results that are still possible become known as they are."""
        here = self._scene()
        found = next(
            one for one in candidates(self.base, self.network, here) if (one.check.id, one.side) == (check, side)
        )
        self._pay(check, side)
        self._find(key for result in found.results for key in result.findings)

    def _pay(self, check: str, side: Side) -> None:
        self.minutes += self._price(check, side)
        self._opened = open_after(self.base.checks[check], side, self._opened, self.base)

    def _find(self, keys: Iterator[Sided]) -> None:
        self.findings |= {key: self.signs[key] for key in keys}

    def settle(self, cause: str, side: Side, *, seen: bool = False) -> bool:
        """Look whether a cause is there, unless a check has shown it already. A look always finds it if it is."""
        page = self.base.causes[cause]
        if not (seen and any(self.findings.get(key) for key in settling(page, side, self.base))):
            self._pay(page.settled_by, side)
            outcomes = self.base.checks[page.settled_by].outcomes
            self._find(
                key for outcome in outcomes for _, settled in real_outcomes(outcome, side, self.base) for key in settled
            )
        self.looked_at[cause, side] = None
        return self.index[cause, side] in self.left

    def repair(self, cause: str, side: Side) -> bool:
        """Put a fault right and run the bike again, with everything shut.

        What the fault may have shown is then open again, but the rider says whether what he told is gone.
        """
        number = self.index[cause, side]
        self._spend_on_repair(cause)
        self.left.discard(number)
        self._opened = ()
        self.signs = self.bike.signs(self.left)
        for key in [key for key, seen in self.findings.items() if seen and self._may_show(number, key)]:
            del self.findings[key]
            if key in self.told:
                self.findings[key] = self.signs[key]
        return True

    def _may_show(self, cause: int, key: Sided) -> bool:
        """Whether a cause shows a sign or a kind of it, and a repair can change it."""
        keys = (key, *self.network.kinds.get(key, ()))
        return key[0] not in self.bike.past and any(cause in self.network.signs[one].strengths for one in keys)


def floor(base: Rulebase, network: Network, bike: NetworkBike) -> float:
    """Return the minutes of one who knows the faults: look at each once, put it right, see that it is cured."""
    pages = [base.causes[network.causes[cause][0]] for cause in bike.faults]
    return sum(base.checks[page.settled_by].minutes + page.minutes + RETEST for page in pages)


def played(policy: Policy, base: Rulebase, network: Network, bike: NetworkBike, seed: int) -> Outcome:
    """Return what a policy takes to put every fault of one bike right."""
    game = NetworkGame(base, network, bike, random.Random(seed))  # noqa: S311 - a game, no secret
    play(game, policy, most_minutes=math.inf, most_moves=MOST_MOVES)
    return Outcome(game.minutes, floor(base, network, bike))


def compare(base: Rulebase, bikes: int, seed: int, *, wrong: bool = False) -> Iterator[tuple[str, list[Outcome]]]:
    """Yield each policy with its outcomes on the same bikes; with `wrong` the bikes are drawn from other numbers."""
    network, rng = build(base), random.Random(seed)  # noqa: S311 - a game, no secret
    nature = perturbed(network, rng) if wrong else network
    drawn = [draw(base, nature, rng) for _ in range(bikes)]
    for name, policy in POLICIES.items():
        yield name, [played(policy, base, network, bike, seed + number) for number, bike in enumerate(drawn)]


def overhead(outcomes: list[Outcome]) -> float:
    """Return the mean minutes above perfect information."""
    return statistics.fmean(one.minutes - one.floor for one in outcomes)
