"""Why a cause stands where it stands: each sign's factor, found by leaving it out."""

from collections.abc import Mapping

from advisor.rank.network import SideOf
from advisor.rank.posterior import Posterior
from advisor.rank.ranking import Ranking, odds
from advisor.records import Evidence, Why
from advisor.rulebase.model import Rulebase
from advisor.sides import fill

LEAST_SHIFT = 1.05  # a factor nearer to 1 than this (or its inverse) is not worth a line


def left_out(ranking: Ranking) -> dict[SideOf, Posterior]:
    """Return the posterior without each sign in turn."""
    return {key: ranking.without(key) for key in ranking.findings}


def factor(with_it: float, without_it: float) -> float:
    """Return how many times more likely (as odds) a sign makes a cause."""
    return odds(with_it) / odds(without_it)


def why(
    cause: int, ranking: Ranking, without: Mapping[SideOf, Posterior], evidence: tuple[Evidence, ...], base: Rulebase
) -> tuple[Why, ...]:
    """Return the signs that bear on a cause, the strongest first, with the facts and rules behind each."""
    found = []
    name = ranking.network.causes[cause][0]
    for one in evidence:
        key = (one.sign, one.side)
        times = factor(ranking.probability(cause), without[key].causes[cause])
        linked = cause in ranking.network.signs[key].strengths
        if not linked and 1 / LEAST_SHIFT < times < LEAST_SHIFT:
            continue
        rules = (*one.rules, f"{name}/{one.sign}") if linked else one.rules
        state = "seen" if one.seen else "not seen"
        title = fill(base.signs[one.sign].title, one.side)
        found.append(
            Why(sign=one.sign, side=one.side, state=state, title=title, factor=times, rules=rules, facts=one.facts)
        )
    return tuple(sorted(found, key=lambda line: (-max(line.factor, 1 / line.factor), line.sign, line.side or "")))


def leaves_unexplained(cause: int, ranking: Ranking, evidence: tuple[Evidence, ...], base: Rulebase) -> tuple[str, ...]:
    """Return the seen signs that this cause does not show."""
    signs = ranking.network.signs
    return tuple(
        fill(base.signs[one.sign].title, one.side)
        for one in evidence
        if one.seen and cause not in signs[one.sign, one.side].strengths
    )
