"""The hand-over to a workshop: what was found and denied, how sure, why it must not be ridden, what comes next."""

from collections.abc import Sequence
from itertools import pairwise

import msgspec
from msgspec.structs import replace

from advisor.case import Case, Means
from advisor.report import Line
from advisor.rulebase.model import Rulebase
from advisor.session.acceptance import waits_for_a_ride
from advisor.session.bans import bans
from advisor.session.events import Answered, PutRight, Read, RuledOut, Skipped
from advisor.session.needless import needed
from advisor.session.next_question import WELL, is_done
from advisor.session.not_checked import Stage, not_checked
from advisor.session.notes import Notes, noted
from advisor.session.rider_now import rider_now
from advisor.session.session import Session
from advisor.sides import fill, sides_of

MOST_OPEN, MOST_LIKELY, SUSPECTED = 4, 4, 0.05
PAUSE = 900.0  # s; a longer gap between two answers is not counted as time on the phone; judgement
TOLD = "told"  # of a check that only asks


class OpenCheck(msgspec.Struct, frozen=True, kw_only=True):
    """A check that is still worth doing, with what it takes."""

    title: str
    minutes: float
    tools: tuple[str, ...]


class LikelyCause(msgspec.Struct, frozen=True, kw_only=True):
    """A cause, or several that cannot be told apart, with the remedy of the likeliest and its minutes.

    `new_parts`: the remedy needs new parts. `found`: its deciding check has found it.
    """

    title: str
    probability: float
    remedy: str
    minutes: float
    new_parts: bool
    found: bool


class HandOver(msgspec.Struct, frozen=True, kw_only=True):
    """The sheet. `may_ride` is False if something found forbids it, `bans` says why; `runs` is False if it cannot run.

    `call` is its number (0: not kept), `began` is in seconds since 1970 (None: not known), `minutes` is
    the time spent, without pauses. `now` is what the rider does. `not_checked` is what nobody has looked at, where
    nothing wrong is known; there no check is `open`.
    """

    call: int
    began: float | None
    minutes: float | None
    notes: Notes
    complaint: str
    found: tuple[str, ...]
    denied: tuple[str, ...]
    not_known: tuple[str, ...]
    likely: tuple[LikelyCause, ...]
    open: tuple[OpenCheck, ...]
    may_ride: bool
    runs: bool
    bans: tuple[str, ...]
    cautions: tuple[str, ...]
    now: str
    not_checked: tuple[Stage, ...] = ()


def hand_over(session: Session) -> HandOver:
    """Return the sheet for a workshop with every tool. It asks nothing of a rider, who is not there then."""
    base, report, case = session.base, session.report, session.state.case
    sound = session.question.kind == WELL
    found, denied, not_known = _told(session)
    times = session.journal.times
    return HandOver(
        call=session.journal.session if session.journal.kept else 0,
        began=next(iter(times), None),
        minutes=spent(times),
        notes=noted(session.state.counting),
        complaint=case.complaint,
        found=found,
        denied=denied,
        not_known=not_known,
        likely=tuple(_cause(one, base) for one in _likely(report.likely)),
        open=() if sound else _still_open(session),
        may_ride="riding" not in report.forbidden,
        runs="running" not in report.forbidden,
        bans=tuple(dict.fromkeys(one.reason for one in bans(report, case, base))),
        cautions=needed([one.says for one in report.cautions if one.of_the_case], (), base),
        now=rider_now(
            report,
            case,
            base,
            mended=is_done(session.state) or waits_for_a_ride(session.state),
            sound=sound,
        ),
        not_checked=tuple(not_checked(report)) if sound else (),
    )


def spent(times: list[float | None]) -> float | None:
    """Return the minutes between the first and the last of these times (s), without long pauses; None if not known."""
    known = [one for one in times if one is not None]
    gaps = [after - before for before, after in pairwise(known)]
    return sum(gap for gap in gaps if 0 <= gap <= PAUSE) / 60 if gaps else None


def _cause(line: Line, base: Rulebase) -> LikelyCause:
    name, side = line.causes[0]
    page = base.causes[name]
    return LikelyCause(
        title=line.title,
        probability=line.probability,
        remedy=fill(page.remedy, side),
        minutes=page.minutes,
        new_parts=page.new_parts,
        found=line.found,
    )


def _likely(ranked: Sequence[Line]) -> Sequence[Line]:
    """Return the lines worth a place on the sheet: beside one that its own check has not found, always the next."""
    found = [one for one in ranked[:MOST_LIKELY] if one.probability >= SUSPECTED]
    return ranked[:2] if len(found) == 1 and not found[0].found else found


def _still_open(session: Session) -> tuple[OpenCheck, ...]:
    """Return the checks that a workshop does next, none of which asks a rider."""
    base = session.base
    everything = Means(person=base.persons[-1], tools=None, engine="")
    asked = [(one.id, side) for one in base.checks.values() if one.how == TOLD for side in sides_of(one.sided)]
    answered = [one for one in session.state.known if isinstance(one, Answered) and _finds(one)]
    since_repair = session.state.case.not_again
    asked += [(one.check, one.side) for one in answered if (one.check, one.side) in since_repair]
    case: Case = replace(session.state.case, means=everything, not_again=tuple(asked))
    checks = session.advisor.diagnose(case).next_checks[:MOST_OPEN]
    return tuple(OpenCheck(title=one.title, minutes=one.minutes, tools=one.tools) for one in checks)


def _told(session: Session) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Return what was found, what was denied, and what was not known, each in words and once."""
    found, denied, not_known = dict[str, None](), dict[str, None](), dict[str, None]()
    for said in session.still_told():
        denies = said.startswith("not: ")
        (denied if denies else found)[said.removeprefix("not: ")] = None
    for event in session.state.counting:
        answers = isinstance(event, Answered | Read | Skipped | PutRight | RuledOut)
        lines = dict.fromkeys(session.in_words(event)) if answers else {}
        if isinstance(event, Skipped):
            not_known |= {line.partition(": ")[2]: None for line in lines}
        elif isinstance(event, Answered) and event.check in session.base.checks and _denies(event):
            denied |= lines
        else:
            found |= lines
    return tuple(found), tuple(denied), tuple(not_known)


def _finds(event: Answered) -> bool:
    return any(one.seen for one in event.reports)


def _denies(event: Answered) -> bool:
    return bool(event.reports) and not any(one.seen for one in event.reports)
