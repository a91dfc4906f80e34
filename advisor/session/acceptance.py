"""What must be so once a fault is put right: what is set again, what must hold in figures, and what must be gone."""

from collections.abc import Collection, Iterator

import msgspec

from advisor.case import Case, SignReport
from advisor.chain.compile import side_at
from advisor.diagnose import Advisor
from advisor.plan.advice import figures_that_clear
from advisor.plan.deciding import gone_with
from advisor.rank.network import vaguer_than
from advisor.report import Report
from advisor.rulebase.model import Rulebase
from advisor.session.events import Answered, Event, Forgotten, PutRight, Told
from advisor.session.state import State, fold
from advisor.sides import Sided

MOST_FIGURES, MOST_SIGNS = 4, 6  # on one screen
NOT_YET = "It cannot be told yet whether it holds."


class Acceptance(msgspec.Struct, frozen=True, kw_only=True):
    """`set_again` and `must_hold` in words; `ask` are the signs that must be gone, of those that were reported.

    `gone` are those with the vaguer words for them: if nothing of `ask` is left, all these are gone. `stays` is what
    was told of when it comes, which is so as long as something is still there. `takes` are the readings by which it
    is told; `not_yet` the signs that such a reading still shows.
    """

    set_again: tuple[str, ...]
    must_hold: tuple[str, ...]
    ask: tuple[Sided, ...]
    gone: tuple[Sided, ...]
    stays: tuple[SignReport, ...]
    takes: tuple[str, ...]
    not_yet: tuple[Sided, ...] = ()


def open_repair(state: State) -> PutRight | None:
    """Return the repair of which is not known yet whether it holds."""
    for event in reversed(state.known):
        if isinstance(event, PutRight):
            return event
        if isinstance(event, Answered) and event.says != NOT_YET:
            return None
    return None


def waits_for_a_ride(state: State) -> bool:
    """Whether the last answer was that it cannot be told yet whether a repair holds."""
    last = state.known[-1] if state.known else None
    return isinstance(last, Answered) and last.says == NOT_YET


def acceptance(event: PutRight, state: State, report: Report, advisor: Advisor) -> Acceptance:
    """Return what must be so once this was put right."""
    base = advisor.base
    before = fold(state.known[: _place(event, state)], base)
    seen = {(one.id, one.side) for one in advisor.signs(before.case) if one.state == "seen"}
    page = base.causes[event.cause]
    again = set_again(event, base)
    shown = [(link.sign, side_at(link.bearing, event.side or "left")) for link in page.links]
    cured = [*gone_with(page, event.side, base), *shown]
    signs = dict.fromkeys(name for name, side in cured if (name, side) in seen)
    if again:  # what was balanced before is read again by the same figures
        signs |= dict.fromkeys(name for area in base.areas for name in area.relies if name in base.signs)
    asked = {one.reading for one in before.case.measured} | _of_what_was_complained(before, base)
    must = {name for name, _ in gone_with(page, event.side, base)}
    words = _once(
        [
            (reading, line)
            for name in signs
            for reading, line in figures_that_clear(name, state.case, base)
            if reading in asked or name in must
        ]
    )[:MOST_FIGURES]
    reported = _reported(event, before, seen, base)
    judged = reported if waits_for_a_ride(state) else _judged_here(reported, base)
    ask = _most_exact(judged, base)[:MOST_SIGNS]
    vaguer = {above for key in ask for above in vaguer_than(*key, base)}
    open_again = {(one.sign, one.side) for one in before.case.seen} - {(one.sign, one.side) for one in state.case.seen}
    return Acceptance(
        set_again=again,
        must_hold=tuple(line for _, line in words),
        ask=tuple(ask),
        gone=(*ask, *(key for key in judged if key in vaguer)),
        stays=tuple(
            one
            for one in before.case.seen
            if one.seen and base.signs[one.sign].later and (one.sign, one.side) in open_again
        ),
        takes=tuple(dict.fromkeys(reading for reading, _ in words)),
        not_yet=tuple(_still_read(signs, report, base)),
    )


