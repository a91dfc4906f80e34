"""A session's events turned into a case. Everything a session knows comes from its events."""

from collections.abc import Iterable, Sequence

import msgspec
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured, SignReport
from advisor.chain.compile import side_at
from advisor.plan.cost import open_after
from advisor.rank.network import vaguer_than
from advisor.rulebase.model import ReadingIs, Rulebase
from advisor.session.events import (
    Answered,
    AtHand,
    Began,
    Event,
    OfBike,
    PutRight,
    Read,
    RuledOut,
    Skipped,
    Told,
    Undone,
)
from advisor.sides import Side
from advisor.visible import as_said

FIXED = (Began, AtHand, OfBike)  # what undo does not take back


class State(msgspec.Struct, frozen=True, kw_only=True):
    """Where a session stands: the case so far, the events that count, and how many can be undone."""

    kind: str
    case: Case
    counting: tuple[Event, ...]

    @property
    def undoable(self) -> int:
        """How many answers can be taken back."""
        return sum(not isinstance(event, FIXED) for event in self.counting)


def fold(events: Iterable[Event], base: Rulebase, begun: Case | None = None) -> State:
    """Return where a session stands after these events, from an earlier case (`begun`), if any."""
    counting: list[Event] = []
    for event in events:
        if isinstance(event, Undone):
            _undo(counting, event.count)
        else:
            counting.append(event)
    case = begun or Case(
        title="", bike=Bike(), complaint="", seen=(), measured=(), means=Means(person="mechanic", tools=None, engine="")
    )
    kind = ""
    for event in counting:
        if isinstance(event, Began):
            kind = event.kind
        case = _after(case, event, base)
    return State(kind=kind, case=case, counting=tuple(counting))


def _undo(counting: list[Event], count: int) -> None:
    for place in range(len(counting) - 1, -1, -1):
        if count and not isinstance(counting[place], FIXED):
            del counting[place]
            count -= 1


def _after(case: Case, event: Event, base: Rulebase) -> Case:  # noqa: PLR0911 - one return a kind of event
    match event:
        case Began():
            said = as_said(event.sentence)
            return replace(case, title=said[:70].rstrip(), complaint=said)
        case AtHand():
            return replace(case, means=event.means)
        case OfBike():
            return replace(case, bike=event.bike)
        case Told():
            return replace(case, seen=_reported(case.seen, event.reports, base))
        case Read():
            known = [one for one in event.readings if one.reading in base.readings]
            return replace(case, measured=_measured(case.measured, known))
        case Answered():
            check = base.checks.get(event.check)  # the pages may have changed since then
            opened = open_after(check, event.side, case.opened, base) if check else case.opened
            done = (*case.not_again, (event.check, event.side)) if check else case.not_again
            return replace(case, seen=_reported(case.seen, event.reports, base), opened=opened, not_again=done)
        case Skipped() if event.check in base.checks:
            return replace(case, not_again=(*case.not_again, (event.check, event.side)))
        case RuledOut() if event.cause in base.causes:
            return replace(case, ruled_out=(*case.ruled_out, (event.cause, event.side)))
        case PutRight() if event.cause in base.causes:
            return put_right(case, event.cause, event.side, base)
    return case


def _reported(seen: tuple[SignReport, ...], fresh: Sequence[SignReport], base: Rulebase) -> tuple[SignReport, ...]:
    keys = {(one.sign, one.side) for one in fresh}
    known = (one for one in fresh if one.sign in base.signs)
    return (*(one for one in seen if (one.sign, one.side) not in keys), *known)


def _measured(taken: tuple[Measured, ...], fresh: Sequence[Measured]) -> tuple[Measured, ...]:
    """Return the readings with fresh ones. A reading of one side replaces that side's earlier one only.

    A surplus over the other side replaces the readings of both, and these replace it.
    """
    leads = {one.reading for one in (*taken, *fresh) if one.over_other}
    replaced = {(one.reading, one.side) for one in fresh}
    both = {one.reading for one in fresh} & leads  # of these, both sides' readings go
    kept = (one for one in taken if one.reading not in both and (one.reading, one.side) not in replaced)
    return (*kept, *fresh)


def put_right(case: Case, cause: str, side: Side, base: Rulebase) -> Case:
    """Return the case once a cause was put right: the cause is gone, and its signs must be looked at again.

    So must everything that was set or read around it: the readings that rely on the stages before balance.
    """
    page = base.causes[cause]
    here: Side = side or "left"
    shown = [(link.sign, side_at(link.bearing, here)) for link in page.links if not base.signs[link.sign].past]
    open_again = {*shown, *(vaguer for key in shown for vaguer in vaguer_than(*key, base))}
    relies = {name for area in base.areas for name in area.relies}
    stale = {name for name, _ in open_again} | relies
    kept = tuple(one for one in case.seen if (one.sign, one.side) not in open_again and one.sign not in relies)
    readings = {
        one.reading
        for rule in base.rules.values()
        if stale & {shown.sign for shown in rule.shows}
        for one in rule.when
        if isinstance(one, ReadingIs)
    }
    return replace(
        case,
        seen=kept,
        measured=tuple(one for one in case.measured if one.reading not in readings | relies),
        put_right=(*case.put_right, (cause, side)),
        not_again=(),
        opened=(),
    )
