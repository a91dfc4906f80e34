"""`advisor serve`: the sessions as pages, for a phone or a tablet on the bench."""

import contextlib
import signal
from pathlib import Path

import click

from advisor import interrupt
from advisor.cli.common import echo, folders, readable, rules_option
from advisor.intake.bike_sheet import read_sheet
from advisor.rulebase import load
from advisor.session.store import Store, default_path
from advisor.web.serving import Server

PORT = 8137


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Serve on this address; 0.0.0.0: on all.")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="0: any that is free.")
@click.option("--shared", is_flag=True, help="On a network, whoever is let in sees all sessions, not only his own.")
@click.option("--store", type=click.Path(path_type=Path), help="Keep sessions in this file, not your own folder.")
@click.option("--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet.")
@click.option(
    "--follow",
    "table",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help="Balances may take their readings from this CSV table while an instrument writes it, as 'advisor balance' "
    "does; pages reach no other file.",
)
@rules_option
def serve(  # noqa: PLR0913 - as many as there are options
    *,
    host: str,
    port: int,
    store: Path | None,
    sheet: Path | None,
    table: Path | None,
    overlays: tuple[Path, ...],
    shared: bool,
) -> None:
    """Show the sessions as pages, for a phone or a tablet on the bench.

    On this machine alone, unless --host says otherwise: then a browser is let in by a code that is shown here, each
    code once, and sees only the sessions that it began. The sessions are those of the terminal; either goes on with
    what the other began.
    """
    where = folders(overlays)
    bike = read_sheet(sheet, load(where)) if sheet else None
    rules = tuple(readable(str(folder.absolute())) for folder in overlays)
    kept = Store(store or default_path())
    try:
        server = Server(where, kept, host, port, echo, rules=rules, bike=bike, shared=shared, table=table)
        if server.table:
            echo(f"Balances may take their readings from {server.table.name}.")
        echo(f"The sessions are at {server.address} (Ctrl-C ends this)")
        signal.signal(signal.SIGTERM, _ended)
        with contextlib.suppress(KeyboardInterrupt), interrupt.raised():
            server.run()
    finally:
        kept.close()
    echo("\nStopped. Everything is kept.")
    raise SystemExit(interrupt.STOPPED)


def _ended(*_: object) -> None:
    """End as by Ctrl-C, so that the workers end too."""
    raise KeyboardInterrupt
