"""The lesson of the readiness order as pages: each stage, and its first check on a bike that fails it."""

from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from advisor.lazy import lazy
from advisor.web.here import desk
from advisor.web.practice_pages import NoBikeError

if TYPE_CHECKING:
    from advisor.practice import lesson_dialogue
    from advisor.show import taken_steps
else:  # numpy comes with them, and a server starts without
    lesson_dialogue = lazy("advisor.practice.lesson_dialogue")
    taken_steps = lazy("advisor.show.taken_steps")

lessons = Blueprint("lessons", __name__, url_prefix="/practice/lesson")


def _lesson(number: int) -> "lesson_dialogue.Lesson":
    base = desk().advisor.base
    if not 1 <= number <= len(base.areas):
        raise NoBikeError
    return lesson_dialogue.Lesson(base, str(number))


@lessons.get("/<int:number>")
def stage(number: int) -> str:
    """Show a stage: why it has its place, and what is looked at in it."""
    areas = desk().advisor.base.areas
    found = _lesson(number).opening()
    return render_template("lesson.html", number=number, areas=areas, found=found, model=taken_steps.MODEL)


@lessons.get("/<int:number>/bike")
def example(number: int) -> str:
    """Show the first check of a stage on a bike that fails it."""
    lesson = _lesson(number)
    lesson.opening()
    found = lesson.take("")
    return render_template("lesson_bike.html", number=number, found=found, figures=taken_steps.figures)
