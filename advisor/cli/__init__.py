"""The command line. Commands are imported when they are called, so that it starts quickly."""

import atexit
import gc
import importlib
import io
import os
import sys
from typing import TextIO

import click


def _light_msgspec() -> None:
    """Import msgspec without typing_extensions, which it tries to import but does not need from Python 3.11 on.

    Loading that takes as long as all the rest of msgspec; later imports of it still work.
    """
    name = "typing_extensions"
    if name in sys.modules or "msgspec" in sys.modules:
        return
    sys.modules[name] = None  # type: ignore[assignment]  # Python's own mark for 'not available'
    try:
        importlib.import_module("msgspec")
    except ImportError:
        for half in [one for one in sys.modules if one.partition(".")[0] == "msgspec"]:
            del sys.modules[half]
    finally:
        del sys.modules[name]


_light_msgspec()

from advisor import __version__  # noqa: E402 - after msgspec, as all that comes from here
from advisor.errors import AdvisorError  # noqa: E402 - what it imports comes with msgspec
from advisor.interrupt import STOPPED  # noqa: E402 - as above
from advisor.visible import Visible  # noqa: E402 - as above

# Each command with the first sentence of its help, so that the list of commands imports none of them.
COMMANDS = {
    "diagnose": "Rank the likely causes of a case and say what to check next.",
    "explain": "Show why a cause ranks where it does, or why this one and not that one.",
    "measure": "Work out one reading on its own: a mechanic's calculator.",
    "rules": "Check, show, search and extend the rule base.",
    "bench": "Find the fault step by step: one check at a time, each answer kept.",
    "balance": "Balance the two sides step by step: what to read, which screw, which way and how far.",
    "tune-up": "Go through a whole tune-up in its order, each item with the bike's own figure, to the balance.",
    "phone": "Guide a rider by phone: one sentence to read aloud at a time, and a hand-over sheet for the workshop.",
    "serve": "Show the sessions as pages, for a phone or a tablet on the bench.",
    "record": "Show the record of a session: complaint, finding, work, readings before and after, time, what is left.",
    "report": "Write a case or a session as one page to print, with drawings to scale and lines to fill in by hand.",
    "score": "Judge the rule base on bikes from the engine model, each with a hidden fault.",
    "practice": "Find a hidden fault on a virtual bike; then see what each check told, and what a good order would "
    "have been.",
    "demo": "Show the shipped demo cases in turn; on a terminal, one key for the next.",
}
MOST_PROBLEMS = 20


class Commands(click.Group):
    """Finds commands by name without importing the others, and prints the user's mistakes without a traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the names of all commands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - click's signature
        """Return a command by name."""
        if cmd_name not in COMMANDS:
            return None
        name = cmd_name.replace("-", "_")
        command: click.Command = getattr(importlib.import_module(f"advisor.cli.{name}"), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - click's signature
        """Write the list of commands."""
        with formatter.section("Commands"):
            formatter.write_dl([*COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; mistakes in the input are printed, one line each, and the exit code is 1."""
        try:
            return super().invoke(ctx)
        except AdvisorError as error:
            for problem in error.problems[:MOST_PROBLEMS]:
                click.echo(str(problem), file=sys.stderr)
            if len(error.problems) > MOST_PROBLEMS:
                click.echo(f"... and {len(error.problems) - MOST_PROBLEMS} more", file=sys.stderr)
            ctx.exit(1)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__)
def cli() -> None:
    """Find out why an opposed twin with two CV carburettors will not settle, and what to check next.

    The bike maker's manual, local rules and qualified people come before anything said here.
    """


def main() -> None:
    """Run the command line."""
    gc.disable()  # a command runs only for a moment; collecting garbage would only slow it down
    atexit.register(gc.freeze)  # and so would a last collection at exit
    _steady_streams()
    try:
        sys.exit(_run())
    except BrokenPipeError:  # whoever read the output has read enough
        _let_go()
        sys.exit(1)
    except OSError as error:  # a full disk; or a file that vanished, which then is named
        _let_go()
        what = f"{error.filename}: cannot be used" if error.filename else "the result cannot be written"
        sys.exit(f"{what}: {error.strerror or error}")


def _run() -> int | None:
    """Run the command and return its exit code: 1 for a mistake in the input, 2 for one in the command line."""
    try:
        code: int | None = cli(prog_name="advisor", standalone_mode=False)
        sys.stdout.flush()  # a full disk shows here, not when Python has ended
    except click.ClickException as error:
        error.show(sys.stderr)
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        return STOPPED
    return code


def _let_go() -> None:
    """Leave the output alone, or Python tries to write the rest of it once more at the end, and says that it cannot."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)


def _steady_streams() -> None:
    """Make the streams take any bytes and any characters, and show none that a terminal would obey."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # closed; the next file that is opened would take its place
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115, PTH123 - for as long as the process lives
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="surrogateescape")
    sys.stdout, sys.stderr = _visible(sys.stdout), _visible(sys.stderr)


def _visible(stream: TextIO) -> TextIO:
    """Return a text stream on the same file that spells out hidden characters."""
    return Visible(stream) if isinstance(stream, io.TextIOWrapper) else stream
