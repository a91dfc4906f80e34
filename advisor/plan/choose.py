"""Sorts the possible checks by the time they save, and says what each result would lead to.

The checks with the most bits per minute are judged one step ahead: the minutes of the check, plus those from
each of its results to the cause. So is putting such a check off until after the best bargain: its cost
is saved if the bargain was the cause, and its result seldom changes that the bargain comes first.
"""

import heapq
from collections.abc import Collection, Sequence

import msgspec

from advisor.plan.ahead import SAME_CHANCE, Ahead, Weighed
from advisor.plan.candidates import ASKED, Candidate, Result, Scene, candidates, feasible, real_outcomes
from advisor.plan.comes_first import asks_what_kind, kind_first, kinds_of_what_is_said, lifts, looks_first
from advisor.plan.cost import minutes
from advisor.plan.deciding import deciding_check
from advisor.plan.heat import cooling_lost, cools, waits
from advisor.plan.information import at_most, told_by
from advisor.plan.silence import silenced, silences
from advisor.rank.joint import Joint, WhatIf
from advisor.rank.ranking import level
from advisor.report import Evidence, NextCheck, OutcomeSeen
from advisor.rulebase.model import Rulebase
from advisor.sides import Sided, either, fill

LEAST_BITS = 0.005
SHORTLIST = 8  # checks looked at one step ahead
DECIDING = 3  # of the likeliest causes, whose deciding checks are looked at too
LEAST_CHARGE = 1.0  # minutes of cooling lost that are worth a thought
SAME_RATE = 1e-6  # bits per minute
ANSWERED_BEFORE = 2.0  # checks of each kind that count as answered before the first one: judgement
Priced = tuple[Candidate, float, float]  # a check, its minutes here, and those that it is charged


class Plan(msgspec.Struct, frozen=True):
    """The possible checks, best first, and the cause to go for at once (None: do the first check).

    Going for a cause means its deciding check, or putting it right if that check confirmed it (`proven`).
    """

    checks: list[Weighed]
    goes_for: Sided | None
    proven: bool = False


def in_words(
    base: Rulebase, what_if: WhatIf, evidence: Sequence[Evidence], checks: Sequence[Weighed], gone_into: int
) -> tuple[NextCheck, ...]:
    """Return checks as they are shown; for the first few, also what each result would lead to."""
    quiet = silences(base)
    found = []
    for number, one in enumerate(checks):
        results = zip(one.candidate.results, one.told.chances, strict=True) if number < gone_into else ()
        outcomes = tuple(
            _outcome(base, what_if, silenced(_seen(result), evidence, quiet), result, chance)
            for result, chance in results
        )
        found.append(_next(base, one, outcomes))
    return tuple(found)


