"""A job as one page of HTML that needs nothing else: no network, no script, no other file."""

from collections.abc import Iterator, Mapping
from functools import cache

import jinja2
import msgspec
from markupsafe import Markup

from advisor.pages.balance_on_paper import balance_drawn
from advisor.pages.logs_drawn import idle_picture, shake_picture, shook_picture, sound_picture
from advisor.pages.pairs_drawn import highest, pair_drawn
from advisor.pages.picture import Picture
from advisor.report import Line, RankedCause, Report, speaks_against, speaks_for
from advisor.session.events import BALANCE, BENCH, PHONE, TUNE_UP
from advisor.session.job import Job
from advisor.session.notes import Notes
from advisor.session.record_text import COMES_FIRST, time_said, when
from advisor.session.went_over import LED_KINDS
from advisor.show.measure import plain
from advisor.show.sheet import NOT_RIDE, NOT_RUN
from advisor.show.terminal import DOES_NOT_FIT, HEADINGS, MOST_AGAINST, MOST_REASONS, MOST_REMARKS, ON_TRIAL, how_often
from advisor.show.words import ill_matched, minutes, per_cent, shown_by
from advisor.sides import Sided, named
from advisor.visible import visible

MOST_CAUSES = 5
KINDS = {BENCH: "A search for a fault", PHONE: "A call", BALANCE: "A balance", TUNE_UP: "A tune-up"}
NOT_START = "Not to be started as it is."
STOP, AS_IT_IS = "Stop", "As it is"


class Cause(msgspec.Struct, frozen=True, kw_only=True):
    """A line of the ranking: `wide` is how long its bar is, in per cent of a whole one."""

    title: str
    chance: str
    wide: float
    reasons: tuple[str, ...]
    against: tuple[str, ...]
    unexplained: tuple[str, ...]
    told_by: str
    remedy: str


def page(job: Job) -> str:
    """Return the page of a job. The same job makes the same page."""
    report = job.report
    return _template().render(
        job=job,
        report=report,
        record=job.record,
        kind=KINDS[job.record.kind] if job.record else KINDS[BENCH],
        led=bool(job.record and job.record.kind in LED_KINDS),
        rider=_rider(job.notes),
        date=when(job.record.began, job.record.ended) if job.record and job.record.began is not None else "",
        spent=time_said(job.record) if job.record else "",
        warning=_warning(job),
        measured=list(_pictures(job)),
        balances=[(one, list(balance_drawn(one, f"balance-{place}"))) for place, one in enumerate(job.balances)],
        causes=list(_causes(report)),
        advised=_advised(report),
        proof=report.advice.proof,
        doubts=list(_doubts(report)),
        remarks=report.remarks[:MOST_REMARKS],
        again=[f"{one.said}: too close to call; {how_often(one)}." for one in report.measure_again],
        aside=_set_aside(report),
        comes_first=f"{COMES_FIRST} come before this sheet.",
    )


@cache
def _template() -> jinja2.Template:
    pages = jinja2.Environment(
        loader=jinja2.PackageLoader("advisor", "pages"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_shown,
    )
    pages.filters["minutes"] = minutes
    pages.filters["plain"] = plain
    pages.filters["drawing"] = Markup  # what the library drew, its words escaped by the library
    return pages.get_template("job.html")


def _shown(value: object) -> object:
    """Return a text with what a reader could not see spelt out; markup is the template's own or was drawn here."""
    return visible(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _pictures(job: Job) -> Iterator[Picture]:
    for place, pair in enumerate(job.pairs):
        alike = [one for one in job.pairs if (one.title, one.unit) == (pair.title, pair.unit)]
        yield pair_drawn(pair, f"pair-{place}", max(map(highest, alike)))
    for place, idle in enumerate(job.idles):
        yield idle_picture(idle, f"idle-{place}")
    for place, shake in enumerate(job.shakes):
        yield from shake_picture(shake, f"shake-{place}")
    for place, sound in enumerate(job.sounds):
        yield sound_picture(sound, f"sound-{place}")
    if job.shook is not None:
        yield shook_picture(job.shook, "shook")


def _rider(notes: Notes) -> list[str]:
    called = (("name", notes.name), ("contact", notes.contact), ("ring back", notes.call_back))
    return [*(f"{label}: {text}" for label, text in called if text), *notes.notes]


def _warning(job: Job) -> tuple[str, list[str], list[str]] | None:
    """Return a heading, what must not be done with the bike, and why; None if all may be done.

    A ban that warns of no danger says only that something cannot be done.
    """
    forbidden = job.report.forbidden
    if not forbidden:
        return None
    dangerous = [one for one in job.bans if one.warns]
    says = [NOT_RIDE] if "riding" in forbidden else []
    if any("running" in one.forbids for one in dangerous):
        says.append(NOT_START)
    elif "running" in forbidden:
        says.append(NOT_RUN)
    reasons = list(dict.fromkeys(one.reason for one in job.bans))
    return STOP if dangerous or NOT_RIDE in says else AS_IT_IS, says, reasons


def _causes(report: Report) -> Iterator[Cause]:
    ranked = {(one.id, one.side): one for one in report.causes}
    for line in report.likely[:MOST_CAUSES]:
        yield _cause(line, ranked)


def _cause(line: Line, ranked: Mapping[Sided, RankedCause]) -> Cause:
    """Return a line of the ranking. Of causes not told apart so far the first one gives the reasons."""
    first = ranked[line.causes[0]]
    return Cause(
        title=line.title,
        chance="found" if line.found else per_cent(line.probability),
        wide=100.0 if line.found else round(100 * line.probability, 1),
        reasons=tuple(shown_by(one) for one in [one for one in first.why if speaks_for(one.factor)][:MOST_REASONS]),
        against=tuple(shown_by(one) for one in [one for one in first.why if speaks_against(one.factor)][:MOST_AGAINST]),
        unexplained=first.unexplained,
        told_by=f"{line.told_by} ({minutes(line.minutes)})" if line.told_by else "",
        remedy=f"{first.remedy} ({minutes(first.minutes)})",
    )


def _advised(report: Report) -> tuple[str, ...]:
    """Return the next step in a few sentences, its heading first."""
    advice = report.advice
    if advice.kind == "check":
        return ("Next", advice.says)
    if advice.kind == "put right":
        cause = next(one for one in report.causes if (one.id, one.side) == (advice.cause, advice.side))
        found = "found" if advice.proven else per_cent(cause.probability)
        trial = (ON_TRIAL,) if advice.on_trial else ()
        return ("Put right", f"{advice.says} ({found}).", *trial, f"{cause.remedy} ({minutes(cause.minutes)})")
    return (HEADINGS[advice.kind].capitalize(), advice.says)


def _doubts(report: Report) -> Iterator[str]:
    if report.advice.kind != "none fits":
        yield from (f"No cause here explains: {one.title}." for one in report.unexplained)
        if report.odd:
            yield DOES_NOT_FIT
    yield from (ill_matched(pair) for pair in report.conflicts)


def _set_aside(report: Report) -> list[str]:
    """Return what was told and does not count, by its reason."""
    by_reason: dict[str, list[str]] = {}
    for one in report.set_aside:
        by_reason.setdefault(one.reason, []).append(named(one.what, one.side))
    return [f"{', '.join(names)}: {reason}" for reason, names in by_reason.items()]
