"""The next step in words: a check, or 'prove it, put it right, then these must hold'."""

from collections.abc import Sequence

from advisor.case import Case
from advisor.chain.compile import side_at
from advisor.plan.candidates import Scene, feasible
from advisor.plan.choose import Plan
from advisor.plan.deciding import gone_with, half_looked_at, settled, settling
from advisor.quantities import convert, show, widen
from advisor.rank.ranking import level
from advisor.readings.verdicts import figure_of, limit_for
from advisor.report import Advice, NextCheck, Proof, RankedCause, Unexplained
from advisor.rulebase.model import Cause, Check, ReadingIs, Rule, Rulebase
from advisor.sides import Side, Sided, fill

LOST_FROM = 0.9  # probability from which no known cause explains a sign
# A fault found this likely, and this quick to put right, is not left, even if it may not be the trouble: judgement.
FOUND_FROM, FOUND_MINUTES = 0.05, 45.0
SUSPECTED_FROM = 0.15  # with a sign unexplained and nothing likelier than this, the rules have no answer


def advise(
    base: Rulebase,
    causes: Sequence[RankedCause],
    checks: Sequence[NextCheck],
    unexplained: Sequence[Unexplained],
    here: Scene,
    planned: Plan,
) -> Advice:
    """Return the next step: act on a cause that is likely enough or proven, else do the check that saves most time."""
    top = causes[0]
    done = _shown_by_what_was_dealt_with(here.case, base)
    lost = [one for one in unexplained if one.probability >= LOST_FROM and (one.sign, one.side) not in done]
    if lost and top.probability < SUSPECTED_FROM:
        return _advice("none fits", _none_fits(lost))
    due = [cause for cause in causes if cause.probability >= base.words.act_at]
    if planned.goes_for and planned.proven and not due:
        due = [cause for cause in causes if (cause.id, cause.side) == planned.goes_for]
    if checks and not planned.goes_for:
        due = []
    due = [cause for cause in causes if _found(cause, here, base, first=cause is top)] or due
    if due:  # if several, the one that must be right first
        return _act(
            min(due, key=lambda one: (base.order_of(base.causes[one.id].place), -level(one.probability))), here, base
        )
    if checks:
        return _advice("check", checks[0].title, checks[0].side)
    return _advice("hand over", _hand_over(base, here.case))


def _shown_by_what_was_dealt_with(case: Case, base: Rulebase) -> set[Sided]:
    """Return the signs of causes that were put right or found sound: what was seen there needs no other cause."""
    return {
        (link.sign, side_at(link.bearing, side or "left"))
        for cause, side in (*case.put_right, *case.ruled_out)
        for link in base.causes[cause].links
    }


def _found(cause: RankedCause, here: Scene, base: Rulebase, *, first: bool) -> bool:
    """Whether a fault was found that should be put right before searching on: the likeliest, or a quick repair."""
    quick = cause.probability >= FOUND_FROM and base.causes[cause.id].minutes <= FOUND_MINUTES
    return (first or quick) and settled(cause.id, cause.side, here, base) is True


def _act(cause: RankedCause, here: Scene, base: Rulebase) -> Advice:
    """Return the advice to prove a cause, unless that is done, and to put it right."""
    page = base.causes[cause.id]
    proof = base.checks[page.settled_by]
    signs = settling(page, cause.side, base)
    proven = settled(cause.id, cause.side, here, base) is True
    looked = bool(signs & here.looked_at) and not half_looked_at(page, cause.side, here, base)
    doable = feasible(proof, cause.side, here, base) and not looked
    return Advice(
        kind="put right",
        says=fill(page.title, cause.side),
        cause=cause.id,
        side=cause.side,
        proven=proven,
        proof=_proof(proof, cause.side) if doable and not proven else None,
        then_must_hold=acceptance(page, cause.side, here.case, base),
        on_trial=proven and cause.probability < base.words.act_at,
    )


def _advice(kind: str, says: str, side: Side = None) -> Advice:
    return Advice(kind=kind, says=says, cause="", side=side, proven=False, proof=None, then_must_hold=())


