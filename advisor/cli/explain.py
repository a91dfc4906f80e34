"""`advisor explain CASE CAUSE [--against CAUSE]`."""

from pathlib import Path

import click

from advisor.cli.common import advisor, echo, files_option, format_option, rules_option
from advisor.intake.casefile import read_case
from advisor.report import Explanation
from advisor.show.explain import contrasted, explained
from advisor.show.json import dump
from advisor.show.screen import console


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("cause")
@click.option("--against", metavar="CAUSE", help="The cause to compare it with.")
@format_option
@rules_option
@files_option
def explain(
    case: Path,
    cause: str,
    against: str | None,
    form: str,
    overlays: tuple[Path, ...],
    files_from: tuple[Path, ...],
) -> None:
    """Show why a cause ranks where it does, or why this one and not that one.

    CAUSE is a cause's name, with its side if it has one: "intake-joint-leak left".
    Without a side the likelier one is meant.
    """
    ready = advisor(overlays)
    told = read_case(case, ready.base, files_from)
    found = ready.explain(told, cause, None) if against is None else ready.explain(told, cause, None, (against, None))
    if form == "json":
        echo(dump(found))
    elif isinstance(found, Explanation):
        console().print(explained(found, ready.reasons()))
    else:
        console().print(contrasted(found))
