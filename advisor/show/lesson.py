"""The lesson of the readiness order, on a terminal."""

from rich.console import Group
from rich.text import Text

from advisor.practice import lesson_dialogue as lesson
from advisor.practice.lesson import LookedAt
from advisor.show.screen import Rows, heading
from advisor.show.taken_steps import MODEL, cautions, found, items
from advisor.show.words import minutes

GO_ON = {lesson.FIRST_CHECK: "its first check on a bike that fails it", lesson.NEXT_STAGE: "next stage"}


def opening(one: lesson.LessonOpening) -> Group:
    """Return the lesson's first lines."""
    what = "What must be right before what: each stage is judged only once those before it are right."
    return Group(
        heading(f"THE READINESS ORDER, {one.stages} stages"),
        Rows([("", Text(what))], label=2),
        Rows([("", Text(MODEL, style="dim"))], label=2),
    )


def stage(one: lesson.StageTaught) -> Group:
    """Return a stage of the lesson: what it is, why it comes here, what to look at, and the cautions."""
    return Group(
        Text(),
        heading(f"STAGE {one.number}: {one.title}"),
        Rows([("  what", Text(one.reason)), ("  then", Text(one.before))], label=8),
        Rows([("  -", _looked_at(each)) for each in one.looked_at], label=4),
        *cautions(one.care),
    )


def _looked_at(one: LookedAt) -> Text:
    text = f"{one.title}: {one.check}" if one.title != one.check else one.title
    return Text(text).append(f" ({minutes(one.minutes)})", style="dim")


def example(one: lesson.ExampleShown) -> Group:
    """Return the stage's first check on a bike that fails it."""
    return Group(
        Text(),
        heading(f"ON A BIKE: {one.title} ({minutes(one.minutes)})"),
        *cautions(one.care),
        items(one.how, "dim"),
        *found(one.says, one.readings),
        Rows([("  it was", Text(one.fault)), ("  why", Text(one.reason.strip()))], label=10),
    )


def no_example(_: lesson.NoExample) -> Text:
    """Return the line that no bike can be shown."""
    return Text("The virtual bike has no fault that shows here.", style="dim")


def ask(one: lesson.AskNext) -> Text:
    """Return the question about what comes next."""
    return Text(f"Enter: {GO_ON[one.next]}. 3 or fuel: that stage. q: stop.", style="dim")


def stopped(one: lesson.LessonStopped) -> Text:
    """Return the last line of a lesson that was stopped."""
    return Text(f"Stopped at stage {one.number} of {one.stages}: {one.title}.")


def over(_: lesson.LessonOver) -> Text:
    """Return the last line of the lesson."""
    return Text("\nThat is the whole order. Now try it: advisor practice --level easy")
