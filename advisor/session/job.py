"""A job, as it is written on paper: a case or a session with all that was told, measured, found and done."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

import msgspec

from advisor.case import Bike, Case
from advisor.diagnose import Advisor
from advisor.intake.riding import IDLE, SHAKE, SOUND
from advisor.intake.valid import refuse_invalid
from advisor.lazy import lazy
from advisor.readings.shake_reports import Ride, belongs_to, next_step, rides
from advisor.report import Report
from advisor.rulebase.drawing import drawing
from advisor.rulebase.model import Rulebase
from advisor.session.bans import Ban, bans
from advisor.session.events import SEARCH, Event
from advisor.session.job_balance import Balance, balances_drawn
from advisor.session.job_readings import Pair, Row, pairs, rows
from advisor.session.next_question import DONE, HOLDS, WELL
from advisor.session.not_checked import Stage, not_checked
from advisor.session.notes import Notes, noted
from advisor.session.record import Record, first_and_last, record_of
from advisor.session.session import Session
from advisor.sides import fill

if TYPE_CHECKING:
    from advisor.session import job_logs
else:
    job_logs = lazy("advisor.session.job_logs")  # imports numpy, and only a case has logs

NO_SEARCH = (HOLDS, DONE, WELL)  # kinds of a question while which no fault is looked for
FIRST, LAST = "as it was found", "at the end"


class Shook(msgspec.Struct, frozen=True, kw_only=True):
    """A rider's reports of when it shook and when not, and what to do next about it."""

    rides: tuple[Ride, ...]
    do: str


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """What a session asks now: to do, or only to take note of, as at its end."""

    title: str
    steps: tuple[str, ...]


class PartDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A picture that shows where to look: its title, all that it shows in words, and its SVG."""

    title: str
    says: str
    svg: str


class Job(msgspec.Struct, frozen=True, kw_only=True):
    """A job. `record` is None for a case file: nothing was done yet.

    `told` is what was told or seen, in words, `notes` what was noted of a call; `bike` are the kinds of its parts and
    its tyre. `bans` say why something must not be done with the bike as it is, `cautions` what can hurt in doing what
    is next on the sheet. `drawings` are pictures of parts, each by the first check on the sheet that names it. `asked`
    stands in the place of the ranking and its checks where no fault is looked for: in a balance or a tune-up, and once
    a fault was put right or nothing is wrong.
    """

    title: str
    name: str
    bike: tuple[str, ...]
    complaint: str
    told: tuple[str, ...]
    report: Report
    record: Record | None
    notes: Notes = Notes()
    rows: tuple[Row, ...]
    pairs: tuple[Pair, ...]
    idles: tuple["job_logs.IdleDrawn", ...]
    shakes: tuple["job_logs.ShakeDrawn", ...]
    sounds: tuple["job_logs.SoundDrawn", ...]
    shook: Shook | None
    balances: tuple[Balance, ...]
    asked: Asked | None = None
    bans: tuple[Ban, ...]
    cautions: tuple[str, ...]
    drawings: dict[str, "PartDrawn"] = {}
    not_checked: tuple[Stage, ...]


def job_of_case(case: Case, advisor: Advisor) -> Job:
    """Return the job that a case file is. Raises CaseError when the case or a log of it cannot be used."""
    refuse_invalid(case, advisor.base)
    full = advisor.in_full(case)  # a log is worked out once
    return _job(case, full, advisor.diagnose(full), advisor)


def job_of(session: Session) -> Job:
    """Return the job that a session is, as it stands. Raises AdvisorError when it cannot be ranked by these rules."""
    base, state = session.base, session.state
    record, asked = record_of(session), _asked(session)
    found = _job(state.case, state.case, session.report, session.advisor)
    return msgspec.structs.replace(
        found,
        told=record.told,
        record=record,
        asked=asked,
        cautions=found.cautions if asked is None else tuple(_cautions_there(session)),
        notes=noted(state.counting),
        pairs=tuple(_before_and_after(state.known, base)),
        balances=tuple(balances_drawn(state, base)),
    )


def _asked(session: Session) -> Asked | None:
    question = session.question
    if session.state.leads == SEARCH and question.kind not in NO_SEARCH:
        return None
    return Asked(title=question.title, steps=question.steps)


def _cautions_there(session: Session) -> Iterable[str]:
    """Return what can hurt on this bike as it is, and in what is asked; each once."""
    of_the_case = [one.says for one in session.report.cautions if one.of_the_case]
    return dict.fromkeys([*of_the_case, *session.question.cautions])


def _before_and_after(events: Sequence[Event], base: Rulebase) -> Iterator[Pair]:
    """Yield both sides of each reading; first, twice, those that were read again after a repair or a turn."""
    read = list(first_and_last(events))
    before = list(pairs([one for _, sides, _ in read for one in sides.values()], base))
    after = list(pairs([one for _, _, sides in read for one in sides.values()], base))
    again = {one.title for one in before} & {one.title for one in after}
    for one in before:
        if one.title in again:
            yield msgspec.structs.replace(one, when=FIRST)
            yield from (msgspec.structs.replace(two, when=LAST) for two in after if two.title == one.title)
    yield from (one for one in (*before, *after) if one.title not in again)


def _job(case: Case, full: Case, report: Report, advisor: Advisor) -> Job:
    """Return the job of a case; `full` is the same with its logs read."""
    base = advisor.base
    told = rides(case.shakes, case.bike)
    return Job(
        title=case.title if case.title != case.complaint[: len(case.title)] else "",
        name=case.bike.name,
        bike=tuple(_bike(case.bike, base)),
        complaint=case.complaint,
        told=tuple(_told(case, base)),
        report=report,
        record=None,
        rows=tuple(rows(full, report, advisor)),
        pairs=tuple(pairs(full.measured, base)),
        idles=tuple(job_logs.idle_drawn(one, case.bike, base) for one in case.logs if one.kind == IDLE),
        shakes=tuple(job_logs.shake_drawn(one, case.bike, base) for one in case.logs if one.kind == SHAKE),
        sounds=tuple(job_logs.sound_drawn(one, case.bike, base) for one in case.logs if one.kind == SOUND),
        shook=Shook(rides=tuple(told), do=next_step(belongs_to(case.shakes, case.bike), base)) if told else None,
        balances=(),
        bans=bans(report, full, base),
        cautions=tuple(_cautions(report, base)),
        drawings=_drawings(report, base),
        not_checked=tuple(not_checked(report)),
    )


def _bike(bike: Bike, base: Rulebase) -> Iterator[str]:
    for part, kind in bike.parts.items():
        yield f"{base.parts[part].title}: {kind}"
    if bike.tyre:
        yield f"rear tyre: {bike.tyre}"


def _told(case: Case, base: Rulebase) -> Iterator[str]:
    """Yield what was told or seen, each in words."""
    for one in case.seen:
        title = fill(base.signs[one.sign].title, one.side)
        yield title if one.seen else f"not: {title}"


def _drawings(report: Report, base: Rulebase) -> dict[str, PartDrawn]:
    """Return the pictures of parts that the checks on the sheet name, each by the first of these checks."""
    found: dict[str, PartDrawn] = {}
    shown: set[str] = set()
    for check in report.next_checks:
        name = base.checks[check.id].drawing
        if name and name not in shown:
            shown.add(name)
            page = base.drawings[name]
            found[check.id] = PartDrawn(title=page.title, says=page.says, svg=drawing(name, base))
    return found


def _cautions(report: Report, base: Rulebase) -> Iterable[str]:
    """Return what can hurt: on this bike as it is, in what comes next, and in the checks after that; each once."""
    later = [base.cautions[name].says for check in report.next_checks for name in check.cautions]
    proof = report.advice.proof
    later += [base.cautions[name].says for name in proof.cautions] if proof else []
    return dict.fromkeys([*(one.says for one in report.cautions), *later])