def _proof(check: Check, side: Side) -> Proof:
    steps = tuple(fill(step, side) for step in check.steps)
    return Proof(
        id=check.id,
        title=fill(check.title, side),
        steps=steps,
        minutes=check.minutes,
        engine=check.engine,
        cautions=check.cautions,
    )


def acceptance(cause: Cause, side: Side, case: Case, base: Rulebase) -> tuple[str, ...]:
    """Return what must hold once a cause is put right: readings within limits if there are any, else signs gone."""
    lines: list[str] = []
    for sign, at in gone_with(cause, side, base):
        readings = [_within(one, case, base) for one in _read_off(sign, base)]
        finer = [_figure(one, case, base) for one in _read_off(base.signs[sign].kind_of, base) if one.of == "lead"]
        readings = [f"{one}; {finer[0]} where the instrument can tell it" if finer else one for one in readings]
        gone = (
            fill(base.signs[sign].title, at)
            if side or not base.signs[sign].sided
            else base.signs[sign].title.replace("the {side}", "either side").replace("{side}", "either")
        )
        lines += readings or [f"gone: {gone[0].lower()}{gone[1:]}"]
    return tuple(dict.fromkeys(lines))


def figures_that_clear(sign: str, case: Case, base: Rulebase) -> list[tuple[str, str]]:
    """Return each reading that alone clears a sign, with the words for how it must be."""
    alone = [rule.when[0] for rule in base.rules.values() if len(rule.when) == 1 and _shown_by(rule, sign)]
    found = [one for one in alone if isinstance(one, ReadingIs)]
    return [(one.reading, _within(one, case, base)) for one in found]


def _read_off(sign: str, base: Rulebase) -> list[ReadingIs]:
    """Return the conditions on readings by which rules show this sign; empty for no sign.

    They are in the order of the readings, then of the rules, on their page.
    """
    rules = sorted((one for one in base.rules.values() if _shown_by(one, sign)), key=lambda one: one.line)
    found = [one for rule in rules for one in rule.when if isinstance(one, ReadingIs)]
    return sorted(found, key=lambda one: base.readings[one.reading].line)


def _shown_by(rule: Rule, sign: str) -> bool:
    return any(one.sign == sign and one.seen for one in rule.shows)


def _within(condition: ReadingIs, case: Case, base: Rulebase) -> str:
    """Return the reading that clears a sign, in words."""
    title, figure = base.readings[condition.reading].title, _figure(condition, case, base)
    if condition.of == "lead":
        return f"{title}: left and right within {figure}"
    if condition.of == "change":
        return f"{title}: not moved by more than {figure}"
    return f"{title}: {'at most' if condition.above else 'at least'} {figure}"


def _figure(condition: ReadingIs, case: Case, base: Rulebase) -> str:
    """Return a condition's limit in its own unit and in the unit the mechanic used."""
    limit, value = base.limits[condition.limit], limit_for(condition, case.bike, base)
    unit = "%" if figure_of(condition, base) == "lead %" else base.readings[condition.reading].unit
    turn = convert if condition.of == "reading" else widen
    used = [one.unit for one in case.measured if one.reading == condition.reading and unit != "%"]
    units = list(dict.fromkeys([limit.unit, *used]))
    return " or ".join(show(turn(value, unit, one, base.units), one) for one in units)


def _none_fits(unexplained: Sequence[Unexplained]) -> str:
    signs = "; ".join(one.title for one in unexplained)
    return (
        f"Nothing in the rule base explains: {signs}. Look again at just that, measure again, "
        "and look where nobody has looked, before taking anything else apart."
    )


def _hand_over(base: Rulebase, case: Case) -> str:
    persons = base.persons
    if case.means.tools is not None or persons.index(case.means.person) < len(persons) - 1:
        return "Nothing that can be done here with these tools tells the rest apart; more tools or more skill can."
    return "No check tells the rest apart; measure again what was measured, and look where nobody has looked."
