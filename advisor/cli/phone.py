"""`advisor phone`: a session with a rider on the line, and the sheet of an earlier one."""

from pathlib import Path
from typing import Any

import click

from advisor import interrupt
from advisor.cli import chosen
from advisor.cli.bench import Wanted, run, session_options
from advisor.cli.common import advisor, readable, refuse, rules_option
from advisor.cli.save import written_or_left
from advisor.diagnose import Advisor
from advisor.session.events import PHONE
from advisor.session.handover import hand_over
from advisor.session.session import Session
from advisor.session.shown import SaveAs
from advisor.session.store import default_path, is_there, opened, resumed
from advisor.show.screen import console
from advisor.show.sheet import sheet, sheet_text


@click.command()
@click.argument("sentence", nargs=-1)
@click.option(
    "--sheet", "sheet_of", metavar="CALL", help="Print the workshop's sheet of this call: its number, or words."
)
@click.option("--into", type=click.Path(path_type=Path), metavar="FILE", help="With --sheet: write it to this file.")
@session_options
@rules_option
def phone(
    sentence: tuple[str, ...],
    sheet_of: str | None,
    into: Path | None,
    overlays: tuple[Path, ...],
    **wanted: Any,  # noqa: ANN401 - click's
) -> None:
    """Guide a rider by phone: one sentence to read aloud at a time, and a hand-over sheet for the workshop.

    Begin without the sentence: it asks what the rider says. On the command line an apostrophe (won't) is a quote to
    the shell, which then waits for the next one; "it won't idle" in double quotes is taken whole.
    """
    asked = Wanted(**wanted)
    if sheet_of is None:
        refuse(("into",), "it goes with --sheet CALL")
        run(PHONE, " ".join(sentence), asked, None, overlays)
        return
    refuse(("sentence", "resume", "session", "listing"), "--sheet opens no call")
    _sheet(readable(sheet_of), into, asked.store or default_path(), advisor(overlays))


def _sheet(said: str, into: Path | None, where: Path, ready: Advisor) -> None:
    """Print the sheet of one call, or write it to a file. Raises AdvisorError."""
    interrupt.hold()
    screen = console()
    store = opened(where)[0] if is_there(where) else None
    try:
        reading = chosen.readable_store(store, where, PHONE, said)
        number, _ = chosen.number_of(reading, PHONE, said, screen)
        found = hand_over(Session(ready, resumed(reading, PHONE, number)))
        if into is None:
            screen.print(sheet(found))
        else:
            written_or_left(SaveAs(name=readable(str(into)), text=sheet_text(found)), screen)
    except KeyboardInterrupt:
        raise SystemExit(interrupt.STOPPED) from None
    finally:
        if store is not None:
            store.close()
