"""`advisor demo`: the shipped cases, one after the other."""

import sys

import click

from advisor.cli.common import advisor
from advisor.intake.casefile import read_case
from advisor.places import shipped
from advisor.show.screen import console
from advisor.show.terminal import report


@click.command()
def demo() -> None:
    """Show the shipped demo cases in turn; on a terminal, one key for the next."""
    ready = advisor()
    cases = sorted(shipped("cases_demo").glob("*.yaml"))
    screen = console()
    for number, path in enumerate(cases):
        screen.rule(f"{number + 1} of {len(cases)}: {path.name}")
        screen.print(report(ready.diagnose(read_case(path, ready.base))))
        if number + 1 < len(cases) and sys.stdin.isatty() and sys.stdout.isatty():
            click.echo("Any key for the next case, Ctrl-C to stop ...")
            try:
                click.getchar()
            except (KeyboardInterrupt, EOFError):
                return
