"""What moves on the page of a balance: readings as they come from the table that the server follows."""

from http import HTTPStatus

import flask
from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response

from advisor.session.following import HELD, MOVING, NOTHING, READY, SETTLING, STANDS, WAITS, serves
from advisor.session.next_question import Question
from advisor.web.family_pages import family
from advisor.web.followed import Followed, Live
from advisor.web.here import NoSessionError, browser, desk, its_own, table
from advisor.web.two_columns import Columns, in_unit, now

DOES = {
    MOVING: "moving",
    SETTLING: "settling",
    WAITS: "waits for the turn",
    READY: "waits until it is ready",
    HELD: "waits: look at the hoses",
    STANDS: "the engine stands still",
    NOTHING: "steady",
}
follows = Blueprint("follows", __name__)


def _table() -> Followed:
    found = table()
    if found is None:
        raise NoSessionError
    return found


def drawn(live: Live | None) -> Columns | None:
    """Return both columns as they are now; None where nothing came yet."""
    return now(live.row) if live and live.row else None


def looked_at(number: int) -> Live | None:
    """Go through what came for a session; None where it follows nothing. Raises AdvisorError."""
    found = table()
    return found.look(number, browser()) if found else None


def may_follow(question: Question) -> str:
    """Return the name of the table that this question may be answered from; '' if there is none."""
    found = table()
    return found.name if found and serves(question) else ""


@follows.get("/session/<int:number>/live")
def live(number: int) -> str:
    """Return what moves, as a part of a page."""
    found = _table().look(its_own(number), browser())
    return render_template(
        "live.html", live=found, columns=in_unit(drawn(found), family(), desk().advisor.base), does=DOES
    )


@follows.post("/session/<int:number>/follow")
def follow(number: int) -> Response:
    """Let readings come by themselves, or be typed; or take the word of somebody who has turned or looked."""
    found, does, at = _table(), request.form.get("do", ""), its_own(number)
    if does == "follow":
        found.follow(at)
    elif does == "type":
        found.stop(at)
    else:
        found.done(at, browser())
    return flask.redirect(f"/session/{number}", HTTPStatus.SEE_OTHER)
