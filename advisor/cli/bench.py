"""`advisor bench`: a session at the bike."""

from collections.abc import Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.case import Bike
from advisor.cli.bench_asks import (
    NOT_UNDERSTOOD,
    PHONE,
    Ended,
    ask,
    ask_what_it_is_like,
    asked_at_hand,
    at_hand,
    understand,
)
from advisor.cli.common import advisor, readable, rules_option, typed_line
from advisor.errors import AdvisorError
from advisor.intake.bike_sheet import read_sheet
from advisor.report import Conflict
from advisor.session.events import Answered, AtHand, Read, Undone
from advisor.session.next_question import DONE, dangers
from advisor.session.session import Session
from advisor.session.store import Store, begun, default_path, opened, resumed
from advisor.session.typed_line import WISHES

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

    from advisor.session.typed_line import Wish


STOPPED = "Stopped before anything was told."


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
    run("bench", " ".join(sentence), resume, session, store, sheet, overlays)


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
    from advisor.show import bench as draw  # noqa: PLC0415 - only what is drawn is imported
    from advisor.show.screen import console  # noqa: PLC0415 - as above

    ready, sentence = advisor(overlays), readable(sentence)
    bike = read_sheet(sheet, ready.base) if sheet else None
    screen = console()
    keeping, trouble = opened(path or default_path())
    desk: Session | None = None
    try:
        if resume or session is not None:
            journal = resumed(keeping or Store.copied(path or default_path()), kind, session, trouble)
            desk = Session(ready, journal)
            _say_trouble(trouble, screen)
            _go_on(sentence, bike, desk, screen)
        else:
            journal = begun(keeping, trouble)
            desk = Session(ready, journal)
            _say_trouble(trouble, screen)
            _begin(kind, sentence, bike, desk, screen)
        _say_trouble(journal.trouble if journal.trouble != trouble else "", screen)
        _loop(desk, screen)
    except Ended:
        assert desk is not None  # noqa: S101 - it was asked something
        if kind == PHONE and desk.state.undoable:
            screen.print(_sheet(desk))
        screen.print(draw.ended(desk.question, kind, kept=desk.journal.store is not None))
    except KeyboardInterrupt:
        told = desk is not None and desk.journal.events
        screen.print(draw.ended(desk.question, kind, kept=desk.journal.store is not None) if desk and told else STOPPED)
        raise SystemExit(1) from None
    finally:
        if keeping is not None:
            keeping.close()


def _go_on(sentence: str, bike: Bike | None, desk: Session, screen: "Console") -> None:
    screen.print(f"Session {desk.journal.session} goes on: {desk.state.case.complaint or 'no words told'}")
    if bike is not None:
        desk.of_bike(bike)
    if not any(isinstance(event, AtHand) for event in desk.journal.events):  # it ended before that was asked
        desk.at_hand(at_hand(desk.state.kind, desk, screen))
    if not desk.state.undoable:  # it ended before what was told had been understood
        understand(desk.state.case.complaint, desk, screen)
    if sentence and not understand(sentence, desk, screen):
        screen.print(NOT_UNDERSTOOD)


def _begin(kind: str, sentence: str, bike: Bike | None, desk: Session, screen: "Console") -> None:
    if not sentence:
        sentence = ask(screen, "What is wrong, in your own words?") or ""
    desk.begin(kind, sentence, bike=bike)
    desk.at_hand(at_hand(kind, desk, screen))
    if sentence and not understand(sentence, desk, screen):
        screen.print(NOT_UNDERSTOOD)
    if not desk.state.undoable:
        ask_what_it_is_like(desk, screen)


def _say_trouble(trouble: str, screen: "Console") -> None:
    if trouble:
        screen.print(f"! {trouble}")


