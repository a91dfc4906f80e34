"""The next question of a session: a check with its answers, a fault to put right, or what must then hold."""

import msgspec
from msgspec.structs import replace

from advisor.balance.turns import Turn
from advisor.case import Case, SignReport
from advisor.chain.compile import side_at
from advisor.diagnose import Advisor
from advisor.plan.candidates import real_outcomes
from advisor.plan.comes_first import banned_until_seen
from advisor.report import NextCheck, Report
from advisor.rulebase.model import Check, Rulebase
from advisor.session.acceptance import acceptance, open_repair, waits_for_a_ride
from advisor.session.as_it_stands import first_of_all, minutes_now
from advisor.session.bans import asked_since, bans, safe_looks
from advisor.session.comfort import comfort
from advisor.session.events import ALL_HOLDS, PHONE, Answered, Event, PutRight, Read
from advisor.session.not_checked import in_short, not_checked, runs_well
from advisor.session.state import State
from advisor.sides import Side, fill

CHECK, REPAIR, HOLDS, DONE, LOST, HAND_OVER = "check", "put right", "does it hold", "done", "none fits", "hand over"
WELL = "nothing wrong"
LED, BALANCED = "led", "balanced"  # a step of the balance, and its end
ENDS = (DONE, LOST, HAND_OVER, WELL, BALANCED)  # the kinds of a question after which nothing more is asked
HALF, ELSE = "the figures are kept, and leave these answers", "The figures are kept. What else did it do or show?"
TELLS = 0.05  # bits; a check that tells this much is asked for even if the cause is likely enough to act on: judgement
SAYS_NOTHING = 0.015  # bits; if every check tells less than this, the call ends: judgement
ENOUGH = 8  # questions about a bike that must not be ridden: a workshop finds the rest faster
MORE_LIKELY_THAN_NOT = 0.5  # a fault found in a call, but likelier not the cause, does not end it
CARRIED = "It must not be started again before that is mended; have it carried."
MOST_COMPLAINTS = 4  # of what a repair does not explain
NOTHING_WRONG = "Nothing wrong is known: it runs as it should"
IF_NOT = "If something is not as it should be, say it: 'also WORDS'."
NOT_LOOKED_AT = "this was not looked at; in this order it must be right"
LOOK_AGAIN = "Then ride it, and look whether what was wrong is gone."
NOT_NOW = "What cannot be told now is left open: answer 'not known' if none of it can."
START_IT = "Start it, let it idle, and look whether what was wrong is gone."  # a rider sets and measures nothing
LATER = "It is kept. 'stop' ends here. Once it was ridden, go on with this session and answer."
FIXED, SOUND, IN_VAIN = "It is put right.", "That was sound.", "It is done, and made no difference."


class Option(msgspec.Struct, frozen=True, kw_only=True):
    """One answer: its words, what it settles, and what would then lead; or the `event` that it is, if it is another."""

    says: str
    reports: tuple[SignReport, ...] = ()
    leads: str = ""
    chance: float = 0.0
    event: Event | None = None


class Question(msgspec.Struct, frozen=True, kw_only=True):
    """What to do or answer next. `name` is a check, or a cause to be put right, on its side.

    `drawn` is a line of drawing, `unit` that of a short figure without one, `turns` are screws that are to be turned
    before the readings that it takes. `unhooked`: the hoses of the instrument are off meanwhile.
    """

    kind: str
    title: str
    steps: tuple[str, ...]
    name: str = ""
    side: Side = None
    because: str = ""
    minutes: float = 0.0
    engine: str = "any"
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    options: tuple[Option, ...] = ()
    takes: tuple[str, ...] = ()
    drawn: str = ""
    unit: str = ""
    turns: tuple[Turn, ...] = ()
    unhooked: bool = False


