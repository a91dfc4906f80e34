"""`advisor score`: bikes with hidden faults, or a folder of resolved cases."""

import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click
from rich.console import Console
from rich.progress import track

from advisor import interrupt
from advisor.cli.common import advisor, files_option, folders, refuse, rules_option
from advisor.cli.save import destination, written
from advisor.errors import AdvisorError
from advisor.lazy import lazy
from advisor.show.screen import console

if TYPE_CHECKING:
    from advisor.scoring import check_value, led_balance
    from advisor.scoring import played as play
    from advisor.scoring import resolved as accounts
    from advisor.scoring import score as scoring
    from advisor.scoring.played import Played
    from advisor.scoring.rows import Row
    from advisor.scoring.score import Task
    from advisor.show import led_balance as draw_balances
    from advisor.show import played as draw_played
    from advisor.show import score as draw
    from advisor.virtual_bike import not_shown
    from advisor.virtual_bike import table as cycles
else:  # each of them imports numpy or pandas, which '--help' does not need
    check_value = lazy("advisor.scoring.check_value")
    led_balance = lazy("advisor.scoring.led_balance")
    draw_balances = lazy("advisor.show.led_balance")
    play = lazy("advisor.scoring.played")
    accounts = lazy("advisor.scoring.resolved")
    scoring = lazy("advisor.scoring.score")
    draw = lazy("advisor.show.score")
    draw_played = lazy("advisor.show.played")
    not_shown = lazy("advisor.virtual_bike.not_shown")
    cycles = lazy("advisor.virtual_bike.table")

JOBS = 2
R = TypeVar("R")


@click.command()
@click.argument("resolved", required=False, type=click.Path(path_type=Path))
@click.option("--cases", type=click.IntRange(1, 1_000_000), default=1000, show_default=True, help="How many bikes.")
@click.option(
    "--seed", type=click.IntRange(0), default=1, show_default=True, help="The same seed gives the same table."
)
@click.option(
    "--planned",
    type=click.IntRange(0),
    default=40,
    show_default=True,
    help="On this many of them the planner goes on checking until they are cured; after a led balance too.",
)
@click.option(
    "--checks",
    type=click.IntRange(0),
    default=0,
    help="On this many of them, show what each check tells alone: toward the fault, or away. Seconds a bike.",
)
@click.option(
    "--played",
    is_flag=True,
    help="Play a whole session at the bench and a whole call on each, from the first words. Some seconds a bike.",
)
@click.option(
    "--by-pages",
    is_flag=True,
    help="Play them on bikes that the pages' own numbers drew, not the engine model: the most that can be had.",
)
@click.option(
    "--balanced",
    is_flag=True,
    help="Play a led balance on each: a sound bike with its screws out, by two methods, and one with a fault.",
)
@click.option("--jobs", type=click.IntRange(1), default=JOBS, show_default=True, help="How many processes.")
@click.option("--rows", type=click.Path(path_type=Path, dir_okay=False), help="Write one line a bike to this CSV file.")
@rules_option
@files_option
def score(  # noqa: PLR0913 - one option each
    resolved: Path | None,
    cases: int,
    seed: int,
    planned: int,
    checks: int,
    played: bool,
    by_pages: bool,
    balanced: bool,
    jobs: int,
    rows: Path | None,
    overlays: tuple[Path, ...],
    files_from: tuple[Path, ...],
) -> None:
    """Judge the rule base on bikes from the engine model, each with a hidden fault.

    RESOLVED is a folder of resolved cases to score instead.
    """
    screen = console()
    if resolved is not None:
        refuse(
            ("cases", "seed", "planned", "checks", "by_pages", "balanced", "jobs", "rows"),
            "resolved cases are scored all, and nothing is drawn",
        )
        _resolved(resolved, overlays, files_from, screen, played=played)
        return
    refuse(("files_from",), "bikes from the engine model read no files")
    if played or by_pages or balanced:
        refuse(
            ("checks", "rows", *(() if balanced else ("planned",))),
            "what is played is played on all bikes, and shown only",
        )
        work = scoring.tasks(cases, seed, folders(overlays), planned=planned if balanced else cases)
        _played(work, jobs, overlays, screen, by_pages=by_pages, balanced=balanced)
        return
    if rows is not None and not destination(str(rows))[0].parent.is_dir():
        msg = f"{rows.parent}: no such folder for the rows"
        raise AdvisorError(msg)
    found: list[Row] = []
    stopped = False
    try:
        work = scoring.tasks(cases, seed, folders(overlays), planned)
        with interrupt.raised():
            for part in _spread(scoring.batch, work, jobs, overlays, screen):
                found += part
    except KeyboardInterrupt:
        stopped = True
    table = draw.frame(found)
    if rows is not None and found:
        written(rows, table.to_csv(index=False))
    if stopped:
        kept = f"; their rows are in {rows}" if rows is not None and found else ""
        msg = f"stopped after {len(found)} of {cases} bikes{kept}"
        raise AdvisorError(msg)
    for shown in draw.scores(table, not_shown.NOT_SHOWN):
        screen.print(shown)
    if checks:
        _telling(scoring.tasks(min(checks, cases), seed, folders(overlays), checks), jobs, overlays, screen)


