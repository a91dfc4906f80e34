"""Sorts what can be done by bits per minute, and says what each result would lead to."""

from collections.abc import Iterable

from advisor.plan.candidates import Candidate, Result, candidates
from advisor.plan.information import told_by
from advisor.plan.suspects import suspicion
from advisor.rank.network import SideOf
from advisor.rank.ranking import Ranking
from advisor.records import Case, NextCheck, OutcomeSeen, SignState
from advisor.rulebase.model import Rulebase
from advisor.sides import fill

LEAST_BITS = 0.005


def next_checks(
    base: Rulebase, ranking: Ranking, case: Case, signs: Iterable[SignState], most: int
) -> tuple[NextCheck, ...]:
    """Return the checks that tell most for their minutes, best first; equals in the readiness order."""
    suspects = suspicion(ranking)
    scored = []
    for candidate in candidates(base, ranking.network, case, signs):
        told = told_by(candidate, suspects)
        if told.bits >= LEAST_BITS:
            scored.append((candidate, told))
    scored.sort(
        key=lambda pair: (
            -round(pair[1].bits / pair[0].check.minutes, 6),
            base.order_of(pair[0].check.place),
            pair[0].check.id,
            pair[0].side or "",
        )
    )
    return tuple(_next(base, ranking, candidate, told.bits, told.chances) for candidate, told in scored[:most])


def _next(base: Rulebase, ranking: Ranking, candidate: Candidate, bits: float, chances: tuple[float, ...]) -> NextCheck:
    check, side = candidate.check, candidate.side
    return NextCheck(
        id=check.id,
        side=side,
        title=fill(check.title, side),
        steps=tuple(fill(step, side) for step in check.steps),
        minutes=check.minutes,
        gain_bits=bits,
        tools=tuple(base.tools[tool].title for tool in check.tools),
        engine=check.engine,
        cautions=check.cautions,
        outcomes=tuple(
            _outcome(base, ranking, result, chance) for result, chance in zip(candidate.results, chances, strict=True)
        ),
    )


def _outcome(base: Rulebase, ranking: Ranking, result: Result, chance: float) -> OutcomeSeen:
    after = ranking.with_more(result.findings)
    lead = max(range(len(after.causes)), key=lambda cause: (after.causes[cause], -cause))
    cause, side = _cause(ranking, lead)
    return OutcomeSeen(
        says=result.says,
        side=result.side,
        probability=chance,
        leads=cause,
        leads_side=side,
        leads_title=fill(base.causes[cause].title, side),
        leads_probability=after.causes[lead],
    )


def _cause(ranking: Ranking, index: int) -> SideOf:
    return ranking.network.causes[index]
