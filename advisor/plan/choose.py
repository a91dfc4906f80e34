"""Sorts what can be done by bits per minute, and says what each result would lead to."""

from advisor.plan.candidates import Candidate, Result, Scene, candidates
from advisor.plan.information import Told, told_by
from advisor.plan.silence import Silences, silenced, silences
from advisor.rank.joint import WhatIf
from advisor.records import NextCheck, OutcomeSeen
from advisor.rulebase.model import Rulebase
from advisor.sides import either, fill

LEAST_BITS, SAME_CHANCE = 0.005, 1e-9
# Running a cold engine costs the checks that need it cold this long a wait; judgement, and the least bits worth it.
COOLING_MINUTES, WORTH_KEEPING_COLD = 20.0, 0.05


def next_checks(base: Rulebase, what_if: WhatIf, here: Scene, most: int) -> tuple[NextCheck, ...]:
    """Return the checks that tell most for their minutes, best first; equals in the readiness order."""
    scored = []
    for candidate in candidates(base, what_if.ranking.network, here):
        told = told_by(candidate, what_if.joint)
        if told.bits >= LEAST_BITS:
            scored.append((candidate, told))
    keep_cold = here.case.means.engine == "cold" and any(_loses_with_heat(*pair) for pair in scored)

    def rank(pair: tuple[Candidate, Told]) -> tuple[float, int, str, str]:
        (check, side), told = (pair[0].check, pair[0].side), pair[1]
        warms = keep_cold and "running" in check.involves
        rate = told.bits / (check.minutes + (COOLING_MINUTES if warms else 0))
        return -round(rate, 6), base.order_of(check.place), check.id, side or ""

    quiet = silences(base)
    best = sorted(scored, key=rank)[:most]
    return tuple(_next(base, what_if, quiet, candidate, told) for candidate, told in best)


def _loses_with_heat(candidate: Candidate, told: Told) -> bool:
    """Whether a check that would tell something needs the cold engine that running it would lose."""
    check = candidate.check
    return check.engine == "cold" and "running" not in check.involves and told.bits >= WORTH_KEEPING_COLD


def _next(base: Rulebase, what_if: WhatIf, quiet: Silences, candidate: Candidate, told: Told) -> NextCheck:
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
        outcomes=tuple(_outcome(base, what_if, quiet, result, chance) for result, chance in results),
    )


def _outcome(base: Rulebase, what_if: WhatIf, quiet: Silences, result: Result, chance: float) -> OutcomeSeen:
    seen = [key[0] for key, finding in result.findings.items() if finding.seen]
    after = what_if.after(result.findings, silenced(seen, what_if.ranking.findings, quiet))
    lead = max(after, key=lambda cause: (after[cause], -cause))
    cause, side = what_if.ranking.network.causes[lead]
    if any(_twin(what_if, lead, one) and after[lead] - after[one] < SAME_CHANCE for one in after):
        side = None  # as likely on the one side as on the other
    return OutcomeSeen(
        says=result.says,
        side=result.side,
        probability=chance,
        leads=cause,
        leads_side=side,
        leads_title=either(base.causes[cause].title, side),
        leads_probability=after[lead],
    )


def _twin(what_if: WhatIf, one: int, other: int) -> bool:
    causes = what_if.ranking.network.causes
    return one != other and causes[one][0] == causes[other][0]
