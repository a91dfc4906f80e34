"""`advisor score`: bikes with hidden faults, or a folder of resolved cases."""

import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from advisor.cli.common import advisor, folders, refuse, rules_option
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    import pandas as pd
    from rich.console import Console

    from advisor.scoring.rows import Row
    from advisor.scoring.score import Task

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
    help="On so many of them the planner goes on checking until they are cured.",
)
@click.option(
    "--checks",
    type=click.IntRange(0),
    default=0,
    help="On so many of them, say what each check tells by itself: toward the fault, or away. Seconds a bike.",
)
@click.option("--jobs", type=click.IntRange(1), default=JOBS, show_default=True, help="How many processes.")
@click.option("--rows", type=click.Path(path_type=Path, dir_okay=False), help="Write one line a bike to this CSV file.")
@rules_option
def score(  # noqa: PLR0913 - one option each
    resolved: Path | None,
    cases: int,
    seed: int,
    planned: int,
    checks: int,
    jobs: int,
    rows: Path | None,
    overlays: tuple[Path, ...],
) -> None:
    """Judge the rule base on bikes from the engine model, each with a hidden fault.

    RESOLVED is a folder of resolved cases to score instead.
    """
    from advisor.show.screen import console  # noqa: PLC0415 - only what is drawn is imported

    screen = console()
    if resolved is not None:
        refuse(
            ("cases", "seed", "planned", "checks", "jobs", "rows"),
            "resolved cases are scored all, and nothing is drawn",
        )
        _resolved(resolved, overlays, screen)
        return
    from advisor.scoring.score import batch, tasks  # noqa: PLC0415 - numpy comes with it
    from advisor.show.score import frame, scores  # noqa: PLC0415 - pandas comes with it
    from advisor.virtual_bike.not_shown import NOT_SHOWN  # noqa: PLC0415 - as above

    if rows is not None and not rows.parent.is_dir():
        msg = f"{rows.parent}: no such folder for the rows"
        raise AdvisorError(msg)
    found: list[Row] = []
    stopped = False
    try:
        work = tasks(cases, seed, folders(overlays), planned)
        for part in _spread(batch, work, jobs, overlays, screen):
            found += part
    except KeyboardInterrupt:
        stopped = True
    table = frame(found)
    if rows is not None and found:
        _write(table, rows)
    if stopped:
        kept = f"; their rows are in {rows}" if rows is not None and found else ""
        msg = f"stopped after {len(found)} of {cases} bikes{kept}"
        raise AdvisorError(msg)
    for shown in scores(table, NOT_SHOWN):
        screen.print(shown)
    if checks:
        _telling(tasks(min(checks, cases), seed, folders(overlays), checks), jobs, overlays, screen)


def _telling(work: Sequence["Task"], jobs: int, overlays: tuple[Path, ...], screen: "Console") -> None:
    """Say what each check tells by itself."""
    from advisor.scoring.check_value import batch  # noqa: PLC0415 - numpy comes with it
    from advisor.show.score import frame, told  # noqa: PLC0415 - pandas comes with it

    try:
        lessons = [one for part in _spread(batch, work, jobs, overlays, screen) for one in part]
    except KeyboardInterrupt:
        msg = "stopped before every check was asked; the score above is whole"
        raise AdvisorError(msg) from None
    for shown in told(frame(lessons)):
        screen.print(shown)


def _write(table: "pd.DataFrame", rows: Path) -> None:
    try:
        table.to_csv(rows, index=False)
    except OSError as error:
        msg = f"{rows}: the rows cannot be written: {error.strerror or error}"
        raise AdvisorError(msg) from error


def _spread(
    what: Callable[["Task"], list[R]], work: Sequence["Task"], jobs: int, overlays: tuple[Path, ...], screen: "Console"
) -> Iterator[list[R]]:
    from rich.progress import track  # noqa: PLC0415 - only what is drawn is imported

    from advisor.scoring.score import spread  # noqa: PLC0415 - numpy comes with it
    from advisor.virtual_bike.table import grid as cycle  # noqa: PLC0415 - as above

    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
        os.environ.setdefault(name, "1")  # one thread a process is quicker than all at once
    advisor(overlays)  # compiled and kept, so that no process has to
    cycle()
    quiet = not screen.is_terminal
    yield from track(spread(what, work, jobs), total=len(work), description="bikes", console=screen, disable=quiet)


def _resolved(folder: Path, overlays: tuple[Path, ...], screen: "Console") -> None:
    from advisor.scoring.resolved import place, read_accounts  # noqa: PLC0415 - as above
    from advisor.show.score import accounts  # noqa: PLC0415 - only what is drawn is imported

    ready = advisor(overlays)
    found = read_accounts(folder, ready.base)
    places = {one.name: {stage: place(one, stage, ready) for stage in one.stages} for one in found}
    for part in accounts(places, {one.name: ", ".join(one.causes) for one in found}):
        screen.print(part)
