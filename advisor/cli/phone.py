"""`advisor phone`: a session with a rider on the line."""

from pathlib import Path

import click

from advisor.cli.bench import run
from advisor.cli.common import rules_option
from advisor.session.events import PHONE


@click.command()
@click.argument("sentence", nargs=-1)
@click.option("--resume", is_flag=True, help="Go on with the last call, from the same question.")
@click.option("--session", type=int, help="Go on with the session of this number.")
@click.option("--store", type=click.Path(path_type=Path), help="Keep sessions in this file, not your own folder.")
@rules_option
def phone(
    sentence: tuple[str, ...],
    resume: bool,
    session: int | None,
    store: Path | None,
    overlays: tuple[Path, ...],
) -> None:
    """Guide a rider by phone: one sentence to read aloud at a time, and a hand-over sheet for the workshop.

    Begin with what the rider says: advisor phone it dies at every red light.
    """
    run(PHONE, " ".join(sentence), resume, session, store, None, overlays)