def _loop(desk: Session, screen: "Console") -> None:
    from advisor.show import bench as draw  # noqa: PLC0415 - as above

    show, handed_over = True, -1  # how many events the last sheet shown had
    heard: set[str] = set()  # cautions that were shown in full
    while True:
        if show:
            screen.print(_drawn(desk, heard))
            heard |= {*desk.question.cautions, *dangers(desk.question, desk.report)}
        line = typed_line()
        if line is None or (desk.question.kind == DONE and not line.strip()):
            break
        before, known, events = desk.journal.trouble, desk.report.conflicts, len(desk.journal.events)
        go_on, show = _take(line, desk, screen) if line.strip() else (True, False)
        if desk.journal.trouble != before:
            _say_trouble(desk.journal.trouble, screen)
        _say_contradictions(known, desk, screen)
        undone = any(isinstance(event, Undone) for event in desk.journal.events[events:])
        if undone and not desk.state.undoable:
            understand(desk.state.case.complaint, desk, screen)  # the slip was in what was understood
        handed_over = len(desk.journal.events) if line.strip().lower() in WISHES["hand over"] else handed_over
        if not go_on:
            break
    if desk.state.kind == PHONE and handed_over != len(desk.journal.events):
        screen.print(_sheet(desk))
    screen.print(draw.ended(desk.question, desk.state.kind, kept=desk.journal.store is not None))


def _drawn(desk: Session, heard: Collection[str]) -> "RenderableType":
    from advisor.show import bench, phone  # noqa: PLC0415 - as above

    if desk.state.kind == PHONE:
        return phone.question(desk.question, desk.report, desk.base, heard)
    return bench.question(desk.question, desk.report, heard)


def _sheet(desk: Session) -> "RenderableType":
    from advisor.session.handover import hand_over  # noqa: PLC0415 - as above
    from advisor.show.phone import sheet  # noqa: PLC0415 - as above

    return sheet(hand_over(desk))


def _take(line: str, desk: Session, screen: "Console") -> tuple[bool, bool]:
    """Take one line; return whether to go on, and whether to show the question again."""
    steps = desk.steps_taken()
    try:
        wish = desk.answer(line)
        if wish is None:
            _acknowledge(steps, desk, screen)
            return True, True
        return wish.name != "stop", wish.name != "stop" and _grant(wish, desk, screen)
    except AdvisorError as error:
        for problem in error.problems:
            screen.print(f"! {problem.text}")
        return True, False


def _acknowledge(steps: Sequence[str], desk: Session, screen: "Console") -> None:
    """Say what was taken: read back to a rider, a reading to anybody, and what was taken back of the `steps` so far."""
    from advisor.show.phone import read_back  # noqa: PLC0415 - as above

    last = desk.journal.events[-1]
    if isinstance(last, Undone):
        screen.print(f"Taken back: {'; '.join(steps[len(desk.steps_taken()) :])}")
    elif isinstance(last, Read):
        screen.print("; ".join(desk.in_words(last)))
    elif desk.state.kind == PHONE and isinstance(last, Answered):
        screen.print(read_back(last.says))


def _say_contradictions(before: Sequence[Conflict], desk: Session, screen: "Console") -> None:
    """Say what the last answer contradicts, so that a slip of the finger or the tongue is not carried along."""
    from advisor.show.words import ill_matched  # noqa: PLC0415 - as above

    for pair in desk.report.conflicts:
        if pair.never and pair not in before:
            screen.print(f"! {ill_matched(pair)} 'undo' takes the last answer back.")


def _grant(wish: "Wish", desk: Session, screen: "Console") -> bool:
    """Do what was asked; return whether the question is to be shown again."""
    from advisor.show import bench as draw  # noqa: PLC0415 - as above
    from advisor.show.explain import explained  # noqa: PLC0415 - as above

    match wish.name:
        case "help":
            screen.print(draw.help_lines(desk.state.kind))
        case "hand over":
            screen.print(_sheet(desk))
        case "where":
            screen.print(draw.standing(desk.report, desk.steps_taken()))
        case "why":
            screen.print(draw.why(desk.question))
            screen.print(explained(desk.report.causes[0], desk.advisor.reasons()))
        case "why not":
            screen.print(explained(desk.cause(wish.what), desk.advisor.reasons()))
        case "what if":
            screen.print(draw.would_be(desk.what_if(wish.what)))
        case "save":
            desk.save(Path(wish.what).expanduser())
            screen.print(f"written: {wish.what}")
        case "also" | "tools":
            return _told_more(wish, desk, screen)
    return False


def _told_more(wish: "Wish", desk: Session, screen: "Console") -> bool:
    """Take more signs in plain words, or anew who is there with what; return whether there were any."""
    if wish.name == "tools":
        if desk.state.kind == PHONE:
            screen.print("! on the phone it is the rider, with no tools")
            return False
        desk.at_hand(asked_at_hand(desk, screen, desk.state.case.means))
        return True
    if understand(wish.what, desk, screen):
        return True
    screen.print(NOT_UNDERSTOOD)
    return False
