"""Sorts the possible checks by the time they save, and says what each result would lead to.

The checks with the most bits per minute are judged one step ahead: the minutes of the check, plus those from
each of its results to the cause. So is putting such a check off until after the best bargain: its cost
is saved if the bargain was the cause, and its result seldom changes that the bargain comes first.
"""

import heapq
from collections.abc import Collection, Mapping, Sequence

import msgspec

from advisor.chain.run import trusted
from advisor.plan.candidates import Candidate, Result, Scene, candidates, feasible, real_outcomes
from advisor.plan.cost import Search, minutes, open_after
from advisor.plan.deciding import deciding_check, settled
from advisor.plan.information import Told, at_most, told_by
from advisor.plan.silence import silenced, silences
from advisor.rank.joint import Joint, WhatIf
from advisor.rank.ranking import level
from advisor.report import Evidence, NextCheck, OutcomeSeen
from advisor.rulebase.model import Rulebase, SignIs
from advisor.sides import Side, Sided, either, fill

LEAST_BITS, SAME_CHANCE = 0.005, 1e-9
SHORTLIST = 8  # checks looked at one step ahead
SAME_RATE = 1e-6  # bits per minute
LOOK_AGAIN = 0.1  # probability from which a part found sound is looked at once more: judgement
ASKED, QUICK, HARDLY_MORE = "told", 2.0, 1.05  # how an answer is known, minutes, and ratio of minutes: judgement
LEAST_CHANCE = 1e-6  # of a result, to be followed up
ANSWERED_BEFORE = 2.0  # checks of each kind that count as answered before the first one: judgement
# Minutes that checks on a cold engine must wait once it has run (judgement), and the least bits worth it.
COOLING_MINUTES, WORTH_KEEPING_COLD = 20.0, 0.05


class Weighed(msgspec.Struct, frozen=True):
    """A check with the information it would give and the minutes it takes here.

    `price` is the minutes it is charged, `to_cause` those expected from its start to the cause. `answers` is how
    often checks of this way of knowing gave an answer here.
    """

    candidate: Candidate
    told: Told
    minutes: float
    price: float
    answers: float
    to_cause: float = 0.0


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
    opened = here.case.opened
    possible = [
        (one, minutes(one.check, one.side, opened, base)) for one in candidates(base, joint.ranking.network, here)
    ]
    ahead = _Ahead(base, joint, here, {(one.check.id, one.side) for one, _ in possible})
    everything = most > SHORTLIST or here.case.means.engine == "cold"
    often = answered(here, base)
    scored = _all_told(possible, joint, often) if everything else _best_told(possible, joint, often, ahead.look)
    if here.case.means.engine == "cold" and any(_loses_with_heat(one) for one in scored):
        scored = [_kept_cold(one) for one in scored]
    scored.sort(key=lambda one: (-_rate(one), *_tie(one, here, base)))
    short, rest = scored[:SHORTLIST], scored[SHORTLIST:]
    bargain = next((one for one in scored if (one.candidate.check.id, one.candidate.side) == ahead.look), None)
    if bargain in rest:
        short, rest = [*short, bargain], [one for one in rest if one is not bargain]
    kinds = _kinds_of_what_is_said(joint, here, base)
    kind = next((one for one in scored if _asks_what_kind(one, kinds)), None)
    if kind in rest:
        short, rest = [*short, kind], [one for one in rest if one is not kind]
    looked = [msgspec.structs.replace(one, to_cause=ahead.minutes(one)) for one in short if one is not bargain]
    at_once = min([ahead.at_once, *(ahead.put_off(one) for one in looked)])
    if bargain:  # done as part of going for one cause after another, unless it would lose a cold engine
        looked.append(msgspec.structs.replace(bargain, to_cause=at_once + bargain.price - bargain.minutes))
    looked.sort(key=lambda one: (round(one.to_cause, 6), *_tie(one, here, base)))
    idle = [one for one in looked if one.candidate.check.how == ASKED and ahead.changes_nothing(one)]
    looked = [*(one for one in looked if one not in idle), *idle]
    looked = _kind_first(looked, [one for one in looked if _asks_what_kind(one, kinds)])
    first = _lifts(possible, here, base)
    if first is not None:
        told = Weighed(first[0], told_by(first[0], joint), first[1], first[1], often[first[0].check.how])
        return Plan([told, *(one for one in looked + rest if one.candidate is not first[0])], None)
    goes_for = ahead.goes_for(at_once, looked[0] if looked else None)
    return Plan(looked + rest, goes_for, proven=goes_for is not None and ahead.look is None)


