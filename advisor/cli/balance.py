"""`advisor balance`: the balance of the two sides, led by figures."""

from pathlib import Path
from typing import Any

import click

from advisor.cli.bench import Wanted, run, session_options
from advisor.cli.common import rules_option
from advisor.session.events import BALANCE


@click.command()
@session_options
@click.option("--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet.")
@rules_option
def balance(sheet: Path | None, overlays: tuple[Path, ...], **wanted: Any) -> None:  # noqa: ANN401 - click's
    """Balance the two sides step by step: what to read, which screw, which way and how far.

    First the idle stops, then the cables at about 2,500 rpm, then the other method as a check, and after a blip. Each
    reading is kept. If it does not come, it goes over to the search for the cause, and comes back once that is mended.
    """
    run(BALANCE, "", Wanted(**wanted), sheet, overlays)
