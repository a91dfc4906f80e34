"""How good the choice of checks is: drawn faults, drawn answers, and the minutes until all is put right.

Everything is drawn from the rule base's own network, or from one whose numbers have been turned about (`perturbed`), so
that a policy is also judged when its numbers are wrong. Nothing here is used to diagnose.
"""

import random
import statistics
from collections.abc import Callable, Collection, Iterator

import msgspec

from advisor.case import Bike, Case, Means
from advisor.plan.candidates import Candidate, Scene, real_outcomes
from advisor.plan.candidates import scene as scene_of
from advisor.plan.choose import plan
from advisor.plan.cost import RETEST, minutes, open_after
from advisor.plan.deciding import settling
from advisor.rank.joint import Joint
from advisor.rank.network import Leaky, Network, build
from advisor.rank.ranking import Ranking
from advisor.report import SignState
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import BOTH, Side, Sided, other

MOST_STEPS = 400
STATES = {True: "seen", False: "not seen"}
OPENING = 3  # signs that are told before the first check
FAULTS = (0.8, 0.16, 0.04)  # one, two or three at once
OF_ITSELF = -1  # what no fault shows: healthy bikes do so too


class Bench(msgspec.Struct, frozen=True):
    """One drawn bike: its true causes, and what shows each sign (causes, or `OF_ITSELF`)."""

    faults: frozenset[int]
    shown: dict[Sided, frozenset[int]]
    kinds: dict[Sided, tuple[Sided, ...]]
    past: frozenset[str]

    def signs(self, left: Collection[int]) -> dict[Sided, bool]:
        """Return the state of every sign while these faults are left. What is past (how it began) no repair changes."""
        there = {OF_ITSELF, *left}
        found = {key: bool(by if key[0] in self.past else by & there) for key, by in self.shown.items()}
        for vague, kinds in self.kinds.items():
            found[vague] = found[vague] or any(found[kind] for kind in kinds)
        return found


class Outcome(msgspec.Struct, frozen=True):
    """What one policy took on one bike, in minutes, and what knowing the faults would have taken."""

    minutes: float
    floor: float


def draw(base: Rulebase, network: Network, rng: random.Random) -> Bench:
    """Return a bike with one to three faults, drawn by how often they are met, and the signs that it shows.

    A sign that compares the sides shows on one of them at most.
    """
    count = rng.choices(range(1, len(FAULTS) + 1), weights=FAULTS)[0]
    faults: set[int] = set()
    while len(faults) < count:
        faults.add(rng.choices(range(len(network.priors)), weights=network.priors)[0])
    shown = {key: _shown(one, faults, rng) for key, one in network.signs.items()}
    for (sign, side), by in shown.items():
        if base.signs[sign].exclusive and by and shown[sign, other(side)]:
            shown[sign, rng.choice(BOTH)] = frozenset()
    # nor does a vague sign lead on the one side and its kind on the other
    for (sign, side), below in network.kinds.items():
        if base.signs[sign].exclusive and any(shown[kind] for kind in below):
            shown[sign, other(side)] = frozenset()
    past = frozenset(sign.id for sign in base.signs.values() if sign.past)
    return Bench(frozenset(faults), shown, network.kinds, past)


def _shown(sign: Leaky, faults: Collection[int], rng: random.Random) -> frozenset[int]:
    """Return which faults show a sign, each on its own, and whether it is there by itself."""
    found = {cause for cause in sorted(faults) if rng.random() < sign.strengths.get(cause, 0.0)}
    return frozenset(found | ({OF_ITSELF} if rng.random() < sign.leak else set()))


def perturbed(network: Network, rng: random.Random, spread: float = 0.5) -> Network:
    """Return the network with every strength, leak and prior off by a factor on its odds (log-normal)."""

    def off(chance: float) -> float:
        ratio = chance / max(1 - chance, 1e-9) * rng.lognormvariate(0, spread)
        return min(max(ratio / (1 + ratio), 1e-4), 0.99)

    signs = {
        key: Leaky(off(one.leak), {cause: off(strength) for cause, strength in one.strengths.items()})
        for key, one in network.signs.items()
    }
    return Network(network.causes, tuple(off(prior) for prior in network.priors), signs, network.kinds, network.thin)


