"""`advisor diagnose CASE`."""

from pathlib import Path

import click

from advisor.cli.common import advisor, echo, files_option, format_option, rules_option
from advisor.diagnose import MOST_CHECKS
from advisor.intake.casefile import read_case
from advisor.show.json import dump
from advisor.show.screen import console
from advisor.show.terminal import reminder, report


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@format_option
@rules_option
@files_option
def diagnose(case: Path, form: str, overlays: tuple[Path, ...], files_from: tuple[Path, ...]) -> None:
    """Rank the likely causes of a case and say what to check next.

    CASE is a file that tells what was seen and measured; see the demo cases for examples.
    """
    ready = advisor(overlays)
    told = read_case(case, ready.base, files_from)
    found = ready.diagnose(told, gone_into=MOST_CHECKS if form == "json" else 1)
    if form == "json":
        echo(dump(found))
    else:
        screen = console()
        screen.print(report(found))
        if screen.is_terminal:
            screen.print(reminder(found))
