"""Practice as pages: a virtual bike with a hidden fault, one thing a screen. Nothing here decides anything of one."""

from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING

import flask
from flask import Blueprint, current_app, render_template, request
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from advisor.errors import AdvisorError
from advisor.lazy import lazy
from advisor.session.typed_line import typed
from advisor.web.here import browser, desk, parts
from advisor.web.pressed import said
from advisor.web.rounds import Rounds, RoundShown

if TYPE_CHECKING:
    from advisor.practice import keeper, levels, progress, replies, stages, storage
    from advisor.show import practice as words_of
    from advisor.show import taken_steps, verdict_words
else:  # numpy comes with them, and a server starts without
    keeper = lazy("advisor.practice.keeper")
    levels = lazy("advisor.practice.levels")
    progress = lazy("advisor.practice.progress")
    replies = lazy("advisor.practice.replies")
    stages = lazy("advisor.practice.stages")
    storage = lazy("advisor.practice.storage")
    words_of = lazy("advisor.show.practice")
    taken_steps = lazy("advisor.show.taken_steps")
    verdict_words = lazy("advisor.show.verdict_words")

ROUNDS = "practice"  # under which an application keeps its rounds
LARGEST_SEED = 999_999_999
FIX, NAME, CHECK = "fix", "name", "check"
VERBS = {"do": "", "measure": "measure ", FIX: "fix ", NAME: "name "}  # what a button puts in front of typed words
WRITE_FIRST = "write something first, or press one of the buttons"
TICK_FIRST = "tick first what it is"
NO_NUMBER = "the number of a bike is a whole one of at most nine figures"
Answer = Response | str | tuple[str, HTTPStatus]
practising = Blueprint("practising", __name__, url_prefix="/practice")


class NoBikeError(NotFound):
    """There is no such bike, stage or list."""

    description = "There is no such bike here."


def _rounds() -> Rounds:
    found: Rounds = current_app.extensions.setdefault(ROUNDS, Rounds(desk().advisor))
    return found


def _where() -> Path | None:
    """Return the folder in which this browser's practice is kept: its own, where each sees only its own sessions."""
    if parts()[1].shared:
        return None
    return storage.folder() / "practice-of" / browser().name[:32]


# Before a bike, and after


@practising.get("")
def start() -> str:
    """Ask which bike, and show those that were left half-way."""
    return _start()


def _start(mistake: str = "") -> str:
    left = keeper.all_half_way(_where())
    places = stages.places_with_faults(desk().advisor.base)
    return render_template("practice.html", left=left, places=places, mistake=mistake, way_to=_path)


@practising.post("")
def begin() -> Answer:
    """Bring a bike: this one, or any."""
    form = request.form
    level, area, seed = form["level"], form.get("area", ""), "".join(form.get("seed", "").split())
    if level not in levels.LEVELS or area not in {"", *stages.places_with_faults(desk().advisor.base)}:
        raise NoBikeError
    if seed and not (seed.isascii() and seed.isdecimal() and int(seed[:10]) <= LARGEST_SEED):
        return _start(NO_NUMBER), HTTPStatus.UNPROCESSABLE_ENTITY
    number = int(seed) if seed else levels.any_seed()
    return _to(levels.BikeId(seed=number, level=level, area=area))


@practising.get("/progress")
def so_far() -> str:
    """Show how practice went so far, by place."""
    found = progress.so_far(desk().advisor.base, _where())
    return render_template("progress.html", found=found)


# One bike


def _bike(which: str) -> "levels.BikeId":
    """Return the bike that an address names: 'easy-7', or 'easy-7-fuel' for faults of one place."""
    level, _, rest = which.partition("-")
    seed, _, area = rest.partition("-")
    known = level in levels.LEVELS and area in {"", *stages.places_with_faults(desk().advisor.base)}
    if not (known and seed.isascii() and seed.isdecimal() and len(seed) <= len(str(LARGEST_SEED))):
        raise NoBikeError
    return levels.BikeId(seed=int(seed), level=level, area=area)


def _path(bike: "levels.BikeId") -> str:
    return f"/practice/bike/{'-'.join(filter(None, (bike.level, str(bike.seed), bike.area)))}"


def _to(bike: "levels.BikeId") -> Response:
    return flask.redirect(_path(bike), HTTPStatus.SEE_OTHER)


