"""In which family of units a browser wants its figures: chosen once, kept in a cookie, and put into every page last."""

from copy import copy
from http import HTTPStatus
from urllib.parse import urlsplit

import flask
from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response

from advisor.session.session import Session
from advisor.show.families import AS_TYPED, FAMILIES, events_in_family, in_family, page_in_family
from advisor.web.here import desk

COOKIE, YEAR = "tuneup-units", 365 * 24 * 3600
families = Blueprint("families", __name__)


def family() -> str:
    """Return the family that the browser has chosen; '' for figures as they were typed."""
    found = request.cookies.get(COOKIE, AS_TYPED)
    return found if found in FAMILIES else AS_TYPED


def shown_in_it(answer: flask.Response) -> flask.Response:
    """Return an answer with its figures in the family of the browser. A case file keeps them as typed."""
    kind, chosen = answer.mimetype, family()
    if chosen == AS_TYPED or answer.is_streamed or kind not in {"text/html", "text/plain"} or _is_a_case():
        return answer
    turn = page_in_family if kind == "text/html" else in_family
    answer.set_data(turn(answer.get_data(as_text=True), chosen, desk().advisor.base.units))
    return answer


def in_its_units(session: Session) -> Session:
    """Return a session whose figures read as if they had been typed in the family of the browser: for drawings."""
    if family() == AS_TYPED:
        return session
    journal = copy(session.journal)
    journal.store, journal.events = None, events_in_family(journal.events, family(), session.base.units)
    return Session(desk().advisor, journal, desk().hearing)


def _is_a_case() -> bool:
    return request.path.endswith("/case.yaml")


@families.get("/units")
def units() -> str:
    """Ask in which units figures are to be shown."""
    return render_template("units.html", chosen=family(), back=_inside(urlsplit(request.referrer or "").path))


@families.post("/units")
def choose() -> Response:
    """Keep in which units figures are to be shown."""
    chosen = request.form.get("family", AS_TYPED)
    answer = flask.redirect(_inside(request.form.get("back", "")), HTTPStatus.SEE_OTHER)
    answer.set_cookie(
        COOKIE, chosen if chosen in FAMILIES else AS_TYPED, max_age=YEAR, httponly=True, samesite="Strict"
    )
    return answer


def _inside(path: str) -> str:
    """Return a path of these pages; the first page for any other."""
    plain = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isascii() and path.isprintable()
    return path if plain and path != "/units" else "/"
