"""The next step in words: a check, or 'prove it, put it right, then these must hold'."""

from collections.abc import Iterable, Sequence

from advisor.chain.compile import side_at
from advisor.plan.candidates import feasible
from advisor.quantities import show
from advisor.records import Advice, Case, NextCheck, Proof, RankedCause, SignState, Unexplained
from advisor.rulebase.model import Cause, Check, ReadingIs, Rulebase
from advisor.sides import Side, fill

SUSPECTED_FROM = 0.15  # with a sign left over and nothing more likely than this, the rules have no answer


def advise(
    base: Rulebase,
    causes: Sequence[RankedCause],
    checks: Sequence[NextCheck],
    unexplained: Sequence[Unexplained],
    case: Case,
    signs: Iterable[SignState],
) -> Advice:
    """Return the next step: act on a cause once it is likely enough, else do the check that tells most."""
    top = causes[0]
    if unexplained and top.probability < SUSPECTED_FROM:
        return Advice(
            kind="none fits",
            says=_none_fits(unexplained),
            cause="",
            side=None,
            proven=False,
            proof=None,
            then_must_hold=(),
        )
    if top.probability >= base.words.act_at:
        page = base.causes[top.id]
        known = {(sign.id, sign.side): sign.state == "seen" for sign in signs}
        proof = base.checks[page.settled_by]
        settled = settling(page, top.side, base)
        proven = any(known.get(key) for key in settled)
        doable = feasible(proof, top.side, case, known, base) and not any(key in known for key in settled)
        return Advice(
            kind="put right",
            says=fill(page.title, top.side),
            cause=top.id,
            side=top.side,
            proven=proven,
            proof=_proof(proof, top.side) if doable and not proven else None,
            then_must_hold=acceptance(page, top.side, base),
        )
    if checks:
        return Advice(
            kind="check",
            says=checks[0].title,
            cause="",
            side=checks[0].side,
            proven=False,
            proof=None,
            then_must_hold=(),
        )
    return Advice(
        kind="hand over", says=_hand_over(base, case), cause="", side=None, proven=False, proof=None, then_must_hold=()
    )


def _proof(check: Check, side: Side) -> Proof:
    steps = tuple(fill(step, side) for step in check.steps)
    return Proof(
        id=check.id, title=fill(check.title, side), steps=steps, minutes=check.minutes, cautions=check.cautions
    )


def settling(cause: Cause, side: Side, base: Rulebase) -> set[tuple[str, Side]]:
    """Return the signs, on their sides, by which a cause's deciding check settles it."""
    shown = {one.sign for outcome in base.checks[cause.settled_by].outcomes for one in outcome.shows}
    here: Side = side or "left"
    return {(link.sign, side_at(link.bearing, here)) for link in cause.links if link.sign in shown}


def acceptance(cause: Cause, side: Side, base: Rulebase) -> tuple[str, ...]:
    """Return what must hold once a cause is put right: readings within limits where there are any, else signs gone."""
    lines: list[str] = []
    for sign in cause.must_hold:
        readings = [
            _within(one, base)
            for rule in base.rules.values()
            for one in rule.when
            if isinstance(one, ReadingIs) and _shows(rule.shows, sign)
        ]
        gone = (
            fill(base.signs[sign].title, side)
            if side or not base.signs[sign].sided
            else base.signs[sign].title.replace("{side}", "one")
        )
        lines += readings or [f"no longer: {gone[0].lower()}{gone[1:]}"]
    return tuple(dict.fromkeys(lines))


def _shows(shown: Sequence[object], sign: str) -> bool:
    return any(getattr(one, "sign", "") == sign and getattr(one, "seen", False) for one in shown)


def _within(condition: ReadingIs, base: Rulebase) -> str:
    """Return the reading that clears a sign, in words."""
    title, limit = base.readings[condition.reading].title, base.limits[condition.limit]
    figure = show(limit.value, limit.unit)
    if condition.against_other:
        return f"{title}: left and right within {figure}"
    return f"{title}: {'at most' if condition.above else 'at least'} {figure}"


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