def plan(base: Rulebase, joint: Joint, here: Scene, most: int = 1) -> Plan:
    """Return at least the best `most` checks, best first: a short list by minutes to the cause, the rest by bits.

    Equals come in the readiness order.
    """
    possible = _priced(candidates(base, joint.ranking.network, here), joint, here, base)
    ahead = Ahead(base, joint, here, {(one.check.id, one.side) for one, _, _ in possible})
    often = answered(here, base)
    always = {ahead.look, *ahead.looks_of_likeliest(DECIDING)}
    scored = _all_told(possible, joint, often) if most > SHORTLIST else _best_told(possible, joint, often, always)
    scored.sort(key=lambda one: (-_rate(one), *_tie(one, here, base)))
    bargain = next((one for one in scored if _key(one) == ahead.look), None)
    kinds = kinds_of_what_is_said(joint, here, base)
    kind = next((one for one in scored if asks_what_kind(one, kinds)), None)
    chosen = [one for one in scored[SHORTLIST:] if _key(one) in always or one is kind]
    short, rest = [*scored[:SHORTLIST], *chosen], [one for one in scored[SHORTLIST:] if one not in chosen]
    looked = [msgspec.structs.replace(one, to_cause=ahead.minutes(one)) for one in short if one is not bargain]
    at_once = min([ahead.at_once, *(ahead.put_off(one) for one in looked)])
    if bargain:  # done as part of going for one cause after another, unless it would lose a cold engine
        charge = bargain.price - bargain.minutes - base.words.step
        at_once += charge if charge >= LEAST_CHARGE else 0.0
        looked.append(msgspec.structs.replace(bargain, to_cause=at_once))
    looked.sort(key=lambda one: (round(one.to_cause, 6), *_tie(one, here, base)))
    idle = [one for one in looked if one.candidate.check.how == ASKED and ahead.changes_nothing(one)]
    looked = [*(one for one in looked if one not in idle), *idle]
    looked = kind_first(looked, [one for one in looked if asks_what_kind(one, kinds)])
    goes_for = ahead.goes_for(at_once, looked[0] if looked else None)
    proven = goes_for is not None and ahead.look is None
    first = lifts(possible, here, base)
    if first is None and goes_for and not proven and ahead.look not in ahead.possible:
        first = _best_proof(goes_for, possible, ahead, joint, often, base)
    if first is None and not ahead.acts_on(goes_for) and not (looked and asks_what_kind(looked[0], kinds)):
        first = looks_first(possible, here, base)
    if first is None:
        return Plan(looked + rest, goes_for, proven=proven)
    told = next((one for one in looked + rest if one.candidate is first[0]), None) or _told(first, joint, often)
    return Plan([told, *(one for one in looked + rest if one is not told)], None)


def _priced(found: Sequence[Candidate], joint: Joint, here: Scene, base: Rulebase) -> list[Priced]:
    """Return checks with their minutes here and what they are charged.

    Each is charged as a step too. One that warms the engine is charged the cooling it costs, as likely as a cold one is
    still to decide.
    """
    left, ranking = cools(here.case), joint.ranking
    pairs = zip(ranking.network.causes, ranking.posterior.causes, strict=True)
    cold = min(sum(chance for cause, chance in pairs if _is_decided_cold(cause, here, base)), 1.0)
    each = [minutes(one.check, one.side, here.case.opened, base) + waits(one.check, left) for one in found]
    return [
        (one, takes, base.words.step + takes + cold * cooling_lost(one.check, left))
        for one, takes in zip(found, each, strict=True)
    ]


def _is_decided_cold(cause: Sided, here: Scene, base: Rulebase) -> bool:
    """Whether the deciding check of a cause needs a cold engine, is still to be done, and can be done here."""
    look = deciding_check(*cause, base)
    check = base.checks[look[0]]
    return check.engine == "cold" and look not in here.case.not_again and feasible(check, look[1], here, base)


def _key(one: Weighed) -> Sided:
    return one.candidate.check.id, one.candidate.side


def _told(one: Priced, joint: Joint, often: dict[str, float]) -> Weighed:
    return Weighed(one[0], told_by(one[0], joint), one[1], one[2], often[one[0].check.how])


def _best_proof(
    cause: Sided, possible: Sequence[Priced], ahead: Ahead, joint: Joint, often: dict[str, float], base: Rulebase
) -> Priced | None:
    """Return the check that saves most minutes of a repair in vain, if its cause cannot be decided here.

    No long repair before the best proof that can be had.
    """
    index = ahead.causes.index(cause)
    page = base.causes[cause[0]]
    saved = []
    for one in possible:
        asked = {key for result in one[0].results for key in result.states}
        asked |= {key for vague in asked for key in joint.ranking.network.kinds.get(vague, ())}
        if any(index in joint.ranking.network.signs[key].strengths for key in asked):
            saved.append((ahead.saves(_told(one, joint, often), index, page.minutes), one))
    best = max(saved, key=lambda pair: level(pair[0]), default=None)
    return best[1] if best and best[0] > 0 else None


def _rate(one: Weighed) -> float:
    return round(one.told.bits * one.answers / one.price, 6)