def _kinds_of_what_is_said(joint: Joint, here: Scene, base: Rulebase) -> set[Sided]:
    """Return the kinds of signs that were only reported vaguely: none of the kinds is known to be there."""
    kinds = joint.ranking.network.kinds
    vague = [key for key in kinds if here.known.get(key) and not base.signs[key[0]].past]
    return {kind for key in vague if not any(here.known.get(one) for one in kinds[key]) for kind in kinds[key]}


def _asks_what_kind(one: Weighed, kinds: set[Sided]) -> bool:
    """Whether a check is a quick question about one of these kinds."""
    if one.candidate.check.how != ASKED or one.minutes > QUICK:
        return False
    return any(seen and key in kinds for result in one.candidate.results for key, seen in result.states.items())


def _kind_first(looked: list[Weighed], asking: list[Weighed]) -> list[Weighed]:
    """Return the checks with the question about the kind first, if that costs hardly any minutes.

    Looking one step ahead does not show that all later questions then concern the right kind.
    """
    if not asking or asking[0].to_cause > HARDLY_MORE * looked[0].to_cause:
        return looked
    return [asking[0], *(one for one in looked if one is not asking[0])]


def _lifts(possible: Sequence[tuple[Candidate, float]], here: Scene, base: Rulebase) -> tuple[Candidate, float] | None:
    """Return the quickest check, with its minutes, on what forbids running the engine until it is checked.

    A rule that forbids `unless` something is not seen waits for exactly that: a smell of fuel, until nothing leaks.
    """
    awaited = banned_until_seen(base, here.known)
    if not awaited:
        return None
    least = trusted(base.words.unready, base)  # hearsay lifts nothing
    looks = [
        one
        for one in possible
        if trusted(one[0].check.how, base) >= least
        and any(key in awaited and not seen for result in one[0].results for key, seen in result.states.items())
    ]
    return min(looks, key=lambda one: (one[1], one[0].check.id, here.turn(one[0].side)), default=None)


def banned_until_seen(base: Rulebase, known: Mapping[Sided, bool]) -> set[Sided]:
    """Return the signs, not known yet, that lift a ban once somebody has looked and not found them."""
    return {
        (one.sign, None)
        for rule in base.rules.values()
        if rule.forbids
        and all(isinstance(when, SignIs) and known.get((when.sign, None)) is when.seen for when in rule.when)
        for one in rule.unless
        if isinstance(one, SignIs) and not one.seen and (one.sign, None) not in known
    }


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


def _all_told(possible: list[tuple[Candidate, float]], joint: Joint, often: dict[str, float]) -> list[Weighed]:
    told = [Weighed(one, told_by(one, joint), takes, takes, often[one.check.how]) for one, takes in possible]
    return [one for one in told if one.told.bits >= LEAST_BITS]


def _best_told(
    possible: list[tuple[Candidate, float]], joint: Joint, often: dict[str, float], always: Sided | None
) -> list[Weighed]:
    """Return the checks of the short list, and perhaps others; one that cannot tell enough is not worked out."""
    bound = {id(one): at_most(one, joint) * often[one.check.how] / takes for one, takes in possible}
    scored: list[Weighed] = []
    best: list[float] = []  # a heap of the short list's rates
    for one, takes in sorted(possible, key=lambda pair: -bound[id(pair[0])]):
        full = len(best) == SHORTLIST and (one.check.id, one.side) != always
        if full and bound[id(one)] < best[0] - SAME_RATE:
            continue
        # A question about a kind of a reported sign is wanted whatever its rate.
        closer = full and one.check.how != ASKED
        if closer and at_most(one, joint, closely=True) * often[one.check.how] / takes < best[0] - SAME_RATE:
            continue
        told = told_by(one, joint)
        if told.bits >= LEAST_BITS:
            answers = often[one.check.how]
            scored.append(Weighed(one, told, takes, takes, answers))
            (heapq.heappush if len(best) < SHORTLIST else heapq.heappushpop)(best, told.bits * answers / takes)
    return scored


def _tie(one: Weighed, here: Scene, base: Rulebase) -> tuple[int, str, bool]:
    check = one.candidate.check
    return base.order_of(check.place), check.id, here.turn(one.candidate.side)


def _kept_cold(one: Weighed) -> Weighed:
    warms = "running" in one.candidate.check.involves
    return msgspec.structs.replace(one, price=one.price + COOLING_MINUTES) if warms else one