def _of_what_was_complained(before: State, base: Rulebase) -> set[str]:
    """Return the readings that a complaint is judged by: those that are looked at first after it.

    Where the balance itself was complained of, that is all it is read by, at idle and at speed.
    """
    told = {name for name, _ in complaints(before, base)}
    found = {one for check in base.checks.values() if not told.isdisjoint(check.first_after) for one in check.takes}
    for area in base.areas:
        balance = base.readings.keys() & set(area.relies)
        if not balance.isdisjoint(found) or not told.isdisjoint(area.relies):
            found |= balance
    return found


def _still_read(signs: Collection[str], report: Report, base: Rulebase) -> Iterator[Sided]:
    found = [(one.id, one.side) for one in report.signs if one.state == "seen" and one.rules and one.id in signs]
    vague = {above for key in found for above in vaguer_than(*key, base)}
    yield from (key for key in found if key not in vague)


def _once(figures: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return how each reading must be, once: its least and most in one; where the sides must be alike, the first."""
    found: dict[tuple[str, bool], str] = {}
    for reading, words in figures:
        key, (title, _, must) = (reading, " within " in words), words.rpartition(": ")
        said = found.setdefault(key, words)
        if not key[1] and must not in said:
            found[key] = f"{title}: {said.rpartition(': ')[2]}, {must}"
    return [(reading, words) for (reading, _), words in found.items()]


def _place(event: Event, state: State) -> int:
    return next(number for number, one in enumerate(state.known) if one is event)


def set_again(event: PutRight, base: Rulebase) -> tuple[str, ...]:
    """Return what is set again: in the stages after that of a fault which shows in what they rely on."""
    page = base.causes[event.cause]
    at = base.order_of(page.place)
    shown = {link.sign for link in page.links}
    later = (area for area in base.areas if area.set_again and min(base.order_of(one) for one in area.places) > at)
    return tuple(area.set_again for area in later if shown & set(area.relies))


def _reported(event: PutRight, before: State, seen: set[Sided], base: Rulebase) -> list[Sided]:
    """Return what was reported and must be gone: complaints, what the fault had shown, what a rider felt."""
    page = base.causes[event.cause]
    told = [key for key in complaints(before, base) if key in seen or key in _seen(before.case)]
    cured = [key for key in gone_with(page, event.side, base) if key in seen]
    felt = [key for key in _seen(before.case) if base.signs[key[0]].seen_by == base.persons[0]]
    return [key for key in dict.fromkeys([*told, *cured, *felt]) if not base.signs[key[0]].past]


def _judged_here(reported: list[Sided], base: Rulebase) -> list[Sided]:
    """Return those of which one can tell at once whether they are gone, or all if there is none.

    What is a vaguer word for one that takes a ride cannot be told either.
    """
    later = [key for key in reported if base.signs[key[0]].later]
    later += [above for key in later for above in vaguer_than(*key, base)]
    return [key for key in reported if key not in later] or reported


def _most_exact(found: list[Sided], base: Rulebase) -> list[Sided]:
    vague = {above for key in found for above in vaguer_than(*key, base)}
    return [key for key in found if key not in vague]


def _seen(case: Case) -> list[Sided]:
    return [(one.sign, one.side) for one in case.seen if one.seen]


def complaints(state: State, base: Rulebase) -> list[Sided]:
    """Return the signs that were complained of and not taken back, each on its side."""
    told: list[SignReport] = []
    for event in state.known:
        if isinstance(event, Told):
            fresh = {(one.sign, one.side) for one in event.reports}
            told = [one for one in told if (one.sign, one.side) not in fresh] + [*event.reports]
        elif isinstance(event, Forgotten):
            told = [one for one in told if (one.sign, one.side) not in event.signs]
    opening = base.words.opening
    return [(one.sign, one.side) for one in told if one.seen and one.how == opening and not base.signs[one.sign].past]
