"""The checks that come before all others, whatever they tell for their minutes."""

from collections.abc import Mapping, Sequence

from advisor.chain.run import trusted
from advisor.plan.ahead import Weighed
from advisor.plan.candidates import ASKED, Candidate, Scene, real_outcomes
from advisor.rank.joint import Joint
from advisor.rulebase.model import Rulebase, SignIs
from advisor.sides import BOTH, Sided, other

QUICK, HARDLY_MORE = 2.0, 1.05  # minutes, and ratio of minutes: judgement
Priced = tuple[Candidate, float, float]  # a check, its minutes here, and those that it is charged


def kinds_of_what_is_said(joint: Joint, here: Scene, base: Rulebase) -> set[Sided]:
    """Return the kinds of signs that were only reported vaguely: none of the kinds is known to be there."""
    kinds = joint.ranking.network.kinds
    vague = [key for key in kinds if here.known.get(key) and not base.signs[key[0]].past]
    return {kind for key in vague if not any(here.known.get(one) for one in kinds[key]) for kind in kinds[key]}


def asks_what_kind(one: Weighed, kinds: set[Sided]) -> bool:
    """Whether a check is a quick question about one of these kinds."""
    if one.candidate.check.how != ASKED or one.minutes > QUICK:
        return False
    return any(seen and key in kinds for result in one.candidate.results for key, seen in result.states.items())


def kind_first(looked: list[Weighed], asking: list[Weighed]) -> list[Weighed]:
    """Return the checks with the question about the kind first, if that costs hardly any minutes.

    Looking one step ahead does not show that all later questions then concern the right kind.
    """
    if not asking or asking[0].to_cause > HARDLY_MORE * looked[0].to_cause:
        return looked
    return [asking[0], *(one for one in looked if one is not asking[0])]


def lifts(possible: Sequence[Priced], here: Scene, base: Rulebase) -> Priced | None:
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


def looks_first(possible: Sequence[Priced], here: Scene, base: Rulebase) -> Priced | None:
    """Return the quickest check that comes first after something that is known here.

    Bits a minute do not show its worth: it looks at a dozen parts, each unlikely to be it, and only the likeliest
    suspects are looked at closely. A mechanic does it because it is nearly free, and because each later check is read
    wrongly while something is off. One of whose signs half are known already does not come first, nor one that would
    warm an engine that is probably needed cold: one charged for more than its own minutes again.
    """
    due = [one for one in possible if _is_due(one[0], here, base) and one[2] - base.words.step <= 2 * one[1]]
    return min(
        due,
        key=lambda one: (one[1], base.order_of(one[0].check.place), one[0].check.id, here.turn(one[0].side)),
        default=None,
    )


def _is_due(one: Candidate, here: Scene, base: Rulebase) -> bool:
    """Whether a check comes first here; one that is done on one side only after signs of that side, or of none."""
    check, sides = one.check, ((one.side, None) if one.check.sided else (*BOTH, None))
    if not check.first_after:
        return False
    after = [sign for sign in check.first_after if any(here.known.get((sign, at)) for at in sides)]
    asked = {
        key for outcome in check.outcomes for _, settled in real_outcomes(outcome, one.side, base) for key in settled
    }
    if all(side for _, side in asked) and _side_is_known(here):
        after = [sign for sign in after if not _leaves_the_side_open(sign, base)]
    return bool(after) and 2 * sum(key in here.known for key in asked) < len(asked)


def _side_is_known(here: Scene) -> bool:
    """Whether anything is there on one side alone."""
    return any(seen and side and not here.known.get((name, other(side))) for (name, side), seen in here.known.items())


def _leaves_the_side_open(sign: str, base: Rulebase) -> bool:
    """Whether a sign says that it is one side, but not which: it has no side, and kinds of it have one."""
    return not base.signs[sign].sided and any(one.kind_of == sign and one.sided for one in base.signs.values())
