"""`advisor bench`: a session at the bike."""

import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click
import msgspec
from rich.console import Console

from advisor import interrupt
from advisor.cli import chosen
from advisor.cli.common import advisor, readable, refuse, rules_option, typed_line
from advisor.cli.save import saved
from advisor.errors import AdvisorError
from advisor.intake.bike_sheet import read_sheet
from advisor.lazy import lazy
from advisor.session.dialogue import Dialogue
from advisor.session.events import BENCH
from advisor.session.place import ForAnswer
from advisor.session.shown import GoesOn, OthersOpen, SaveAs, SaveReport, SaveSheet, Shown
from advisor.session.store import begun, default_path, is_there, opened
from advisor.show.bench import STOPPED
from advisor.show.dialogue import drawn
from advisor.show.screen import console
from advisor.show.sheet import sheet_text

if TYPE_CHECKING:
    from advisor.pages import job_page
else:
    job_page = lazy("advisor.pages.job_page")  # imports matplotlib, and only a report is drawn

UNSEEN = "! The answers are not on the screen yet: Enter goes on to them."
F = TypeVar("F", bound=Callable[..., Any])
NextLine = Callable[[Dialogue, Console], str | None]


def session_options(command: F) -> F:
    """Add what chooses a session and where it is kept."""
    for option in (
        click.option(
            "--store", type=click.Path(path_type=Path), help="Keep sessions in this file, not your own folder."
        ),
        click.option(
            "--list", "listing", is_flag=True, help="Show the sessions, newest first; with these words, if any."
        ),
        click.option(
            "--session",
            metavar="NUMBER",
            help="Go on with the session of this number, or with these words: 'left side'.",
        ),
        click.option("--resume", is_flag=True, help="Go on with the last session, from the same question."),
    ):
        command = option(command)
    return command


follow_option = click.option(
    "--follow",
    "follows",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help="Take readings from a CSV table while an instrument writes it (-: standard input): columns 'time s', "
    "'revs rpm', 'left mmHg', 'right mmHg', or another unit of pressure.",
)


@click.command()
@click.argument("sentence", nargs=-1)
@session_options
@click.option("--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet.")
@follow_option
@rules_option
def bench(
    sentence: tuple[str, ...],
    sheet: Path | None,
    follows: Path | None,
    overlays: tuple[Path, ...],
    **wanted: Any,  # noqa: ANN401 - click's
) -> None:
    """Find the fault step by step: one check at a time, each answer kept.

    Begin without the sentence: it asks what is wrong. On the command line an apostrophe (won't) is a quote to the
    shell, which then waits for the next one; "it won't idle" in double quotes is taken whole.

    With --follow a check that asks for columns or revs takes them from the table: Enter once it is ready.
    """
    run_with(follows, BENCH, " ".join(sentence), Wanted(**wanted), sheet, overlays)


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """Which session is wanted (`resume`: the last one, `session`: a number or words), a list only, and from where."""

    resume: bool
    session: str | None
    listing: bool
    store: Path | None


def run_with(
    follows: Path | None, kind: str, sentence: str, wanted: Wanted, sheet: Path | None, overlays: tuple[Path, ...]
) -> None:
    """Run a session as `run` does, with readings from a table that grows, if there is one."""
    if wanted.listing:
        refuse(("follows",), "a list reads nothing")
    if follows is None:
        run(kind, sentence, wanted, sheet, overlays)
        return
    from advisor.cli.follow import Follow  # noqa: PLC0415 - numpy and pandas, which what is typed does not need

    following = Follow(follows)
    try:
        run(kind, sentence, wanted, sheet, overlays, following)
    finally:
        following.close()


def typed_only(dialogue: Dialogue, screen: Console) -> str | None:  # noqa: ARG001 - as a `NextLine` is called
    """Return the next line that is typed; None at the end of the input."""
    return typed_line()


def run(
    kind: str,
    sentence: str,
    wanted: Wanted,
    sheet: Path | None,
    overlays: tuple[Path, ...],
    next_line: NextLine = typed_only,
) -> None:
    """Run a session of a kind to its end, or list the sessions. `next_line` waits for what is typed, or comes else."""
    interrupt.hold()
    sentence, screen, where = readable(sentence), console(), wanted.store or default_path()
    if wanted.listing:
        refuse(("resume", "session", "sheet"), "a list opens no session")
    else:
        ready = advisor(overlays)
        bike = read_sheet(sheet, ready.base) if sheet else None
        rules = tuple(readable(str(folder.absolute())) for folder in overlays)
    goes_on = wanted.resume or wanted.session is not None
    store, trouble = opened(where) if is_there(where) or not (goes_on or wanted.listing) else (None, "")
    dialogue: Dialogue | None = None
    try:
        if wanted.listing:
            chosen.show_list(chosen.readable_store(store, where, kind), kind, sentence, screen)
            return
        if goes_on:
            said = None if wanted.session is None else readable(wanted.session)
            reading = chosen.readable_store(store, where, kind, said)
            number, others = chosen.number_of(reading, kind, said, screen)
            dialogue = Dialogue(ready, chosen.journal_of(reading, kind, number, (store, trouble), screen))
            _show(_with_others(dialogue.resume(sentence, bike, rules), kind, others), dialogue, screen)
        else:
            dialogue = Dialogue(ready, begun(store, trouble))
            _show(dialogue.begin(kind, sentence, bike, rules), dialogue, screen)
        while not dialogue.over:
            line = next_line(dialogue, screen)
            if line and line.strip().isdecimal() and not _answers_seen(dialogue):
                screen.print(UNSEEN)
            else:
                _show(dialogue.take(line), dialogue, screen)
    except KeyboardInterrupt:
        screen.print(drawn(dialogue.broken_off()) if dialogue else STOPPED)
        raise SystemExit(interrupt.STOPPED) from None
    finally:
        if store is not None:
            store.close()


def _answers_seen(dialogue: Dialogue) -> bool:
    """Whether the answers are on the screen, if a question is; a number without a terminal needs none.

    Where another list covers them, the dialogue says so itself.
    """
    return (
        dialogue.place.answers
        or dialogue.place.covered
        or not (sys.stdin.isatty() and isinstance(dialogue.place.asks, ForAnswer))
    )


def _with_others(found: Iterable[Shown], kind: str, others: int) -> Iterator[Shown]:
    """Yield what is shown first as a session goes on, and after its own line that others are open."""
    for one in found:
        yield one
        if isinstance(one, GoesOn) and others:
            yield OthersOpen(kind=kind, many=others)


def as_file(one: Shown) -> SaveAs | None:
    """Return the file that a record asks for, with its text; None if it asks for none."""
    if isinstance(one, SaveSheet):
        return SaveAs(name=one.name, text=sheet_text(one.found), replace=one.replace, wish="sheet")
    if isinstance(one, SaveReport):
        return SaveAs(name=one.name, text=job_page.page(one.found), replace=one.replace, wish="report")
    return one if isinstance(one, SaveAs) else None


def _show(found: Iterable[Shown], dialogue: Dialogue, screen: Console) -> None:
    for one in found:
        try:
            file = as_file(one)
            if file is not None and not saved(file):
                _show(dialogue.there_already(file.name, file.wish), dialogue, screen)
            else:
                screen.print(drawn(one))
        except AdvisorError as error:
            screen.print(f"! {error}")
