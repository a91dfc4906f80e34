"""`advisor practice`: a virtual bike with a hidden fault, to learn on."""

import sys
from collections.abc import Iterable
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace
from rich.console import Console

from advisor import interrupt
from advisor.cli.common import advisor, refuse, rulebase, rules_option, typed_line
from advisor.errors import AdvisorError, Problem
from advisor.lazy import lazy
from advisor.show.screen import console

if TYPE_CHECKING:
    from advisor.practice import dialogue, lesson_dialogue, levels, replies
    from advisor.practice import progress as practised
    from advisor.show import practice as draw
else:  # numpy comes with them, and '--help' needs none
    dialogue = lazy("advisor.practice.dialogue")
    lesson_dialogue = lazy("advisor.practice.lesson_dialogue")
    levels = lazy("advisor.practice.levels")
    practised = lazy("advisor.practice.progress")
    replies = lazy("advisor.practice.replies")
    draw = lazy("advisor.show.practice")


@click.command()
@click.option("--seed", type=click.IntRange(0), help="Which bike; the same number brings the same bike again.")
@click.option(
    "--level",
    type=click.Choice(["easy", "fair", "hard"]),
    default="fair",
    show_default=True,
    help="Easy: one bad fault. Fair: one. Hard: two, or a slight one, with all set around it.",
)
@click.option("--area", default="", metavar="PLACE", help="Only faults of this place: valves, ignition, fuel, ...")
@click.option(
    "--resume", "resumes", is_flag=True, help="Go on with the bike left half-way last, or with the one of --seed."
)
@click.option("--progress", is_flag=True, help="Show how it went so far, by area.")
@click.option("--lesson", is_flag=True, help="Go through the readiness order, each stage on a bike that fails it.")
@click.option("--stage", default="", metavar="STAGE", help="Begin the lesson there: 3, fuel, cables, ...")
@rules_option
def practice(  # noqa: PLR0913 - as many as there are options
    *,
    seed: int | None,
    level: str,
    area: str,
    resumes: bool,
    progress: bool,
    lesson: bool,
    stage: str,
    overlays: tuple[Path, ...],
) -> None:
    """Find a hidden fault on a virtual bike; then see what each check told, and what a good order would have been."""
    if progress:
        refuse(("seed", "level", "area", "resumes", "lesson"), "--progress shows what is kept of all bikes")
    if lesson:
        refuse(("seed", "level", "area", "resumes"), "--lesson brings bikes of its own")
    else:
        refuse(("stage",), "it is for the lesson: --lesson --stage 3")
    if resumes and seed is None:
        refuse(("level", "area"), "--resume without --seed goes on with the bike left last")
    screen = console()
    try:
        if progress:
            _draw(practised.so_far(rulebase(overlays)), screen)
        elif lesson:
            _teach(lesson_dialogue.Lesson(rulebase(overlays), stage), screen)
        elif resumes:
            bike = None if seed is None else levels.BikeId(seed=seed, level=level, area=area)
            _play(dialogue.resume(advisor(overlays), bike), screen)
        else:
            bike_number = levels.any_seed() if seed is None else seed
            _play(dialogue.begin(advisor(overlays), bike_number, level, area), screen)
    except AdvisorError as error:
        raise AdvisorError([_wrapped(one, screen.width) for one in error.problems]) from error
    except KeyboardInterrupt:
        click.echo("\nStopped.")
        sys.exit(interrupt.STOPPED)


def _wrapped(one: Problem, width: int) -> Problem:
    """Return a mistake wrapped to this width, unless it is in a file."""
    text = one.whole if one.file else fill(one.whole, width, break_long_words=False, break_on_hyphens=False)
    return replace(one, text=text, typed="")


def _draw(said: "Iterable[replies.Reply]", screen: Console) -> None:
    for reply in said:
        screen.print(draw.drawn(reply))


def _play(talk: "dialogue.Talk", screen: Console) -> None:
    """Pass lines on, up to the verdict or until the user leaves."""
    interrupt.hold()
    _draw(talk.opening(), screen)
    try:
        _draw(talk.stages(), screen)
        while not talk.ended:
            line = typed_line()
            _draw(talk.leave(replies.INPUT_ENDED) if line is None else talk.take(line), screen)
    except KeyboardInterrupt:
        _draw(talk.leave(replies.STOPPED), screen)
        sys.exit(interrupt.STOPPED)
    if talk.left:
        return
    interrupt.end_at_once()
    if screen.is_terminal:
        screen.print("The planner tries the same bike ...", style="dim")
    _draw(talk.review(), screen)


def _teach(lesson: "lesson_dialogue.Lesson", screen: Console) -> None:
    """Pass lines on, up to the end of the lesson or until the user stops."""
    _draw(lesson.opening(), screen)
    while not lesson.over:
        line = typed_line()
        _draw(lesson.stop() if line is None else lesson.take(line), screen)