class _Ahead:
    """Looks one step ahead: the work left on average after a check, before or after the best bargain.

    `look` is the bargain's deciding check; None if that has confirmed it.
    """

    def __init__(self, base: Rulebase, joint: Joint, here: Scene, possible: Collection[Sided]) -> None:
        self.base, self.joint, self.opened = base, joint, tuple(here.case.opened)
        self.causes = joint.ranking.network.causes
        self.said = [settled(*cause, here, base) for cause in self.causes]
        self._searches: dict[tuple[Sided, ...], Search] = {}
        self._after: dict[Sided, list[tuple[float, list[float]]]] = {}
        now, chances = self._search(self.opened), joint.ranking.posterior.causes
        self.chances = chances
        self.at_once = now.expected(chances)
        looks = [deciding_check(*cause, base) for cause in self.causes]
        open_ones = [
            one
            for one, chance in enumerate(chances)
            if (chance > 0 if self.said[one] or looks[one] in possible else self._again(chance, looks[one], here))
        ]
        open_ones.sort(key=lambda one: (self.causes[one][0], here.turn(self.causes[one][1])))
        self.bargain = now.bargain(chances, open_ones) if open_ones else None
        self.price = now.price(self.bargain) if self.bargain is not None else 0.0
        proven = self.bargain is None or self.said[self.bargain]
        self.look: Sided | None = None if proven else looks[self.bargain]  # type: ignore[index]  # not None here

    def _again(self, chance: float, look: Sided, here: Scene) -> bool:
        """Whether to go for a cause that was checked in vain or cannot be checked: only if it is still likely.

        A cause likely enough to act on is gone for even if its deciding check cannot be done.
        """
        can = feasible(self.base.checks[look[0]], look[1], here, self.base)
        return chance >= self.base.words.act_at or (chance >= LOOK_AGAIN and can)

    def minutes(self, one: Weighed) -> float:
        """Return the minutes of a check plus those expected from there to the cause."""
        search = self._search(open_after(one.candidate.check, one.candidate.side, self.opened, self.base))
        return one.price + sum(chance * search.expected(after) for chance, after in self._results(one))

    def put_off(self, one: Weighed) -> float:
        """Return the minutes expected to the cause with the bargain first, and then this check."""
        if self.bargain is None:
            return self.at_once
        search = self._search(open_after(one.candidate.check, one.candidate.side, self.opened, self.base))
        total = self.price
        for chance, after in self._results(one):
            missed, minutes_left = search.expected_after(self.bargain, after)
            total += chance * missed * (one.price + minutes_left)
        return total

    def changes_nothing(self, one: Weighed) -> bool:
        """Whether every result of a check leaves the same cause in the lead, none likely enough to act on."""
        return {self._leads(chances) for _, chances in self._results(one)} <= {self._leads(self.chances)}

    def _leads(self, chances: Sequence[float]) -> tuple[str, Side, bool]:
        """Return the likeliest cause, without its side if both are equally likely, and whether to act on it."""
        most = max(chances)
        best = [self.causes[one] for one, chance in enumerate(chances) if most - chance < SAME_CHANCE]
        name, side = min(best, key=lambda one: one[0])
        return name, side if len(best) == 1 else None, most >= self.base.words.act_at

    def goes_for(self, at_once: float, best: Weighed | None) -> Sided | None:
        """Return the bargain if nothing is better than going for it at once."""
        if self.bargain is None:
            return None
        if (
            best is None
            or (best.candidate.check.id, best.candidate.side) == self.look
            or round(at_once, 6) <= round(best.to_cause, 6)
        ):
            return self.causes[self.bargain]
        return None

    def _results(self, one: Weighed) -> list[tuple[float, list[float]]]:
        """Return each result likely enough to be followed up: its chance, and the chances of the causes after it."""
        key = one.candidate.check.id, one.candidate.side
        if key not in self._after:
            pairs = zip(one.candidate.results, one.told.chances, strict=True)
            self._after[key] = [
                (one.answers * chance, self._causes(self.joint.after(result.findings)))
                for result, chance in pairs
                if chance > LEAST_CHANCE
            ]
            if one.answers < 1:
                self._after[key].append((1 - one.answers, list(self.chances)))
        return self._after[key]

    def _causes(self, after: dict[int, float]) -> list[float]:
        return [after[cause] for cause in range(len(self.causes))]

    def _search(self, opened: tuple[Sided, ...]) -> Search:
        if opened not in self._searches:
            self._searches[opened] = Search(self.base, self.causes, opened, self.said)
        return self._searches[opened]


def _loses_with_heat(one: Weighed) -> bool:
    """Whether a useful check needs the engine cold, which running it would spoil."""
    check = one.candidate.check
    return check.engine == "cold" and "running" not in check.involves and one.told.bits >= WORTH_KEEPING_COLD


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