def _played(
    work: Sequence["Task"], jobs: int, overlays: tuple[Path, ...], screen: Console, *, by_pages: bool, balanced: bool
) -> None:
    """Play balances, or whole sessions, on drawn bikes and show how they went."""
    if balanced:
        _balances(work, jobs, overlays, screen)
    else:
        _sessions(play.batch_by_the_pages if by_pages else play.batch, work, jobs, overlays, screen)


def _sessions(
    what: Callable[["Task"], list["Played"]],
    work: Sequence["Task"],
    jobs: int,
    overlays: tuple[Path, ...],
    screen: Console,
) -> None:
    """Play whole sessions on drawn bikes and show how they went."""
    found: list[Played] = []
    try:
        with interrupt.raised():
            for part in _spread(what, work, jobs, overlays, screen):
                found += part
    except KeyboardInterrupt:
        msg = "stopped before all bikes were played"
        raise AdvisorError(msg) from None
    for shown in draw_played.sessions(found, each=False):
        screen.print(shown)


def _balances(work: Sequence["Task"], jobs: int, overlays: tuple[Path, ...], screen: Console) -> None:
    """Play led balances and show how they went."""
    try:
        with interrupt.raised():
            found = [one for part in _spread(led_balance.batch, work, jobs, overlays, screen) for one in part]
    except KeyboardInterrupt:
        msg = "stopped before all balances were played"
        raise AdvisorError(msg) from None
    for shown in draw_balances.balances(found):
        screen.print(shown)


def _telling(work: Sequence["Task"], jobs: int, overlays: tuple[Path, ...], screen: Console) -> None:
    """Show what each check tells on its own."""
    try:
        with interrupt.raised():
            lessons = [one for part in _spread(check_value.batch, work, jobs, overlays, screen) for one in part]
    except KeyboardInterrupt:
        msg = "stopped before every check was asked; the score above is whole"
        raise AdvisorError(msg) from None
    for shown in draw.told(draw.frame(lessons)):
        screen.print(shown)


def _spread(
    what: Callable[["Task"], list[R]], work: Sequence["Task"], jobs: int, overlays: tuple[Path, ...], screen: Console
) -> Iterator[list[R]]:
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
        os.environ.setdefault(name, "1")  # one thread per process is faster than all at once
    advisor(overlays)  # compile and cache now, so that no process has to
    cycles.grid()
    quiet = not screen.is_terminal
    parts = scoring.spread(what, work, jobs)
    yield from track(parts, total=len(work), description="bikes", console=screen, disable=quiet)


def _resolved(
    folder: Path, overlays: tuple[Path, ...], files_from: tuple[Path, ...], screen: Console, *, played: bool
) -> None:
    ready = advisor(overlays)
    found = accounts.read_accounts(folder, ready.base, files_from)
    if played:
        games = [one for account in found for one in play.play_account(account, ready)]
        for shown in draw_played.sessions(games, each=True):
            screen.print(shown)
        return
    places = {one.name: {stage: accounts.place(one, stage, ready) for stage in one.stages} for one in found}
    for part in draw.accounts(places, {one.name: ", ".join(one.causes) for one in found}):
        screen.print(part)
