"""Why a cause ranks where it does: each sign's factor, found by leaving it out."""

from collections.abc import Collection, Mapping, Sequence

import msgspec

from advisor.rank.ranking import Ranking, level
from advisor.report import Evidence, Why, speaks_against, speaks_for
from advisor.rulebase.model import Rulebase
from advisor.sides import Sided, fill

Factors = Mapping[Sided, Mapping[int, float]]


class Weighed(msgspec.Struct, frozen=True):
    """One sign that counts: its title, the causes that show it, and those that show its finding.

    `times` is the factor by which it raises each cause's odds (1 if it says nothing), `near` if it is not exact.
    """

    evidence: Evidence
    title: str
    shown_by: Mapping[int, float]
    explained_by: Mapping[int, float]
    times: Mapping[int, float]
    near: bool = False


def weighed(
    ranking: Ranking, factors: Factors, evidence: Sequence[Evidence], base: Rulebase, near: Collection[Sided] = ()
) -> list[Weighed]:
    """Return the signs that count for any cause; a vague sign repeated by one of its kinds does not.

    `near` are those whose factors are not exact.
    """
    found = []
    for one in evidence:
        key = (one.sign, one.side)
        if key in ranking.findings:
            title = fill(base.signs[one.sign].title, one.side)
            linked, left = ranking.network.signs[key].strengths, ranking.findings[key].leaky.strengths
            found.append(Weighed(one, title, linked, left, factors[key], key in near))
    return found


def why(cause: int, name: str, signs: Sequence[Weighed]) -> tuple[Why, ...]:
    """Return the signs that bear on a cause, strongest first, with the facts and rules behind each."""
    found = []
    for sign in signs:
        times, linked = sign.times.get(cause, 1.0), cause in sign.shown_by
        if not linked and (times == 1.0 or not (speaks_for(times) or speaks_against(times))):
            continue
        one = sign.evidence
        found.append(
            Why(
                sign=one.sign,
                side=one.side,
                state="seen" if one.seen else "not seen",
                title=sign.title,
                factor=times,
                rules=(*one.rules, f"{name}/{one.sign}") if linked else one.rules,
                facts=one.facts,
                near=sign.near,
            )
        )
    return tuple(
        sorted(found, key=lambda line: (-level(max(line.factor, 1 / line.factor)), line.sign, line.side or ""))
    )


def leaves_unexplained(cause: int, signs: Sequence[Weighed]) -> tuple[str, ...]:
    """Return the seen signs that this cause does not show."""
    return tuple(sign.title for sign in signs if sign.evidence.seen and cause not in sign.explained_by)
