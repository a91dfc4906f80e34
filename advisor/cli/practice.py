"""`advisor practice`: a virtual bike with a hidden fault, to learn on."""

import secrets
import sys
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

from advisor.cli.common import advisor, refuse, rulebase, rules_option, typed_line
from advisor.errors import AdvisorError, Problem

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.cli.practice_half_way import Keeper
    from advisor.practice.round import Round

MOST_SEED = 99_999


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
@click.option("--resume", is_flag=True, help="Go on with the bike left half-way last, or with the one of --seed.")
@click.option("--progress", is_flag=True, help="Show how it went so far, by area.")
@click.option("--lesson", is_flag=True, help="Go through the readiness order, each stage on a bike that fails it.")
@click.option("--stage", default="", metavar="STAGE", help="Begin the lesson there: 3, fuel, cables, ...")
@rules_option
def practice(  # noqa: PLR0913 - as many as there are options
    *,
    seed: int | None,
    level: str,
    area: str,
    resume: bool,
    progress: bool,
    lesson: bool,
    stage: str,
    overlays: tuple[Path, ...],
) -> None:
    """Find a hidden fault on a virtual bike; then see what each check told, and what a good order would have been."""
    from advisor.show.screen import console  # noqa: PLC0415 - only what is drawn is imported

    screen = console()
    if progress:
        refuse(("seed", "level", "area", "resume", "lesson"), "--progress shows what is kept of all bikes")
    if lesson:
        refuse(("seed", "level", "area", "resume"), "--lesson brings bikes of its own")
    else:
        refuse(("stage",), "it is for the lesson: --lesson --stage 3")
    if resume and seed is None:
        refuse(("level", "area"), "--resume without --seed goes on with the bike left last")
    try:
        if progress:
            _progress(screen, overlays)
        elif lesson:
            _lesson(screen, stage, overlays)
        elif resume:
            _resume(screen, None if seed is None else (seed, level, area), overlays)
        else:
            _practise(screen, secrets.randbelow(MOST_SEED) if seed is None else seed, level, area, overlays)
    except AdvisorError as error:
        raise AdvisorError([_wrapped(one, screen.width) for one in error.problems]) from error
    except KeyboardInterrupt:
        click.echo("\nStopped.")
        sys.exit(1)


def _wrapped(one: Problem, width: int) -> Problem:
    """Return a mistake in lines of this width, unless it stands in a file."""
    text = one.text if one.file else fill(one.text, width, break_long_words=False, break_on_hyphens=False)
    return replace(one, text=text)


def _practise(screen: "Console", seed: int, level: str, area: str, overlays: tuple[Path, ...]) -> None:
    from advisor.cli.practice_half_way import Keeper  # noqa: PLC0415 - as above
    from advisor.practice.round import Round  # noqa: PLC0415 - as above
    from advisor.show import practice as draw  # noqa: PLC0415 - as above

    now = Round(advisor(overlays), seed, level, area)
    screen.print(draw.opening(now))
    keeper = Keeper(now, screen)
    keeper.say_if_left()
    _go_on(now, keeper, screen)


def _resume(screen: "Console", bike: tuple[int, str, str] | None, overlays: tuple[Path, ...]) -> None:
    from advisor.cli.practice_half_way import Keeper, brought_back  # noqa: PLC0415 - as above
    from advisor.show import practice as draw  # noqa: PLC0415 - as above

    now = brought_back(advisor(overlays), bike)
    screen.print(draw.opening(now))
    screen.print(draw.known(now))
    _go_on(now, Keeper(now, screen), screen)


def _go_on(now: "Round", keeper: "Keeper", screen: "Console") -> None:
    """Take line by line, to the verdict or until it is left."""
    from advisor.cli.practice_talk import Talk  # noqa: PLC0415 - as above
    from advisor.show import practice as draw  # noqa: PLC0415 - as above

    talk = Talk(now, screen, keeper.keep)
    try:
        talk.stages()
        while not now.over:
            line = typed_line()
            if line is None or not talk.take(line):
                how = "The input ended" if line is None else "Left"
                screen.print(draw.left(now, how, kept=keeper.kept))
                return
    except KeyboardInterrupt:
        screen.print(draw.left(now, "\nStopped", kept=keeper.kept))
        sys.exit(1)
    _judge(now, screen)
    keeper.forget()


def _judge(now: "Round", screen: "Console") -> None:
    from advisor.practice.progress import Kept, keep, progress_path, read  # noqa: PLC0415 - as above
    from advisor.practice.round import RIGHT  # noqa: PLC0415 - as above
    from advisor.practice.verdict import verdict  # noqa: PLC0415 - as above
    from advisor.show.verdict import verdict as drawn  # noqa: PLC0415 - as above

    if screen.is_terminal:
        screen.print("The planner tries the same bike ...", style="dim")
    found = verdict(now)
    screen.print(drawn(found, now))
    one = Kept(
        seed=now.seed,
        level=now.level,
        area=now.base.causes[found.planted[0].cause].place,
        found=found.found,
        minutes=found.minutes,
        planner=found.plan_minutes,
        asked=now.area,
        guessed=found.guessed and found.outcome == RIGHT,
    )
    try:
        if any(before.bike == one.bike for before in read(progress_path())[0]):
            screen.print("This bike's answer was shown before: --progress goes by the first time.", style="dim")
        keep(one, progress_path())
    except AdvisorError as error:
        screen.print(f"! {error}")


def _progress(screen: "Console", overlays: tuple[Path, ...]) -> None:
    from advisor.practice.progress import progress_path, read, standings  # noqa: PLC0415 - as above
    from advisor.show.practice import standings as drawn  # noqa: PLC0415 - as above

    bikes, skipped = read(progress_path())
    for message in skipped:
        screen.print(f"! {message}")
    if not bikes:
        screen.print("No bike has been practised on yet. Begin with: advisor practice --level easy")
        return
    order = [place for area in rulebase(overlays).areas for place in area.places]
    screen.print(drawn(standings(bikes, order)))


def _lesson(screen: "Console", begin: str, overlays: tuple[Path, ...]) -> None:
    from advisor.cli.practice_lesson import Lesson  # noqa: PLC0415 - as above

    Lesson(rulebase(overlays), screen).run(begin)