class Game:
    """One bike under one policy: what is known, what it has cost, and what was put right."""

    def __init__(self, base: Rulebase, network: Network, bench: Bench, rng: random.Random) -> None:
        """Begin with some of the signs that a rider tells."""
        self.base, self.network, self.bench = base, network, bench
        self.signs = bench.signs(bench.faults)
        self.known: dict[Sided, bool] = {}
        self.opened: tuple[Sided, ...] = ()
        self.minutes = 0.0
        self.left = set(bench.faults)
        self.tried: set[int] = set()
        felt = [key for key, seen in self.signs.items() if seen and base.signs[key[0]].seen_by == base.persons[0]]
        self.told = rng.sample(felt, min(OPENING, len(felt)))
        self.known |= dict.fromkeys(self.told, True)

    def ranking(self) -> Ranking:
        """Return the ranking on what is known, without what was put right or found sound."""
        trust = self.base.words.trust["seen"]
        reports = {key: self.network.report(key, trust, seen=seen) for key, seen in self.known.items()}
        names = [self.network.causes[cause] for cause in self.tried]
        network = self.network.without(names)
        if any(self.known.values()):
            network = msgspec.structs.replace(network, for_nothing=self.base.words.for_nothing)
        return Ranking.of_most(network, reports)[0]

    def scene(self) -> Scene:
        """Return what decides which checks can be done."""
        states = [
            SignState(
                id=sign, side=side, state="seen" if seen else "not seen", title="", how="seen", rules=(), facts=()
            )
            for (sign, side), seen in self.known.items()
        ]
        means = Means(person=self.base.persons[-1], tools=None, engine="")
        case = Case(title="", bike=Bike(), complaint="", seen=(), measured=(), opened=self.opened, means=means)
        return scene_of(self.base, case, states, frozenset())

    def look(self, candidate: Candidate) -> None:
        """Do a check: its signs become known as they are."""
        self._pay(candidate.check, candidate.side)
        for result in candidate.results:
            for key in result.findings:
                self.known[key] = self.signs[key]

    def _pay(self, check: Check, side: Side) -> None:
        self.minutes += minutes(check, side, self.opened, self.base)
        self.opened = open_after(check, side, self.opened, self.base)

    def price(self, cause: int) -> float:
        """Return the minutes that a cause's deciding check takes now."""
        name, side = self.network.causes[cause]
        return minutes(self.base.checks[self.base.causes[name].settled_by], side, self.opened, self.base)

    def repair(self, cause: int) -> None:
        """Look whether a cause is there, unless that was seen already, and put it right if it is.

        Whoever looks so finds it. What it may have shown is then open again, but for what the rider told: the trial
        run says whether that is gone.
        """
        name, side = self.network.causes[cause]
        page = self.base.causes[name]
        deciding = settling(page, side, self.base)
        if not any(self.known.get(key) for key in deciding):
            check = self.base.checks[page.settled_by]
            self._pay(check, side)
            for outcome in check.outcomes:
                for _, shown in real_outcomes(outcome, side, self.base):
                    self.known |= {key: self.signs[key] for key in shown}
        self.tried.add(cause)
        if cause in self.left:
            self.minutes += page.minutes + RETEST
            self.left.discard(cause)
            self.opened = ()  # all is shut for the trial run
            self.signs = self.bench.signs(self.left)
            for key in [key for key, seen in self.known.items() if seen and self._may_show(cause, key)]:
                del self.known[key]
                if key in self.told:
                    self.known[key] = self.signs[key]

    def _may_show(self, cause: int, key: Sided) -> bool:
        """Whether a cause shows a sign or a kind of it, and a repair can change it."""
        keys = (key, *self.network.kinds.get(key, ()))
        return key[0] not in self.bench.past and any(cause in self.network.signs[one].strengths for one in keys)


Policy = Callable[[Game], None]


def floor(base: Rulebase, network: Network, bench: Bench) -> float:
    """Return the minutes with perfect information: look at each true cause once, put it right, see that it is cured."""
    pages = [base.causes[network.causes[cause][0]] for cause in bench.faults]
    return sum(base.checks[page.settled_by].minutes + page.minutes + RETEST for page in pages)


def ours(game: Game) -> None:
    """Do what the planner says: go for a cause, or do a check. Where it has nothing, go by probability over cost."""
    ranking = game.ranking()
    found = plan(game.base, Joint(ranking), game.scene())
    if found.goes_for:
        game.repair(ranking.network.causes.index(found.goes_for))
    elif found.checks:
        game.look(found.checks[0].candidate)
    else:
        by_probability_over_cost(game)


def by_probability_over_cost(game: Game) -> None:
    """Look at the cause with the most probability for its minutes (the classical order for one fault)."""
    _go_through(game, lambda cause, chance: chance / game.price(cause))


def by_probability(game: Game) -> None:
    """Look at the likeliest cause first."""
    _go_through(game, lambda _, chance: chance)


def by_readiness(game: Game) -> None:
    """Go through the causes in the readiness order, the likelier of a stage first."""

    def worth(cause: int, chance: float) -> float:
        place = game.base.causes[game.network.causes[cause][0]].place
        return -game.base.order_of(place) + chance

    _go_through(game, worth)


def _go_through(game: Game, worth: Callable[[int, float], float]) -> None:
    posterior = game.ranking().posterior.causes
    open_ones = [cause for cause in range(len(posterior)) if cause not in game.tried]
    game.repair(max(open_ones, key=lambda cause: (worth(cause, posterior[cause]), -cause)))


POLICIES: dict[str, Policy] = {
    "ours": ours,
    "probability over cost": by_probability_over_cost,
    "most probable first": by_probability,
    "readiness order": by_readiness,
}


def play(policy: Policy, base: Rulebase, network: Network, bench: Bench, seed: int) -> Outcome:
    """Return what a policy takes to put every fault of one bike right."""
    game = Game(base, network, bench, random.Random(seed))  # noqa: S311 - a game, no secret
    for _ in range(MOST_STEPS):
        if not game.left:
            break
        policy(game)
    return Outcome(game.minutes, floor(base, network, bench))


def compare(base: Rulebase, bikes: int, seed: int, *, wrong: bool = False) -> Iterator[tuple[str, list[Outcome]]]:
    """Yield each policy with its outcomes on the same bikes; with `wrong` the bikes are drawn from other numbers."""
    network, rng = build(base), random.Random(seed)  # noqa: S311 - as above
    nature = perturbed(network, rng) if wrong else network
    benches = [draw(base, nature, rng) for _ in range(bikes)]
    for name, policy in POLICIES.items():
        yield name, [play(policy, base, network, bench, seed + number) for number, bench in enumerate(benches)]


def overhead(outcomes: list[Outcome]) -> float:
    """Return the mean minutes above perfect information."""
    return statistics.fmean(one.minutes - one.floor for one in outcomes)
