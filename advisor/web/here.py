"""What a request has to do with: the desk, the people, the guard, and whose it is."""

from http import HTTPStatus

from flask import current_app, g, render_template
from werkzeug.exceptions import NotFound

from advisor.session.session import Session
from advisor.session.store import MOST_SESSIONS
from advisor.web.desk import Desk
from advisor.web.followed import Followed
from advisor.web.guard import Guard
from advisor.web.people import Browser, People

PARTS, TABLE = "advisor", "table"  # under which an application keeps them, and the table that is followed


class NoSessionError(NotFound):
    """There is no such session, or none that this browser may see: nobody learns which."""

    description = "There is no such session here."


def parts() -> tuple[Desk, People, Guard]:
    """Return the desk, the people and the guard of the application."""
    found: tuple[Desk, People, Guard] = current_app.extensions[PARTS]
    return found


def desk() -> Desk:
    """Return the desk."""
    return parts()[0]


def table() -> Followed | None:
    """Return the table that the server follows; None if it was started without one."""
    found: Followed | None = current_app.extensions[TABLE]
    return found


def browser() -> Browser:
    """Return the browser that asks."""
    found: Browser = g.browser
    return found


def its_own(number: int) -> int:
    """Return the number of a session that this browser may see. Raises NoSessionError."""
    at, people, _ = parts()
    if not (0 < number <= MOST_SESSIONS and people.sees(browser(), number) and at.has(number)):
        raise NoSessionError
    return number


def session(number: int) -> Session:
    """Return a session that this browser may see, as it stands. Raises NoSessionError and AdvisorError."""
    return desk().session(its_own(number))


def error_page(status: int, says: str, damaged: int = 0) -> tuple[str, HTTPStatus]:
    """Return the page that says in a sentence what is wrong; of a `damaged` session what can still be done."""
    return render_template("error.html", status=int(status), says=says, damaged=damaged), HTTPStatus(status)