def next_question(state: State, advisor: Advisor) -> tuple[Question, Report]:
    """Return the question that tells most next, with the report behind it."""
    report = advisor.diagnose(state.case, closely=True)
    repair = open_repair(state)
    if repair is not None:
        return _holds(repair, state, report, advisor), report
    if is_done(state):
        return _plain(DONE, "The fault is put right and proven", ALL_HOLDS), report
    if (half := half_answered(state, report, advisor.base)) is not None:
        return half, report
    if runs_well(state, report, advisor.base):
        return _nothing_wrong(state, report, advisor.base), report
    return as_it_stands(_searching(state, report, advisor.base), state.case, advisor.base), report


def half_answered(state: State, report: Report, base: Rulebase) -> Question | None:
    """Return the check of which the last line gave only figures, with the answers that these leave, if several."""
    last = state.known[-1] if state.known else None
    if not isinstance(last, Read) or last.check not in base.checks or (last.check, last.side) in state.case.not_again:
        return None
    known = {(one.id, one.side): one.state == "seen" for one in report.signs if one.state in {"seen", "not seen"}}
    asked = check_asked(base.checks[last.check], last.side, HALF, None, base)
    left = [
        one
        for one in asked.options
        if all(known.get((report.sign, report.side), report.seen) == report.seen for report in one.reports)
    ]
    if len(left) < 2:  # noqa: PLR2004 - nothing to choose from
        return None
    return replace(asked, options=tuple(left), minutes=0.0, steps=(ELSE,))


def as_it_stands(asked: Question, case: Case, base: Rulebase) -> Question:
    """Return a question with the minutes that it takes here and now, and what must be waited for."""
    if asked.kind != CHECK:
        return asked
    check = base.checks[asked.name]
    steps = (*first_of_all(check, case), *asked.steps)
    return msgspec.structs.replace(asked, minutes=minutes_now(check, asked.side, case, base), steps=steps)


def _nothing_wrong(state: State, report: Report, base: Rulebase) -> Question:
    """Return the end where nothing is known to be wrong: what was not looked at, in the order of a tune-up.

    On the phone comfort comes first, and a few things at most: the sheet has the list.
    """
    if state.kind == PHONE:
        return replace(_plain(WELL, NOTHING_WRONG, ""), steps=(*comfort(state, report, base), IF_NOT))
    stages = tuple(in_short(one) for one in not_checked(report))
    found = _plain(WELL, NOTHING_WRONG, "")
    return replace(found, steps=(*stages, IF_NOT) if stages else (IF_NOT,), because=NOT_LOOKED_AT if stages else "")


def is_done(state: State) -> bool:
    """Whether the last answer was that the repair holds."""
    last = state.known[-1] if state.known else None
    return isinstance(last, Answered) and last.says == ALL_HOLDS


def _searching(state: State, report: Report, base: Rulebase) -> Question:
    found = _from_report(state.case, report, base)
    on_the_phone = state.case.means.person == base.persons[0]
    lifted = _lifts(found, report, base) or _mended_at_hand(found, state.case, report, base)
    if on_the_phone and "cranking" in report.forbidden and not lifted:
        return _while_it_is_dangerous(state.case, report, base)
    if found.kind == LOST and "riding" in report.forbidden:
        return _plain(LOST, "First do what stands above", "No question helps before that is dealt with.")
    if not on_the_phone:
        return found
    return _ends_call(found, state, report, base) or _for_a_rider(found, report, base)


def _while_it_is_dangerous(case: Case, report: Report, base: Rulebase) -> Question:
    """Return a look that is safe on a bike that must not be started, as long as it tells something, or the end."""
    safe = () if report.advice.proven else safe_looks(bans(report, case, base), report, case, base)
    for check, side in safe:
        planned = next((one for one in report.next_checks if (one.id, one.side) == (check.id, side)), None)
        return check_asked(check, side, "it is safe, and tells the workshop where to begin", planned, base)
    return _plain(HAND_OVER, "This is for the workshop", CARRIED)


