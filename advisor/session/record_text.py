"""A record as plain text: 80 columns, as a screen shows them and a sheet of A4 takes them."""

import textwrap
import time
from collections.abc import Iterator

from advisor.session.balance_record import BalanceDone
from advisor.session.events import ALL_HOLDS
from advisor.session.not_checked import Stage, in_short
from advisor.session.record import Record
from advisor.session.went_over import LED_KINDS

WIDE = 78
LABEL = 14
NOTHING = "nothing in words"
COMES_FIRST = "The maker's manual, local rules and qualified people"
NO_FAULT = "no fault was put right"


def record_text(found: Record) -> str:
    """Return a record as text, with the line ends of a plain file."""
    return "\n".join(_lines(found)) + "\n"


def _lines(found: Record) -> Iterator[str]:
    number = f" OF SESSION {found.session}" if found.session else ""
    yield f"RECORD{number}"
    yield ""
    if found.began is not None:
        yield from _row("Date", when(found.began, found.ended))
    yield from _row("Bike", found.bike)
    led = found.kind in LED_KINDS
    said = f'"{found.complaint}"' if found.complaint else "" if led else NOTHING
    yield from _row("Complaint", said)
    yield from _rows("Told", found.told)
    yield ""
    if found.balance is not None:
        yield from _balance(found.balance)
    none = [] if led else [NO_FAULT]
    yield from _rows("Found", [f"{title}{f' ({proof})' if proof else ''}" for title, proof in found.found] or none)
    yield from _rows("Done", found.done)
    yield from _row("Result", found.holds)
    yield from _rows("Measured", [_measured(one.title, one.before, one.after) for one in found.measured])
    yield from _rows("Looked at", found.taken)
    yield from _row("Time", time_said(found))
    yield from _rows("Ruled out", found.ruled_out)
    yield from _rows("Likely", [f"{title} ({100 * chance:.0f}%)" for title, chance in found.likely])
    yield ""
    yield from _rows("Not explained", found.unexplained)
    yield from _rows("Left out", found.left_out)
    yield from _rows("Take care", found.cautions)
    yield from _rows("Look again", found.look_again)
    in_full = not led and (not found.found or found.holds != ALL_HOLDS)
    yield from _rows("Not checked", [_stage(one) if in_full else in_short(one) for one in found.not_checked])
    yield ""
    yield f"{COMES_FIRST} come before this record."


def _balance(found: BalanceDone) -> Iterator[str]:
    yield from _row("Balanced by", found.read_by)
    yield from _row("Engine", found.ready + (f"; ridden {found.rides} times to look again" if found.rides else ""))
    yield from _rows("Balance", found.places)
    yield from _rows("Turned", found.turned)
    yield from _rows("Mixture", found.mixture)
    yield from _row("Readings", f"{found.readings} taken")
    yield from _rows("Went over to", found.went_over)


def _stage(found: Stage) -> str:
    return f"{found.title} ({found.minutes:g} min): {', '.join(found.items)}"


def _measured(title: str, before: str, after: str) -> str:
    if not after:
        return f"{title}: {before}"
    return f"{title}: before {before or 'not read'}; after {after}"


def when(began: float, ended: float | None) -> str:
    """Return from when to when a session went, by the clock here."""
    first, last = time.localtime(began), time.localtime(began if ended is None else ended)
    day, clock = "%Y-%m-%d", "%H:%M"
    same = time.strftime(day, first) == time.strftime(day, last)
    to = time.strftime(clock if same else f"{day} {clock}", last)
    return f"{time.strftime(f'{day} {clock}', first)} to {to}"


def time_said(found: Record) -> str:
    """Return the minutes by the pages and by the clock, in words."""
    pages = f"{found.minutes:g} min for what was done, as the pages reckon it"
    if found.worked is None:
        return pages
    hours, minutes = divmod(round(found.worked / 60), 60)
    return f"{pages}; {f'{hours} h ' if hours else ''}{minutes} min by the clock, without pauses of hours"


def _row(label: str, text: str) -> Iterator[str]:
    yield from _rows(label, [text] if text else [])


def _rows(label: str, texts: "list[str] | tuple[str, ...]") -> Iterator[str]:
    many = len(texts) > 1
    for number, text in enumerate(texts):
        first = (label if number == 0 else "").ljust(LABEL) + ("- " if many else "")
        yield from textwrap.wrap(
            text,
            WIDE,
            initial_indent=first,
            subsequent_indent=" " * (LABEL + (2 if many else 0)),
            break_on_hyphens=False,
        )