def _page(template: str, bike: "levels.BikeId", now: RoundShown, **more: object) -> str:
    """Draw a page of a round."""
    return render_template(
        template,
        bike=bike,
        path=_path(bike),
        now=now,
        talk=now.talk,
        figures=taken_steps.figures,
        handbook=taken_steps.asked,
        after=words_of.after,
        model=taken_steps.MODEL,
        **more,
    )


@practising.get("/bike/<which>")
def bike(which: str) -> Answer:
    """Show where a round stands, or how it went."""
    at = _bike(which)
    try:
        now = _rounds().at(_where(), at)
    except keeper.CannotGoOnError as error:
        return _stopped(at, error), HTTPStatus.CONFLICT
    return _round(at, now)


def _stopped(at: "levels.BikeId", error: AdvisorError) -> str:
    return render_template("round_stopped.html", bike=at, path=_path(at), says=said(error))


def _round(at: "levels.BikeId", now: RoundShown, mistake: str = "") -> str:
    if now.talk.round.over:
        return _page("round_over.html", at, now, found=_rounds().review(now), words=verdict_words)
    first = now.talk.opening()
    return _page("round.html", at, now, mistake=mistake, opening=first[0], stages=now.talk.stages()[0])


@practising.post("/bike/<which>")
def line(which: str) -> Answer:
    """Take what a form says, as one line."""
    at, form, where = _bike(which), request.form, _where()
    try:
        words = _line()
    except AdvisorError as error:
        return _round(at, _rounds().at(where, at), said(error)), HTTPStatus.UNPROCESSABLE_ENTITY
    steps = form.get("steps", "")[:9]
    now = _rounds().take(where, at, int(steps) if steps.isdecimal() and steps.isascii() else -1, words)
    return flask.redirect("/practice", HTTPStatus.SEE_OTHER) if now.talk.left else _to(at)


def _line() -> str:
    """Return the one line that a form says. Raises AdvisorError."""
    form = request.form
    if "say" in form:
        return typed(form["say"])
    if form.get("do") == "ticked":
        ticks = form.getlist("tick")
        if not ticks:
            raise AdvisorError(TICK_FIRST)
        return typed(f"name {'; '.join(ticks)}")
    words = typed(" ".join(form.get("words", "").split()))
    if not words:
        raise AdvisorError(WRITE_FIRST)
    return VERBS.get(form.get("do", ""), "") + words


@practising.post("/bike/<which>/anew")
def anew(which: str) -> Answer:
    """Begin a bike from the start."""
    at = _bike(which)
    _rounds().anew(_where(), at)
    return _to(at)


def _going_on(which: str) -> "tuple[levels.BikeId, RoundShown | None]":
    """Return a bike with its round; None if that is over, or cannot go on: then its own page says so."""
    at = _bike(which)
    try:
        now = _rounds().at(_where(), at)
    except keeper.CannotGoOnError:
        return at, None
    return at, None if now.talk.round.over else now


@practising.get("/bike/<which>/stage/<int:stage>")
def stage(which: str, stage: int) -> Answer:
    """List the checks of a stage, or the causes in it that can be put right."""
    at, now = _going_on(which)
    verb = request.args.get("to", CHECK)
    if not 1 <= stage <= len(desk().advisor.base.areas) or verb not in {CHECK, FIX}:
        raise NoBikeError
    if now is None:
        return _to(at)
    return _page("round_list.html", at, now, verb=verb, found=now.talk.offered(verb, stage - 1))


@practising.get("/bike/<which>/fix")
def fix(which: str) -> Answer:
    """Ask in which stage something is to be put right."""
    at, now = _going_on(which)
    return _page("round_fix.html", at, now, stages=now.talk.stages()[0]) if now else _to(at)


@practising.get("/bike/<which>/name")
def name(which: str) -> Answer:
    """Ask what it is: all causes, to be ticked."""
    at, now = _going_on(which)
    if now is None:
        return _to(at)
    listed = [now.talk.offered(NAME, number) for number in range(len(desk().advisor.base.areas))]
    return _page("round_name.html", at, now, listed=listed, opening=now.talk.opening()[0])


@practising.get("/bike/<which>/known")
def known(which: str) -> Answer:
    """Show all that is known of a bike, and its handbook."""
    at, now = _going_on(which)
    if now is None:
        return _to(at)
    found = [one for line in ("know", "handbook") for one in now.talk.take(line)]
    return _page("round_known.html", at, now, found=found)
