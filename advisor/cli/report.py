"""`advisor report`: a case or a session as one page to print, to file or to send."""

import sys
from pathlib import Path

import click
import msgspec

from advisor import interrupt
from advisor.cli.chosen import session_of
from advisor.cli.common import advisor, files_option, readable, refuse, rules_option
from advisor.cli.save import destination, written_or_left
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.intake.casefile import read_case
from advisor.pages.job_page import page
from advisor.session.job import Job, job_of, job_of_case
from advisor.session.shown import SaveAs
from advisor.session.store import MOST_SESSIONS, default_path
from advisor.show.screen import console


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """What the page is of: a case file, or the session of a number."""

    case: Path | None
    number: int | None
    store: Path | None
    files_from: tuple[Path, ...]


@click.command()
@click.argument("case", type=click.Path(path_type=Path), required=False)
@click.option("-o", "--output", "name", metavar="FILE", required=True, help="Write the page to this file: job.html.")
@click.option("--session", "number", type=click.IntRange(1, MOST_SESSIONS), metavar="NUMBER", help="Of this session.")
@click.option("--store", type=click.Path(path_type=Path), help="Sessions are kept in this file, not your own folder.")
@click.option("--replace", is_flag=True, help="Write over a file of that name without asking.")
@rules_option
@files_option
def report(name: str, *, replace: bool, overlays: tuple[Path, ...], **wanted: object) -> None:
    """Write a case or a session as one page to print, with drawings to scale and lines to fill in by hand.

    The page needs nothing else: no network and no other file. It prints on A4 and on Letter paper.
    """
    interrupt.hold()
    asked = msgspec.convert(wanted, Wanted)
    if (asked.case is None) == (asked.number is None):
        msg = "name a case file, or a session by its number: advisor report --session 7 -o job.html"
        raise AdvisorError(msg)
    if asked.number is None:
        refuse(("store",), "it goes with --session")
    else:
        refuse(("files_from",), "it goes with a case file")
    path, there = destination(name)
    if there and asked.case is not None and asked.case.exists() and path.samefile(asked.case):
        msg = f"{name}: this is the case itself; write another name"
        raise AdvisorError(msg)
    if there and not replace and not _asks():
        msg = f"{name}: is there already; --replace writes over it"
        raise AdvisorError(msg)
    text = page(_job(asked, advisor(overlays)))
    try:
        written_or_left(SaveAs(name=readable(name), text=text, replace=replace, wish="report"), console())
    except KeyboardInterrupt:
        raise SystemExit(interrupt.STOPPED) from None


def _asks() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin.isatty()


def _job(asked: Wanted, ready: Advisor) -> Job:
    """Return the job that is wanted. Raises AdvisorError when it cannot be read or ranked."""
    if asked.case is not None:
        return job_of_case(read_case(asked.case, ready.base, asked.files_from), ready)
    return job_of(session_of(asked.number or 0, asked.store or default_path(), ready))