def _for_a_rider(found: Question, report: Report, base: Rulebase) -> Question:
    """Return what to ask a rider instead of a repair that riders do not make: one more check, or the workshop."""
    if found.kind != REPAIR or base.causes[found.name].say:
        return found
    likely = next(one.probability for one in report.causes if (one.id, one.side) == (found.name, found.side))
    settled = report.advice.proven and likely >= MORE_LIKELY_THAN_NOT
    more = None if settled else next((one for one in report.next_checks if one.gain_bits >= TELLS), None)
    if more:
        return check_asked(base.checks[more.id], more.side, _because(more, report), more, base)
    return _plain(HAND_OVER, f"This is for the workshop: {found.title}", "That is not a repair for a rider.")


def _ends_call(found: Question, state: State, report: Report, base: Rulebase) -> Question | None:
    """Return the end of a call once more questions do not help: they tell little, or the bike is carried anyway."""
    if found.kind != CHECK:
        return None
    if "riding" in report.forbidden and asked_since(bans(report, state.case, base), state.counting, base) >= ENOUGH:
        says = "It must not be ridden, and the rest is found faster there."
        return _plain(HAND_OVER, "This is for the workshop", says)
    if report.advice.kind == "check" and max(one.gain_bits for one in report.next_checks) < SAYS_NOTHING:
        says = "Nothing that a rider can do tells apart what is left."
        return _plain(HAND_OVER, "This is for the workshop", says)
    return None


def _lifts(found: Question, report: Report, base: Rulebase) -> bool:
    """Whether a check looks for what must be ruled out before the engine may run again."""
    if found.kind != CHECK:
        return False
    known = {(one.id, one.side): one.state == "seen" for one in report.signs if one.state in {"seen", "not seen"}}
    awaited = {sign for sign, _ in banned_until_seen(base, known)}
    return any(one.sign in awaited for outcome in base.checks[found.name].outcomes for one in outcome.shows)


def _mended_at_hand(found: Question, case: Case, report: Report, base: Rulebase) -> bool:
    """Whether a rider can put right, where he stands, what was found and is all that forbids to start the engine."""
    if found.kind != REPAIR or not report.advice.proven or not base.causes[found.name].say:
        return False
    page = base.causes[found.name]
    cleared = {(link.sign, side_at(link.bearing, found.side or "left")) for link in page.links}
    left = tuple(one for one in report.signs if (one.id, one.side) not in cleared)
    return not any("cranking" in one.forbids for one in bans(replace(report, signs=left), case, base))


def dangers(asked: Question, report: Report) -> tuple[str, ...]:
    """Return what can hurt on this bike as it is, except what the question's own cautions already say."""
    return tuple(one.says for one in report.cautions if one.of_the_case and one.says not in asked.cautions)


def _from_report(case: Case, report: Report, base: Rulebase) -> Question:
    advice = report.advice
    if advice.kind == "put right":
        proof = advice.proof
        if proof and (proof.id, _side_of(proof.id, advice.side, base)) not in case.not_again:
            because = f"it settles whether it is this: {advice.says}"
            return check_asked(base.checks[proof.id], _side_of(proof.id, advice.side, base), because, None, base)
        return _repair(report, base)
    if advice.kind == "check":
        check = report.next_checks[0]
        return check_asked(base.checks[check.id], check.side, _because(check, report), check, base)
    return _plain(
        advice.kind,
        "Nothing here explains it" if advice.kind == LOST else "This is as far as it goes here",
        advice.says,
    )


def _side_of(check: str, side: Side, base: Rulebase) -> Side:
    return side if base.checks[check].sided else None


def _because(check: NextCheck, report: Report) -> str:
    """Return why a check is next: what it decides between, or what it tells most about for its minutes."""
    leads = list(dict.fromkeys(one.leads_title for one in check.outcomes))
    if len(leads) > 1:
        return f"it decides between: {'; '.join(leads[:2])}"
    return f"for its minutes it says most about this: {report.causes[0].title}"


