"""Sorts what can be done by bits per minute, and says what each result would lead to."""

from collections.abc import Iterable

from advisor.plan.candidates import Candidate, Result, candidates
from advisor.plan.information import Told, told_by
from advisor.rank.joint import WhatIf
from advisor.records import Case, NextCheck, OutcomeSeen, SignState
from advisor.rulebase.model import Rulebase
from advisor.sides import fill

LEAST_BITS = 0.005


def next_checks(
    base: Rulebase, what_if: WhatIf, case: Case, signs: Iterable[SignState], most: int
) -> tuple[NextCheck, ...]:
    """Return the checks that tell most for their minutes, best first; equals in the readiness order."""
    scored = []
    for candidate in candidates(base, what_if.ranking.network, case, signs):
        told = told_by(candidate, what_if.joint)
        if told.bits >= LEAST_BITS:
            check = candidate.check
            rate = round(told.bits / check.minutes, 6)
            scored.append(((-rate, base.order_of(check.place), check.id, candidate.side or ""), candidate, told))
    scored.sort(key=lambda one: one[0])
    return tuple(_next(base, what_if, candidate, told) for _, candidate, told in scored[:most])


def _next(base: Rulebase, what_if: WhatIf, candidate: Candidate, told: Told) -> NextCheck:
    check, side = candidate.check, candidate.side
    results = zip(candidate.results, told.chances, strict=True)
    return NextCheck(
        id=check.id,
        side=side,
        title=fill(check.title, side),
        steps=tuple(fill(step, side) for step in check.steps),
        minutes=check.minutes,
        gain_bits=told.bits,
        tools=tuple(base.tools[tool].title for tool in check.tools),
        engine=check.engine,
        cautions=check.cautions,
        outcomes=tuple(_outcome(base, what_if, result, chance) for result, chance in results),
    )


def _outcome(base: Rulebase, what_if: WhatIf, result: Result, chance: float) -> OutcomeSeen:
    after = what_if.after(result.findings)
    lead = max(after, key=lambda cause: (after[cause], -cause))
    cause, side = what_if.ranking.network.causes[lead]
    return OutcomeSeen(
        says=result.says,
        side=result.side,
        probability=chance,
        leads=cause,
        leads_side=side,
        leads_title=fill(base.causes[cause].title, side),
        leads_probability=after[lead],
    )
