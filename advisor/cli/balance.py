"""`advisor balance`: the balance of the two sides, led by figures."""

from pathlib import Path
from typing import Any

import click

from advisor.cli.bench import Wanted, follow_option, run_with, session_options
from advisor.cli.common import rules_option
from advisor.session.events import BALANCE


@click.command()
@session_options
@click.option("--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet.")
@follow_option
@rules_option
def balance(sheet: Path | None, follows: Path | None, overlays: tuple[Path, ...], **wanted: Any) -> None:  # noqa: ANN401 - click's
    """Balance the two sides step by step: what to read, which screw, which way and how far.

    First the idle stops, then the cables at about 2,500 rpm, then the other method as a check, and after a blip. Each
    reading is kept. If it does not come, it goes over to the search for the cause, and comes back once that is mended.

    With --follow a reading is taken by itself once it has settled, for five seconds; after a turn press Enter, or turn
    and wait. What is typed counts as well.
    """
    run_with(follows, BALANCE, "", Wanted(**wanted), sheet, overlays)
