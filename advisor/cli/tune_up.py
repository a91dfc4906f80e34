"""`advisor tune-up`: the whole tune-up in its order, to the balance."""

from pathlib import Path
from typing import Any

import click

from advisor.cli.bench import Wanted, follow_option, run_with, session_options
from advisor.cli.common import rules_option
from advisor.session.events import TUNE_UP


@click.command("tune-up")
@session_options
@click.option("--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet.")
@follow_option
@rules_option
def tune_up(sheet: Path | None, follows: Path | None, overlays: tuple[Path, ...], **wanted: Any) -> None:  # noqa: ANN401 - click's
    """Go through a whole tune-up in its order, each item with the bike's own figure, to the balance.

    What was done lately is left out a stage at a time. What will not come right goes over to the search for the cause,
    and comes back once that is mended. It ends in the balance, and `advisor record` has all figures before and after.
    """
    run_with(follows, TUNE_UP, "", Wanted(**wanted), sheet, overlays)
