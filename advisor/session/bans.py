"""What must not be done with a bike as it is: which rules say so, why, and what a rider may still look at."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.case import Case
from advisor.chain.compile import side_at
from advisor.plan.candidates import feasible, real_outcomes, scene
from advisor.report import Report
from advisor.rulebase.model import Check, Condition, PartIs, Rule, Rulebase, SignIs
from advisor.session.events import Answered, Event, Skipped, Told
from advisor.sides import BOTH, Side, Sided, fill


class Ban(msgspec.Struct, frozen=True, kw_only=True):
    """A rule that forbids something on this bike, and why.

    One that warns of a danger says that it must not be done; one that does not, that it cannot be done.
    """

    rule: str
    reason: str
    forbids: tuple[str, ...]
    warns: tuple[str, ...]
    looks: tuple[str, ...]


def bans(report: Report, case: Case, base: Rulebase) -> tuple[Ban, ...]:
    """Return the rules that forbid something by signs and parts, the gravest first.

    Those that allow no look are the gravest, then those that forbid most.

    A rule that compares a reading is left out: what it forbids stands in the report alone.
    """
    known = {(one.id, one.side): one.state == "seen" for one in report.signs if one.state in {"seen", "not seen"}}
    found = [
        Ban(rule=rule.id, reason=fill(rule.reason, side), forbids=rule.forbids, warns=rule.warns, looks=rule.looks)
        for rule in base.rules.values()
        if rule.forbids
        for side in _sides(rule)
        if all(_holds(one, side, known, case) for one in rule.when)
        and not any(_holds(one, side, known, case) for one in rule.unless)
    ]
    return tuple(sorted(found, key=lambda one: (not one.warns, bool(one.looks), -len(one.forbids))))


def _sides(rule: Rule) -> tuple[Side, ...]:
    sided = any(isinstance(one, SignIs) and one.bearing != "none" for one in (*rule.when, *rule.unless))
    return BOTH if sided else (None,)


def _holds(condition: Condition, side: Side, known: dict[Sided, bool], case: Case) -> bool:
    match condition:
        case SignIs():
            return known.get((condition.sign, side_at(condition.bearing, side))) is condition.seen
        case PartIs():
            return case.bike.parts.get(condition.part) == condition.kind
    return False


def asked_since(found: tuple[Ban, ...], events: Sequence[Event], base: Rulebase) -> int:
    """Return how many questions were put since something that these bans rest on was first told or seen."""
    signs = {one.sign for ban in found for one in base.rules[ban.rule].when if isinstance(one, SignIs)}
    since = 0
    for place, event in enumerate(events):
        if isinstance(event, Told | Answered) and any(one.sign in signs for one in event.reports):
            since = place + 1
            break
    return sum(isinstance(one, Answered | Skipped) for one in events[since:])


def safe_looks(found: tuple[Ban, ...], report: Report, case: Case, base: Rulebase) -> Iterator[tuple[Check, Side]]:
    """Yield what a rider may still look at or say although the engine must not be cranked, in the order of the pages.

    Nothing, if one of the bans allows no look: smoke and fumes come before any question.
    """
    strict = [one for one in found if "cranking" in one.forbids]
    here = scene(base, case, report.signs, frozenset(report.forbidden))
    if any(not one.looks for one in strict):
        return
    for name in dict.fromkeys(look for one in strict for look in one.looks):
        check = base.checks[name]
        for side in BOTH if check.sided else (None,):
            asked = (name, side) in case.not_again
            if not asked and feasible(check, side, here, base) and _tells(check, side, here.known, base):
                yield check, side


def _tells(check: Check, side: Side, known: dict[Sided, bool], base: Rulebase) -> bool:
    """Whether a check settles a sign that is not known yet."""
    return any(
        key not in known
        for outcome in check.outcomes
        for _, settled in real_outcomes(outcome, side, base)
        for key in settled
    )
