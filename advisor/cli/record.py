"""`advisor record`: the record of an earlier session, shown or written to a file."""

from pathlib import Path

import click

from advisor.cli.chosen import session_of
from advisor.cli.common import advisor, echo, rules_option
from advisor.cli.save import destination, written
from advisor.errors import AdvisorError
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.store import MOST_SESSIONS, default_path


@click.command()
@click.argument("number", type=click.IntRange(1, MOST_SESSIONS), metavar="NUMBER")
@click.option("--file", "name", metavar="FILE", help="Write it to this file: plain text of 80 columns, for A4 paper.")
@click.option("--store", type=click.Path(path_type=Path), help="Sessions are kept in this file, not your own folder.")
@rules_option
def record(number: int, name: str | None, store: Path | None, overlays: tuple[Path, ...]) -> None:
    """Show the record of a session: complaint, finding, work, readings before and after, time, what is left.

    'advisor bench --list' shows the numbers.
    """
    path, there = destination(name) if name is not None else (None, False)
    if there:
        msg = f"{name}: is there already; write another name"
        raise AdvisorError(msg)
    text = record_text(record_of(session_of(number, store or default_path(), advisor(overlays))))
    if path is None:
        echo(text.rstrip("\n"))
    else:
        written(path, text)
        echo(f"written: {path}")
