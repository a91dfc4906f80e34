"""Shared by all commands: where the rules are, how the result is shown."""

import sys
from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource

from advisor import interrupt
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.places import shipped
from advisor.rulebase import Rulebase, load

LONGEST = 100_000  # characters in a line of input
PROMPT = "? "  # not the shell's own '>', by which it waits for a quote to be closed
F = TypeVar("F", bound=Callable[..., Any])


def rules_option(command: F) -> F:
    """Add `--rules DIR`: a shop's own pages on top of the shipped ones."""
    return click.option(
        "--rules",
        "overlays",
        type=click.Path(path_type=Path),
        multiple=True,
        metavar="DIR",
        help="Add this folder of pages on top of the shipped rules.",
    )(command)


def format_option(command: F) -> F:
    """Add `--format text|json`."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(["text", "json"]),
        default="text",
        show_default=True,
        help="How to print the result.",
    )(command)


def files_option(command: F) -> F:
    """Add `--files-from DIR`: where a case's sheet and logs may lie, besides its own folder."""
    return click.option(
        "--files-from",
        "files_from",
        type=click.Path(path_type=Path, exists=True, file_okay=False),
        multiple=True,
        metavar="DIR",
        help="Let a case read its sheet and logs from this folder too, not only from its own.",
    )(command)


def folders(overlays: tuple[Path, ...]) -> list[Path]:
    """Return the rule folders, the shipped one first."""
    return [shipped("rules"), *overlays]


def rulebase(overlays: tuple[Path, ...] = ()) -> Rulebase:
    """Return the rule base with a shop's own pages on top."""
    return load(folders(overlays))


def advisor(overlays: tuple[Path, ...] = ()) -> Advisor:
    """Return the advisor, ready for cases."""
    return Advisor.of(folders(overlays))


def refuse(given: Collection[str], why: str) -> None:
    """Raise AdvisorError if any of these options is on the command line, instead of ignoring it silently."""
    context = click.get_current_context()
    written = [
        one.opts[-1]
        for one in context.command.params
        if one.name in given and context.get_parameter_source(one.name) is ParameterSource.COMMANDLINE
    ]
    if written:
        msg = f"{', '.join(written)}: {why}; leave it out"
        raise AdvisorError(msg)


def echo(text: str) -> None:
    """Print plain text through our stream; click's own choice goes past it where the output is plain ASCII."""
    click.echo(text, file=sys.stdout)


def typed_line() -> str | None:
    """Return one line of input; None at its end. Raises KeyboardInterrupt for a Ctrl-C since the last line.

    Raises AdvisorError for a line that nobody types: it could have no end.
    """
    with interrupt.raised():
        if sys.stdin.isatty():
            try:
                return readable(input(PROMPT))
            except EOFError:
                return None
        line = sys.stdin.readline(LONGEST + 1)
    if len(line) > LONGEST:
        msg = f"a line of input is over {LONGEST:,} characters long; one answer a line is needed"
        raise AdvisorError(msg)
    return readable(line.rstrip("\n")) if line else None


def readable(text: str) -> str:
    """Return text with a mark for every byte that is not UTF-8: such a line is kept, and queried."""
    return text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
