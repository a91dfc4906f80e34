"""The application: what is looked at before any page, what goes with every answer, and what is said when it fails."""

import sys
from http import HTTPStatus

import flask
from flask import Flask, g, render_template, request
from jinja2 import StrictUndefined
from werkzeug.exceptions import BadRequestKeyError, HTTPException
from werkzeug.wrappers import Response

from advisor.errors import AdvisorError
from advisor.session.schema import StoreError
from advisor.session.store import DamagedSessionError
from advisor.visible import visible
from advisor.web import drawn
from advisor.web.desk import Desk
from advisor.web.family_pages import families, shown_in_it
from advisor.web.follow_pages import follows
from advisor.web.followed import Followed
from advisor.web.guard import HEADERS, LARGEST_BODY, Guard
from advisor.web.here import PARTS, TABLE, NoSessionError, error_page, parts
from advisor.web.lesson_pages import lessons
from advisor.web.looks import looks
from advisor.web.pages import pages
from advisor.web.people import People, new_browser
from advisor.web.practice_pages import practising
from advisor.web.pressed import said

COOKIE, YEAR = "tuneup-advisor", 365 * 24 * 3600
MOST_PARTS = 300  # fields of a form
LONGEST_CODE = 40
WENT_WRONG = "Something went wrong here. What was answered is kept: go back to the session and go on."
OLD_FORM = "This form is not one of this browser's. Go back, load the page again, and answer there."
NOT_UNDERSTOOD = "That was not understood."
SAYS = {
    404: "There is no such page here.",
    405: "This page does not take that.",
    413: "That is too long; say it shorter, or in several lines.",
}
Answer = Response | str | tuple[str, HTTPStatus]


def made(desk: Desk, people: People, guard: Guard, table: Followed | None = None) -> Flask:
    """Return the pages of a desk, for those people, as a WSGI application; readings come from a `table`, if any."""
    app = Flask(__name__)
    app.config.update(MAX_CONTENT_LENGTH=LARGEST_BODY, MAX_FORM_MEMORY_SIZE=LARGEST_BODY, MAX_FORM_PARTS=MOST_PARTS)
    app.extensions[PARTS], app.extensions[TABLE] = (desk, people, guard), table
    app.jinja_env.finalize = _finalized
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.globals.update(drawn.FOR_TEMPLATES)
    app.jinja_env.filters["offered"] = drawn.offered
    app.register_blueprint(pages)
    app.register_blueprint(looks)
    app.register_blueprint(follows)
    app.register_blueprint(families)
    app.register_blueprint(practising)
    app.register_blueprint(lessons)
    app.add_url_rule("/let-in", "let_in", _let_in, methods=["POST"])
    app.before_request(_let_through)
    app.after_request(_with_headers)
    app.after_request(shown_in_it)
    app.register_error_handler(Exception, _gone_wrong)
    return app


def _finalized(value: object) -> object:
    """Spell out what a reader could not see; Jinja then escapes it."""
    return visible(value) if type(value) is str else value


def _let_through() -> Answer | None:
    """Look at each request before anything else, and remember whose it is; return what refuses it, if anything does."""
    _, people, guard = parts()
    g.browser = None
    refused = guard.refuses(request.method, dict(request.headers))
    if refused:
        return error_page(*refused)
    g.browser = people.known(request.cookies.get(COOKIE, ""))
    if request.endpoint in {"static", "let_in"}:
        return None
    if g.browser is None and request.headers.get("Sec-Fetch-Site") == "cross-site":
        return render_template("elsewhere.html")  # a strict cookie was not sent with this; a new one would replace it
    if g.browser is None and people.by_code:
        return render_template("code.html", wrong=False), HTTPStatus.UNAUTHORIZED
    if request.method == "POST" and not (g.browser and g.browser.sent(request.form.get("token", ""))):
        return error_page(HTTPStatus.FORBIDDEN, OLD_FORM)
    if g.browser is None:
        g.browser = g.new = new_browser()
    return None


def _let_in() -> Answer:
    """Let a browser in by the code of the terminal."""
    browser = parts()[1].let_in(request.form.get("code", "")[:LONGEST_CODE])
    if browser is None:
        return render_template("code.html", wrong=True), HTTPStatus.UNAUTHORIZED
    g.new = browser
    return flask.redirect("/", HTTPStatus.SEE_OTHER)


def _with_headers(answer: Response) -> Response:
    for name, value in HEADERS.items():
        answer.headers[name] = value
    if request.endpoint == "static" and answer.status_code == HTTPStatus.OK:
        answer.headers["Cache-Control"] = "no-cache"  # asked for again, and not sent again while it is the same
    if "new" in g:
        answer.set_cookie(COOKIE, g.new.secret, max_age=YEAR, httponly=True, samesite="Strict")
    return answer


def _gone_wrong(error: Exception) -> Answer:
    """Return the page for whatever was raised: one sentence and the status, never a traceback."""
    number = (request.view_args or {}).get("number", 0)
    match error:
        case DamagedSessionError(before=before) if before and number:
            return error_page(HTTPStatus.CONFLICT, said(error), damaged=number)
        case StoreError():
            return error_page(HTTPStatus.SERVICE_UNAVAILABLE, said(error))
        case AdvisorError():
            return error_page(HTTPStatus.UNPROCESSABLE_ENTITY, said(error))
        case BadRequestKeyError():
            return error_page(HTTPStatus.BAD_REQUEST, "A part of this form is missing. Load the page again.")
        case HTTPException():
            return _of_http(error)
    print(f"! {visible(request.path)}: {_where(error)}", file=sys.stderr)  # noqa: T201 - the server's own log
    return error_page(HTTPStatus.INTERNAL_SERVER_ERROR, WENT_WRONG)


def _of_http(error: HTTPException) -> Answer:
    code = error.code or HTTPStatus.INTERNAL_SERVER_ERROR
    if code < HTTPStatus.BAD_REQUEST:  # a redirect
        return error.get_response()
    says = str(error.description) if isinstance(error, NoSessionError) else SAYS.get(code, NOT_UNDERSTOOD)
    return error_page(code, says)


def _where(error: Exception) -> str:
    at = error.__traceback__
    while at and at.tb_next:
        at = at.tb_next
    place = f" ({at.tb_frame.f_code.co_filename}:{at.tb_lineno})" if at else ""
    return f"{type(error).__name__}: {visible(str(error))}{place}"