def answered(here: Scene, base: Rulebase) -> dict[str, float]:
    """Return, for each way of knowing, how often such a check gives an answer here: not every rider can tell.

    The answers so far, plus a few assumed ones (the rule of succession).
    """
    asked, gave = dict.fromkeys(base.words.trust, ANSWERED_BEFORE), dict.fromkeys(base.words.trust, ANSWERED_BEFORE)
    known = {(one.sign, one.side) for one in here.case.seen}
    for name, side in here.case.not_again:
        check = base.checks.get(name)
        if check:
            asked[check.how] += 1
            gave[check.how] += any(
                not settled.keys().isdisjoint(known)
                for outcome in check.outcomes
                for _, settled in real_outcomes(outcome, side, base)
            )
    return {how: gave[how] / asked[how] for how in asked}


def _all_told(possible: list[Priced], joint: Joint, often: dict[str, float]) -> list[Weighed]:
    return [one for one in (_told(one, joint, often) for one in possible) if one.told.bits >= LEAST_BITS]


def _best_told(
    possible: list[Priced], joint: Joint, often: dict[str, float], always: Collection[Sided | None]
) -> list[Weighed]:
    """Return the checks of the short list, and perhaps others; one that cannot tell enough is not worked out."""
    bound = {id(one): at_most(one, joint) * often[one.check.how] / price for one, _, price in possible}
    scored: list[Weighed] = []
    best: list[float] = []  # a heap of the short list's rates
    for one, takes, price in sorted(possible, key=lambda priced: -bound[id(priced[0])]):
        full = len(best) == SHORTLIST and (one.check.id, one.side) not in always
        if full and bound[id(one)] < best[0] - SAME_RATE:
            continue
        # A question about a kind of a reported sign is wanted whatever its rate.
        closer = full and one.check.how != ASKED
        if closer and at_most(one, joint, closely=True) * often[one.check.how] / price < best[0] - SAME_RATE:
            continue
        told = _told((one, takes, price), joint, often)
        if told.told.bits >= LEAST_BITS:
            scored.append(told)
            (heapq.heappush if len(best) < SHORTLIST else heapq.heappushpop)(
                best, told.told.bits * told.answers / price
            )
    return scored


def _tie(one: Weighed, here: Scene, base: Rulebase) -> tuple[int, str, bool]:
    check = one.candidate.check
    return base.order_of(check.place), check.id, here.turn(one.candidate.side)


def _next(base: Rulebase, one: Weighed, outcomes: tuple[OutcomeSeen, ...]) -> NextCheck:
    check, side = one.candidate.check, one.candidate.side
    return NextCheck(
        id=check.id,
        side=side,
        title=fill(check.title, side),
        steps=tuple(fill(step, side) for step in check.steps),
        minutes=one.minutes,
        gain_bits=one.told.bits,
        tools=tuple(base.tools[tool].title for tool in check.tools),
        engine=check.engine,
        cautions=check.cautions,
        outcomes=outcomes,
    )


def _seen(result: Result) -> list[str]:
    return [key[0] for key, seen in result.states.items() if seen]


def _outcome(base: Rulebase, what_if: WhatIf, less: set[Sided], result: Result, chance: float) -> OutcomeSeen:
    after = what_if.after(result.findings, [key for key in what_if.ranking.findings if key in less])
    lead = max(after, key=lambda one: level(after[one]))  # the first of equals, in the order of causes
    cause, side = what_if.ranking.network.causes[lead]
    if any(after[lead] - after[one] < SAME_CHANCE for one in _twins(what_if, lead)):
        side = None  # equally likely on both sides
    return OutcomeSeen(
        says=result.says,
        side=result.side,
        probability=chance,
        leads=cause,
        leads_side=side,
        leads_title=either(base.causes[cause].title, side),
        leads_probability=after[lead],
    )


def _twins(what_if: WhatIf, lead: int) -> list[int]:
    """Return the same cause on the other side, if it has one; a network keeps the two next to each other."""
    causes = what_if.ranking.network.causes
    beside = (lead - 1, lead + 1)
    return [one for one in beside if 0 <= one < len(causes) and causes[one][0] == causes[lead][0]]
