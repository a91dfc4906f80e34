"""The record of a session: what was complained of, found and done, measured before and after, how long, what is left.

It is worked out from the session's events, so it is kept with them, and can be read of any session later.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from advisor.case import Measured
from advisor.plan.candidates import scene
from advisor.plan.deciding import settled
from advisor.report import RankedCause, Report
from advisor.rulebase.model import Rulebase
from advisor.session.acceptance import complaints
from advisor.session.balance_record import BalanceDone, balance_done
from advisor.session.events import ALL_HOLDS, SEARCH, Answered, Event, PutRight, RuledOut, Skipped, Told, WentOver
from advisor.session.figures_say import figure_said, readings_of, title_of
from advisor.session.minutes_spent import minutes_of
from advisor.session.not_checked import Stage, not_checked
from advisor.session.session import Session
from advisor.session.went_over import LED_KINDS
from advisor.sides import BOTH, Side, Sided, either, fill, sides_of

MOST_LIKELY, LIKELY_FROM = 4, 0.1  # causes named where the fault was not found
MOST_RULED_OUT = 12
NIGHT = 3 * 3600.0  # s without an answer: nobody was at the bike; judgement
FIRST_RIDE = "On the first ride: {signs}."
NOT_JUDGED = "When it can be told: is it gone? {signs}."
ANYTHING_NEW = "On the first ride: anything that is not as it was."
Figures = dict[Side, Measured]  # of one reading, each side's


class TwiceMeasured(msgspec.Struct, frozen=True, kw_only=True):
    """A reading as it was first, and as it was last after a repair ('' where it was not read again)."""

    title: str
    before: str
    after: str = ""


class Record(msgspec.Struct, frozen=True, kw_only=True):
    """One session on paper. `began` and `ended` are in seconds since 1970, None where that was not kept.

    `told` is the last word on each thing that was told, what is suspected and what means nothing here among them.
    `found` are the faults put right, each with what proved it; `holds` is the last word on them. `minutes` are those
    that the pages give for what was done, `worked` the seconds by the clock without long pauses (None: not known).
    `ruled_out`, `likely` and `left_out` are empty where there is nothing to say. `look_again` is what to look at later.
    `balance` is what was done to balance it, None if nothing was.
    """

    session: int
    kind: str
    began: float | None
    ended: float | None
    bike: str
    complaint: str
    told: tuple[str, ...]
    found: tuple[tuple[str, str], ...]
    done: tuple[str, ...]
    holds: str
    measured: tuple[TwiceMeasured, ...]
    taken: tuple[str, ...]
    minutes: float
    worked: float | None
    ruled_out: tuple[str, ...]
    likely: tuple[tuple[str, float], ...]
    unexplained: tuple[str, ...]
    left_out: tuple[str, ...]
    not_checked: tuple[Stage, ...]
    cautions: tuple[str, ...]
    look_again: tuple[str, ...]
    balance: BalanceDone | None = None


def record_of(session: Session) -> Record:
    """Return the record of a session as it stands. Raises AdvisorError when it cannot be ranked by these rules."""
    state, report, base = session.state, session.report, session.base
    repairs = [one for one in state.known if isinstance(one, PutRight)]
    proven = any(isinstance(one, Answered) and one.says == ALL_HOLDS for one in state.known)
    times = [at for at in session.journal.times if at is not None]
    searched = state.kind not in LED_KINDS or any(isinstance(one, WentOver) and one.to == SEARCH for one in state.known)
    return Record(
        session=session.journal.session,
        kind=state.kind,
        began=times[0] if times else None,
        ended=times[-1] if times else None,
        bike=state.case.bike.name,
        complaint=state.case.complaint,
        told=session.told_in_words(),
        found=tuple((_cause(one, base), _proof(one, state.known, base)) for one in repairs),
        done=tuple(_on(one.side, base.causes[one.cause].remedy) for one in repairs),
        holds=next(
            (one.says for one in reversed(state.known) if isinstance(one, Answered) and _of_repair(one, base)), ""
        ),
        measured=tuple(_measured(state.known, base)),
        taken=tuple(_checks(session)),
        minutes=sum(minutes_of(one, base) for one in state.known),
        worked=worked(times),
        ruled_out=() if proven or not searched else tuple(_ruled_out(session, report)),
        likely=() if proven or not searched else tuple((one.title, one.probability) for one in _likely(report)),
        unexplained=tuple(one.title for one in report.unexplained),
        left_out=tuple(session.in_words(one)[0] for one in state.counting if isinstance(one, Skipped)),
        not_checked=tuple(not_checked(report)),
        cautions=tuple(one.says for one in report.cautions if one.of_the_case),
        look_again=tuple(_look_again(repairs, session)),
        balance=balance_done(state.known, base),
    )


def worked(times: Sequence[float]) -> float | None:
    """Return how long somebody was at it, in s: the time between answers, without pauses of hours."""
    if len(times) < 2:  # noqa: PLR2004 - a time has two ends
        return None
    gaps = (max(0.0, two - one) for one, two in pairwise(times))
    return sum(gap for gap in gaps if gap < NIGHT)


def _title(key: Sided, base: Rulebase) -> str:
    return fill(base.signs[key[0]].title, key[1])


def _cause(one: PutRight | RuledOut, base: Rulebase) -> str:
    return fill(base.causes[one.cause].title, one.side)


def _on(side: Side, text: str) -> str:
    return either(" ".join(text.split()), side)


def _of_repair(event: Answered, base: Rulebase) -> bool:
    return event.check in base.causes and event.check not in base.checks


def _proof(repair: PutRight, events: Sequence[Event], base: Rulebase) -> str:
    """Return the answer to the check that decides a cause, before it was put right; '' if that was not done."""
    look = base.causes[repair.cause].settled_by
    before = events[: next(number for number, one in enumerate(events) if one is repair)]
    found = [one for one in before if isinstance(one, Answered) and one.check == look]
    return f"{fill(base.checks[look].title, found[-1].side or repair.side)}: {found[-1].says}" if found else ""


def _measured(events: Sequence[Event], base: Rulebase) -> Iterator[TwiceMeasured]:
    for name, first, last in first_and_last(events):
        page = base.readings.get(name)
        yield TwiceMeasured(
            title=title_of(page) if page else name,
            before=_figures(first),
            after=_figures(last),
        )


def first_and_last(events: Sequence[Event]) -> Iterator[tuple[str, Figures, Figures]]:
    """Yield each reading: the first figures before any repair or screw, and the last ones after it (or none)."""
    repaired = next((number for number, one in enumerate(events) if isinstance(one, PutRight)), len(events))
    before, after = _latest(events[:repaired], first=True), _latest(events[repaired:], first=False)
    again = _latest(events[:repaired], first=False)  # read again after a screw was turned
    for name in dict.fromkeys([*before, *after]):
        last = after.get(name) or (again[name] if again.get(name) != before.get(name) else {})
        yield name, before.get(name, {}), last


def _latest(events: Sequence[Event], *, first: bool) -> dict[str, Figures]:
    """Return the first or the last figure of each reading, on each side."""
    found: dict[str, Figures] = {}
    for one in (measured for event in events for measured in readings_of(event)):
        sides = found.setdefault(one.reading, {})
        if not (first and one.side in sides):
            sides[one.side] = one
    return found


def _figures(sides: Figures) -> str:
    return ", ".join(figure_said(sides[side]) for side in (*BOTH, None) if side in sides)


def _checks(session: Session) -> Iterator[str]:
    for event in session.state.counting:
        of_repair = isinstance(event, Answered) and _of_repair(event, session.base)
        if isinstance(event, Answered | RuledOut) and not of_repair:
            yield session.in_words(event)[0]


def _likely(report: Report) -> list[RankedCause]:
    return [one for one in report.causes[:MOST_LIKELY] if one.probability >= LIKELY_FROM]


def _ruled_out(session: Session, report: Report) -> Iterator[str]:
    """Yield the causes that their deciding check, or a look at the part, has ruled out; both sides in one."""
    base, case = session.base, session.state.case
    here = scene(base, case, report.signs, frozenset(report.forbidden))
    looked = {(one.cause, one.side) for one in session.state.known if isinstance(one, RuledOut)}
    found: list[str] = []
    for cause in base.causes.values():
        out = [
            side
            for side in sides_of(cause.sided)
            if (cause.id, side) in looked or settled(cause.id, side, here, base) is False
        ]
        if len(out) > 1:
            found.append(either(cause.title, None))
        elif out:
            found.append(fill(cause.title, out[0]))
    yield from found[:MOST_RULED_OUT]
    if len(found) > MOST_RULED_OUT:
        yield f"and {len(found) - MOST_RULED_OUT} more"


def _later(events: Sequence[Event], base: Rulebase) -> list[Sided]:
    """Return what was told, takes weather or a ride to be told gone, and was not said to be gone."""
    last = {
        (report.sign, report.side): report.seen
        for one in events
        if isinstance(one, Told | Answered)
        for report in one.reports
    }
    return [key for key, seen in last.items() if seen and base.signs[key[0]].later]


def _look_again(repairs: Sequence[PutRight], session: Session) -> Iterator[str]:
    """Yield what to look at after some way: what was complained of, and what was worked on."""
    base = session.base
    told = complaints(session.state, base)
    later = _later(session.state.known, base) if repairs else []
    signs = "; ".join(_title(key, base) for key in told if key not in later)
    yield FIRST_RIDE.format(signs=f"is it still gone? {signs}" if repairs else signs) if signs else ANYTHING_NEW
    if later:
        yield NOT_JUDGED.format(signs="; ".join(_title(key, base) for key in later))
    places = {base.causes[one.cause].place for one in repairs}
    stages = [area for area in base.areas if places & {*area.places}]
    stages += [area for area in base.areas if repairs and area.set_again and area not in stages]
    yield from (area.look_again for area in stages if area.look_again)
