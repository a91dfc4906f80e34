"""Pages that only look: they change nothing in a session. And its files."""

import threading
from typing import TYPE_CHECKING

import flask
from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response

from advisor.lazy import lazy
from advisor.session import place
from advisor.session.handover import hand_over
from advisor.session.job import job_of
from advisor.session.next_question import CHECK
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.told_so_far import told_so_far
from advisor.session.typed_line import Wish
from advisor.session.wishes import granted
from advisor.show.sheet import sheet_text
from advisor.web.family_pages import in_its_units
from advisor.web.fields import can_mend
from advisor.web.here import NoSessionError, browser, desk, session

if TYPE_CHECKING:
    from advisor.pages import job_page
else:
    job_page = lazy("advisor.pages.job_page")  # imports matplotlib, and only this file is drawn by it

TAKE_ALL = (place.ForAnswer, place.ForTool, place.ForAnew)  # where whatever is said is taken, a correction too
DRAWING = threading.Lock()  # matplotlib draws for one thread at a time
MOST_WORDS = 200  # characters by which a cause is looked for
looks = Blueprint("looks", __name__)


def _look(number: int, wish: Wish, template: str, **more: object) -> str:
    """Show what answers a wish, with the forms of this browser's turn."""
    at = session(number)
    found = list(granted(wish, at))
    return render_template(template, at=at, turn=desk().turn(number, browser()), found=found, **more)


@looks.get("/session/<int:number>/where")
def where(number: int) -> str:
    """Show where a session stands: what is likely, what was said, what does not fit."""
    return _look(number, Wish("where"), "where.html")


@looks.get("/session/<int:number>/why")
def why(number: int) -> str:
    """Show why this question is next, or why a cause ranks where it does."""
    cause = request.args.get("cause", "")[:MOST_WORDS]
    if cause:
        return _look(number, Wish("why not", cause), "why.html", asks=False)
    question = session(number).question
    return _look(number, Wish("why"), "why.html", asks=question.kind == CHECK)


@looks.get("/session/<int:number>/what-if")
def what_if(number: int) -> str:
    """Show what would lead if an answer were given."""
    at = session(number)
    answer = request.args.get("answer", "")[:3]
    options = at.question.options
    if not (answer.isdecimal() and 1 <= int(answer) <= len(options)):
        raise NoSessionError
    return _look(number, Wish("what if", str(int(answer))), "what_if.html", says=options[int(answer) - 1].says)


@looks.get("/session/<int:number>/told")
def told(number: int) -> str:
    """List all that was said, each with what sets it right."""
    at = session(number)
    mends = {one.number: can_mend(one.event) for one in told_so_far(at.state)}
    open_now = isinstance(desk().turn(number, browser()).place.asks, TAKE_ALL)  # elsewhere a line answers what is asked
    return _look(number, Wish("told"), "told.html", mends=mends, open_now=open_now)


@looks.get("/session/<int:number>/record")
def record(number: int) -> str:
    """Show the record, to be printed."""
    return _look(number, Wish("record"), "record.html")


@looks.get("/session/<int:number>/sheet")
def sheet(number: int) -> str:
    """Show the hand-over sheet, to be printed."""
    return _look(number, Wish("hand over"), "sheet.html")


@looks.get("/session/<int:number>/record.txt")
def record_file(number: int) -> Response:
    """Return the record as a file."""
    return _file(record_text(record_of(session(number))), f"record-{number}.txt")


@looks.get("/session/<int:number>/sheet.txt")
def sheet_file(number: int) -> Response:
    """Return the hand-over sheet as a file."""
    return _file(sheet_text(hand_over(session(number))), f"sheet-{number}.txt")


@looks.get("/session/<int:number>/case.yaml")
def case_file(number: int) -> Response:
    """Return the session as a case file."""
    return _file(session(number).as_case(), f"session-{number}.yaml")


@looks.get("/session/<int:number>/job.html")
def job_file(number: int) -> Response:
    """Return the session as one page to print, as a file."""
    job = job_of(in_its_units(session(number)))
    with DRAWING:
        text = job_page.page(job)
    return _file(text, f"job-{number}.html", "text/html")


def _file(text: str, name: str, kind: str = "text/plain") -> Response:
    """Return text as a file to keep: a browser does not open it here."""
    answer = flask.make_response(text)
    answer.headers["Content-Type"] = f"{kind}; charset=utf-8"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
