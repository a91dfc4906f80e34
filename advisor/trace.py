"""Why a cause stands where it stands: each sign's factor, found by leaving it out."""

from collections.abc import Mapping

from advisor.rank.network import SideOf
from advisor.rank.ranking import Ranking
from advisor.records import Evidence, Why
from advisor.rulebase.model import Rulebase
from advisor.sides import fill

Factors = Mapping[SideOf, Mapping[int, float]]
LEAST_SHIFT = 1.05  # a factor nearer to 1 than this (or its inverse) is not worth a line


def why(
    cause: int, ranking: Ranking, factors: Factors, evidence: tuple[Evidence, ...], base: Rulebase
) -> tuple[Why, ...]:
    """Return the signs that bear on a cause, the strongest first, with the facts and rules behind each.

    `factors` holds, for each sign, how many times it raises each cause's odds (1 where it says nothing).
    """
    found = []
    name = ranking.network.causes[cause][0]
    for one in evidence:
        key = (one.sign, one.side)
        if key not in ranking.findings:  # a vague sign, said again by one of its kinds
            continue
        times = factors[key].get(cause, 1.0)
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
    found = ranking.findings
    return tuple(
        fill(base.signs[one.sign].title, one.side)
        for one in evidence
        if one.seen and (one.sign, one.side) in found and cause not in found[one.sign, one.side].leaky.strengths
    )
