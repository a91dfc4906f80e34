"""Policies to compare the planner with: simple orders of looking at one suspect after another."""

from collections.abc import Callable

from advisor.plan.candidates import Scene
from advisor.plan.deciding import settled
from advisor.rank.ranking import Ranking
from advisor.rulebase.model import Rulebase
from advisor.scoring.game import Answers, Choice, Policy, planner
from advisor.sides import Sided

# Of a cause and its probability, what it is compared by with the others: the greatest goes first.
Worth = Callable[[Sided, float], tuple[float, ...]]


def ours(answers: Answers) -> Choice | None:
    """Choose what the planner says; if it has nothing to say, go by probability over cost."""
    return planner(answers) or by_probability_over_cost(answers)


def by_probability_over_cost(answers: Answers) -> Choice | None:
    """Choose the cause with the most probability for its minutes: the best order for one fault.

    Source: Heckerman, Breese, Rommelse, "Decision-theoretic troubleshooting", Comm. ACM 38 (3), 1995, from memory.
    """
    return _best_open(answers, lambda cause, chance: (chance / answers.price(*cause),))


def by_probability(answers: Answers) -> Choice | None:
    """Choose the likeliest cause."""
    return _best_open(answers, lambda _, chance: (chance,))


def by_readiness(answers: Answers) -> Choice | None:
    """Choose the cause that comes first in the readiness order, the likelier of a stage first."""
    base = answers.base
    # one sum: within a stage, chances that differ only by rounding are then equal, and the network's order decides
    return _best_open(answers, lambda cause, chance: (chance - _stage(cause, base),))


def in_readiness_order(answers: Answers) -> Policy:
    """Return the policy that sets up the readiness order once, from what is told first, and then keeps to it.

    It looks at every suspect, even if something has spoken for it.
    """
    first, _ = answers.known()

    def choose(now: Answers) -> Choice | None:
        found = _first_open(now, first, lambda cause, chance: (-_stage(cause, now.base), chance))
        return Choice(goes_for=found) if found else None

    return choose


POLICIES: dict[str, Policy] = {
    "ours": ours,
    "probability over cost": by_probability_over_cost,
    "most probable first": by_probability,
    "readiness order": by_readiness,
}


def _stage(cause: Sided, base: Rulebase) -> int:
    """Return the place of a cause's stage in the readiness order, 0 for the first."""
    return base.order_of(base.causes[cause[0]].place)


def _best_open(answers: Answers, worth: Worth) -> Choice | None:
    ranking, here = answers.known()
    best = _first_open(answers, ranking, worth)
    return Choice(goes_for=best, proven=_proven(best, here, answers.base)) if best else None


def _proven(cause: Sided, here: Scene, base: Rulebase) -> bool:
    return settled(*cause, here, base) is True


def _first_open(answers: Answers, ranking: Ranking, worth: Worth) -> Sided | None:
    """Return the most valuable cause that still needs a look; among equals, the first in the network."""
    done = answers.done_with()
    pairs = zip(ranking.network.causes, ranking.posterior.causes, strict=True)
    open_ones = [(cause, chance) for cause, chance in pairs if cause not in done]
    return max(open_ones, key=lambda one: worth(*one))[0] if open_ones else None
