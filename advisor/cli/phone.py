"""`advisor phone`: a session with a rider on the line."""

from pathlib import Path
from typing import Any

import click

from advisor.cli.bench import Wanted, run, session_options
from advisor.cli.common import rules_option
from advisor.session.events import PHONE


@click.command()
@click.argument("sentence", nargs=-1)
@session_options
@rules_option
def phone(sentence: tuple[str, ...], overlays: tuple[Path, ...], **wanted: Any) -> None:  # noqa: ANN401 - click's
    """Guide a rider by phone: one sentence to read aloud at a time, and a hand-over sheet for the workshop.

    Begin without the sentence: it asks what the rider says. On the command line an apostrophe (won't) is a quote to
    the shell, which then waits for the next one; "it won't idle" in double quotes is taken whole.
    """
    run(PHONE, " ".join(sentence), Wanted(**wanted), None, overlays)
