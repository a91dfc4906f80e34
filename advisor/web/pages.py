"""The pages on which something is said: the first one, the list, a session. Nothing here decides anything of a bike."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import TypeVar

import flask
from flask import Blueprint, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from advisor.errors import AdvisorError
from advisor.session.events import BALANCE, BENCH, PHONE, TUNE_UP
from advisor.session.listing import listed_of, still_open
from advisor.session.next_question import Question
from advisor.session.schema import StoreError
from advisor.session.shown import QuestionShown, ToolsListed
from advisor.session.store import DamagedSessionError
from advisor.web import drawn, fields, follow_pages
from advisor.web.desk import Turn
from advisor.web.family_pages import family
from advisor.web.here import browser, desk, error_page, its_own, parts
from advisor.web.people import new_browser
from advisor.web.pressed import said
from advisor.web.two_columns import columns, in_unit

KINDS = (BENCH, PHONE, BALANCE, TUNE_UP)
MOST_LISTED, MOST_OPEN = 60, 4  # sessions on the list, and on the first page of each kind
MOST_WORDS = 200  # characters that a search takes
WRITE_FIRST = "write something first, or press one of the answers"
ANOTHER = "the question is another one now; look at it, and type the figures again"
NO_KIND = "There is no such kind of session."
Asked = TypeVar("Asked", QuestionShown, ToolsListed)
Answer = Response | str | tuple[str, HTTPStatus]
pages = Blueprint("pages", __name__)


# The first page, and the list


@pages.get("/")
def start() -> str:
    """Ask what is wrong, and show what is open."""
    return _start()


def _start(words: str = "", mistake: str = "") -> str:
    own = parts()[1].own(browser())
    still = {kind: still_open(desk().store, kind, MOST_OPEN, own) for kind in KINDS}
    form = new_browser().secret  # by which a double click is known
    return render_template("start.html", words=words, mistake=mistake, still=still, form=form)


@pages.post("/begin")
def begin() -> Answer:
    """Begin a session."""
    kind, words = request.form["kind"], request.form.get("words", "")
    if kind not in KINDS:
        return error_page(HTTPStatus.BAD_REQUEST, NO_KIND)
    try:
        number = desk().begin(kind, words, browser(), request.form["form"])
    except StoreError:
        raise
    except AdvisorError as error:
        return _start(words, said(error)), HTTPStatus.UNPROCESSABLE_ENTITY
    parts()[1].began(browser(), number)
    return _to(number)


@pages.get("/sessions")
def sessions() -> str:
    """List the sessions, of all kinds or of one, that have some words."""
    kind = request.args.get("kind", "")
    kind = kind if kind in KINDS else ""
    words = request.args.get("words", "")[:MOST_WORDS]
    kinds = (kind,) if kind else KINDS
    found, more = listed_of(desk().store, kinds, words, MOST_LISTED, parts()[1].own(browser()))
    return render_template("list.html", kind=kind, words=words, found=found, more=more)


# One session


@pages.get("/session/<int:number>")
def session(number: int) -> str:
    """Show where a session stands for this browser."""
    return _page(its_own(number))


def _page(number: int, mistake: str = "", given: Mapping[str, str] | None = None) -> str:
    live = follow_pages.looked_at(number)  # first of all: it may answer the question
    turn = desk().turn(number, browser())
    at, asked = desk().session(number), _asked(turn, QuestionShown)
    not_taken = turn.not_taken.line if turn.not_taken and turn.not_taken.typed else ""
    return render_template(
        "session.html",
        turn=turn,
        at=at,
        rows=fields.rows(asked.question, at.base, family()) if asked else (),
        columns=in_unit(columns(asked.question, at.state, at.base), family(), at.base) if asked else None,
        shows=drawn.picture(asked.question, at.state, at.base) if asked else None,
        mistake=mistake,
        given={"words": not_taken} if given is None else given,
        said=at.steps_taken(),
        live=live,
        does=follow_pages.DOES,
        moves=in_unit(follow_pages.drawn(live), family(), at.base),
        follows=follow_pages.may_follow(asked.question) if asked else "",
    )


@pages.post("/session/<int:number>")
def say(number: int) -> Answer:
    """Take what a form says, as one line."""
    form, at = request.form, desk()
    turn = at.turn_of(form["turn"], browser(), its_own(number))
    try:
        line = _line(form, turn)
    except AdvisorError as error:
        return _page(number, said(error), form), HTTPStatus.UNPROCESSABLE_ENTITY
    at.take(number, browser(), form["turn"], line, pressed="say" in form)
    return _to(number)


def _to(number: int) -> Response:
    return flask.redirect(f"/session/{number}", HTTPStatus.SEE_OTHER)


def _line(form: "MultiDict[str, str]", turn: Turn | None) -> str:
    """Return the one line that a form says. Raises AdvisorError."""
    if "say" in form:
        return form["say"]
    ticks, listed_tools = form.getlist("tick"), _asked(turn, ToolsListed)
    says = {
        fields.FIGURES: lambda: fields.figures(form, _question(turn), desk().advisor.base, family()),
        fields.TICKED: lambda: fields.ticked(ticks),
        fields.STILL: lambda: fields.still(ticks),
        fields.TOOLS: lambda: fields.tools(ticks, listed_tools.tools if listed_tools else ()),
        fields.NOTE: lambda: fields.note(form.get("about", ""), _words(form)),
        fields.ANEW: lambda: f"{form.get('number', '')[:3]}: {_words(form)}",
        fields.ALSO: lambda: f"also {_words(form)}",
    }
    return says.get(form.get("do", ""), lambda: _words(form))()


def _words(form: Mapping[str, str]) -> str:
    words = " ".join(form.get("words", "").split())
    if not words:
        raise AdvisorError(WRITE_FIRST)
    return words


def _question(turn: Turn | None) -> Question:
    found = _asked(turn, QuestionShown)
    if found is None:
        raise AdvisorError(ANOTHER)
    return found.question


def _asked(turn: Turn | None, kind: type[Asked]) -> Asked | None:
    """Return what a turn asks, if it is of this kind."""
    return next((one for one in turn.asks if isinstance(one, kind)), None) if turn else None


@pages.post("/session/<int:number>/again")
def again(number: int) -> Answer:
    """Come to a session as to one that was not seen before."""
    desk().again(its_own(number), browser())
    return _to(number)


@pages.post("/session/<int:number>/before-damage")
def before_damage(number: int) -> Answer:
    """Go on with what comes before the first damaged event of a session, in a new one."""
    try:
        desk().store.events(its_own(number))
    except DamagedSessionError as error:
        number = desk().before_damage(error.before)
        parts()[1].began(browser(), number)
    return _to(number)


@pages.get("/session/<int:number>/events")
def events(number: int) -> dict[str, int]:
    """Return how many events a session has: a page that is open asks whether somebody has answered elsewhere."""
    return {"events": desk().many(its_own(number))}