def check_asked(check: Check, side: Side, because: str, planned: NextCheck | None, base: Rulebase) -> Question:
    """Return a check as a question; `planned` is what the plan says of its answers."""
    return Question(
        kind=CHECK,
        name=check.id,
        side=side,
        title=fill(check.title, side),
        because=because,
        minutes=check.minutes,
        engine=check.engine,
        steps=tuple(fill(step, side) for step in check.steps),
        tools=tuple(base.tools[tool].title for tool in check.tools),
        cautions=tuple(base.cautions[name].says for name in check.cautions),
        options=tuple(options(check, side, planned, base)),
        takes=check.takes,
    )


def options(check: Check, side: Side, planned: NextCheck | None, base: Rulebase) -> list[Option]:
    """Return a check's answers, each on its side, and what would lead after it if that was worked out."""
    leads = {(one.says, one.side): one for one in planned.outcomes} if planned else {}
    found = []
    for outcome in check.outcomes:
        for one, settled in real_outcomes(outcome, side, base):
            shown = one if outcome.either_side or check.sided else None
            says = fill(outcome.says, one)
            lead = leads.get((says, shown))
            reports = tuple(
                SignReport(sign=name, side=at, seen=seen, how=check.known_by(seen))
                for (name, at), seen in settled.items()
            )
            found.append(
                Option(
                    says=says,
                    reports=reports,
                    leads=lead.leads_title if lead else "",
                    chance=lead.leads_probability if lead else 0.0,
                )
            )
    return found


def _repair(report: Report, base: Rulebase) -> Question:
    advice = report.advice
    page = base.causes[advice.cause]
    return Question(
        kind=REPAIR,
        name=advice.cause,
        side=advice.side,
        title=advice.says,
        because="it was found" if advice.proven else "it is by far the likeliest, and cannot be proven here",
        minutes=page.minutes,
        engine="any",
        steps=(fill(page.remedy, advice.side), *_not_explained(report, base)),
        tools=(),
        cautions=tuple(base.cautions[name].says for name in page.cautions),
        options=(Option(says=FIXED), Option(says=SOUND), Option(says=IN_VAIN)),
        takes=(),
    )


def _not_explained(report: Report, base: Rulebase) -> tuple[str, ...]:
    """Return one line on what the repair would not cure, if anything."""
    repaired = report.advice.cause, report.advice.side
    left = next((one.unexplained for one in report.causes if (one.id, one.side) == repaired), ())
    past = {sign.title for sign in base.signs.values() if sign.past}
    still = [title for title in left if title not in past][:MOST_COMPLAINTS]
    return (f"It does not explain: {'; '.join(still)}. Look for that afterwards.",) if still else ()


def _holds(event: PutRight, state: State, report: Report, advisor: Advisor) -> Question:
    """Ask whether a repair holds: whether each sign that was reported and that it should cure is gone."""
    base = advisor.base
    rides = state.case.means.person == base.persons[0]
    page, must = base.causes[event.cause], acceptance(event, state, report, advisor)
    gone = tuple(SignReport(sign=name, side=side, seen=False, how="seen") for name, side in must.gone)
    still = [
        Option(
            says=f"Still there: {fill(base.signs[one.sign].title, one.side)}.",
            reports=(replace(one, seen=True), *(stays for stays in must.stays if stays.sign != one.sign)),
        )
        for one in gone[: len(must.ask)]
    ]
    return Question(
        kind=HOLDS,
        name=event.cause,
        side=event.side,
        title=f"Does it hold? {fill(page.title, event.side)}",
        because="a repair is proven by what is gone afterwards; what was set around the fault is set again first",
        minutes=10,
        engine="any",
        steps=(
            *(f"Not yet, as read: {fill(base.signs[name].title, side)}." for name, side in must.not_yet),
            *(() if rides else must.set_again),
            *(() if rides else (f"It must read: {line}." for line in must.must_hold)),
            *((LATER,) if waits_for_a_ride(state) else (START_IT if rides else LOOK_AGAIN, NOT_NOW)),
        ),
        tools=(),
        cautions=(),
        options=(Option(says=ALL_HOLDS, reports=gone), *still),
        takes=must.takes,
    )


def _plain(kind: str, title: str, says: str) -> Question:
    return Question(kind=kind, title=title, steps=(says,))
