"""`advisor bench`: a session at the bike."""

from collections.abc import Iterable
from pathlib import Path

import click
from rich.console import Console

from advisor.cli.common import advisor, readable, rules_option, typed_line
from advisor.cli.save import saved
from advisor.errors import AdvisorError
from advisor.intake.bike_sheet import read_sheet
from advisor.session.dialogue import Dialogue
from advisor.session.events import BENCH
from advisor.session.shown import SaveAs, Shown
from advisor.session.store import Store, begun, default_path, opened, resumed
from advisor.show.bench import STOPPED
from advisor.show.dialogue import drawn
from advisor.show.screen import console


@click.command()
@click.argument("sentence", nargs=-1)
@click.option("--resume", is_flag=True, help="Go on with the last session, from the same question.")
@click.option("--session", type=int, help="Go on with the session of this number.")
@click.option("--store", type=click.Path(path_type=Path), help="Keep sessions in this file, not your own folder.")
@click.option("--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet.")
@rules_option
def bench(
    sentence: tuple[str, ...],
    resume: bool,
    session: int | None,
    store: Path | None,
    sheet: Path | None,
    overlays: tuple[Path, ...],
) -> None:
    """Find the fault step by step: one check at a time, each answer kept.

    Begin with what is wrong in your own words: advisor bench it idles unevenly since I did the valves.
    """
    run(BENCH, " ".join(sentence), resume, session, store, sheet, overlays)


def run(  # noqa: PLR0913 - what the command line holds
    kind: str,
    sentence: str,
    resume: bool,
    session: int | None,
    path: Path | None,
    sheet: Path | None,
    overlays: tuple[Path, ...],
) -> None:
    """Run a session of a kind to its end."""
    ready, sentence = advisor(overlays), readable(sentence)
    bike = read_sheet(sheet, ready.base) if sheet else None
    screen, where = console(), path or default_path()
    store, trouble = opened(where)
    dialogue: Dialogue | None = None
    try:
        if resume or session is not None:
            dialogue = Dialogue(ready, resumed(store or Store.copied(where), kind, session, trouble))
            _show(dialogue.resume(sentence, bike), dialogue, screen)
        else:
            dialogue = Dialogue(ready, begun(store, trouble))
            _show(dialogue.begin(kind, sentence, bike), dialogue, screen)
        while not dialogue.over:
            _show(dialogue.take(typed_line()), dialogue, screen)
    except KeyboardInterrupt:
        screen.print(drawn(dialogue.broken_off()) if dialogue else STOPPED)
        raise SystemExit(1) from None
    finally:
        if store is not None:
            store.close()


def _show(found: Iterable[Shown], dialogue: Dialogue, screen: Console) -> None:
    for one in found:
        try:
            if isinstance(one, SaveAs) and not saved(one):
                _show(dialogue.there_already(one.name), dialogue, screen)
            else:
                screen.print(drawn(one))
        except AdvisorError as error:
            screen.print(f"! {error}")
