"""A session's events turned into a case. Everything a session knows comes from its events."""

from collections.abc import Iterable, Sequence

import msgspec
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured, SignReport
from advisor.chain.compile import side_at
from advisor.plan.cost import minutes, open_after
from advisor.plan.heat import cools, cools_after, heated, waits
from advisor.rank.network import vaguer_than
from advisor.rank.restated import restated
from advisor.rulebase.model import ReadingIs, Rulebase
from advisor.session import events
from advisor.session.known_here import known_here, knows_check
from advisor.session.went_over import leads, why_over
from advisor.sides import Side
from advisor.visible import as_said


class State(msgspec.Struct, frozen=True, kw_only=True):
    """Where a session stands: the case so far, the events that count, and how many can be undone.

    `journal` are all events as they came, `kept` those that were not taken back, corrections among them, and `counting`
    those that count, as they were set right later. `known` is what this rule base knows of those that count,
    `unknown` names the rest; `rules` are those it was begun with, `sure` the tools known to be there (None: all that
    the case has), `leads` what is led now: a search, the balance, or the order of a tune-up.
    """

    kind: str
    case: Case
    journal: tuple[events.Event, ...]
    counting: tuple[events.Event, ...]
    kept: tuple[events.Event, ...]
    known: tuple[events.Event, ...]
    unknown: tuple[str, ...]
    rules: tuple[str, ...] | None
    sure: frozenset[str] | None = None
    leads: str = events.SEARCH

    @property
    def undoable(self) -> int:
        """How many answers can be taken back."""
        return sum(not isinstance(event, events.FIXED) for event in self.kept)


def fold(journal: Iterable[events.Event], base: Rulebase, begun: Case | None = None) -> State:
    """Return where a session stands after these events, from an earlier case (`begun`), if any."""
    journal = tuple(journal)
    kept = _not_undone(journal)
    told = _set_right(kept)
    found = [known_here(event, base) for event in told]
    known = tuple(one.event for one in found if one.event is not None)
    means = Means(person=base.persons[min(1, len(base.persons) - 1)], tools=None, engine="")
    case = begun or Case(title="", bike=Bike(), complaint="", seen=(), measured=(), means=means)
    first = events.Began("", "")
    for event in known:
        first = event if isinstance(event, events.Began) else first
        case = _after(case, event, base)
    return State(
        kind=first.kind,
        case=case,
        journal=journal,
        counting=tuple(told),
        kept=tuple(event for _, event in kept),
        known=known,
        unknown=tuple(dict.fromkeys(name for one in found for name in one.unknown)),
        rules=first.rules,
        sure=next((event.sure for event in reversed(known) if isinstance(event, events.AtHand)), None),
        leads=leads(known, first.kind),
    )


def counting(journal: Iterable[events.Event]) -> list[events.Event]:
    """Return the events that were not taken back, as they were set right later."""
    return _set_right(_not_undone(journal))


def _not_undone(journal: Iterable[events.Event]) -> list[tuple[int, events.Event]]:
    """Return the events that were not taken back, each with its place in the journal."""
    found: list[tuple[int, events.Event]] = []
    for place, event in enumerate(journal):
        if isinstance(event, events.Undone):
            _undo(found, event.count)
        elif not isinstance(event, events.HandedOver):
            found.append((place, event))
    return found


def _undo(kept: list[tuple[int, events.Event]], count: int) -> None:
    for number in range(len(kept) - 1, -1, -1):
        if count > 0 and not isinstance(kept[number][1], events.FIXED):
            del kept[number]
            count -= 1


def _set_right(kept: Iterable[tuple[int, events.Event]]) -> list[events.Event]:
    """Return events without corrections, each as it was last corrected."""
    found: dict[int, events.Event | None] = {}
    begun = events.Began("", "")
    for place, event in kept:
        if isinstance(event, events.Corrected):
            right = (one for one in event.changes if not isinstance(found.get(one.at, begun), events.FIXED))
            found |= {one.at: one.instead for one in right}
        else:
            found[place] = event
    return [event for event in found.values() if event is not None]


def _after(case: Case, event: events.Event, base: Rulebase) -> Case:  # noqa: C901, PLR0911 - one return a kind of event
    match event:
        case events.Began():
            said = as_said(event.sentence)
            return replace(case, title=said[:70].rstrip(), complaint=said)
        case events.AtHand():
            return _with(case, event.means)
        case events.OfBike():
            return replace(case, bike=event.bike)
        case events.Told():
            seen, measured = _reported(case.seen, event.reports), _measured(case.measured, event.readings)
            return replace(case, seen=seen, measured=measured)
        case events.Forgotten():
            return _without(case, event)
        case events.Read():
            return replace(case, measured=_measured(case.measured, event.readings))
        case events.Answered():
            seen, measured = _reported(case.seen, event.reports), _measured(case.measured, event.readings)
            return _answered(replace(case, seen=seen, measured=measured), event, base)
        case events.Skipped():
            return replace(case, not_again=(*case.not_again, (event.check, event.side)))
        case events.RuledOut():
            case = _mended_in_vain(case, event, base) if event.in_vain else case
            return replace(case, ruled_out=(*case.ruled_out, (event.cause, event.side)))
        case events.WentOver():
            ruled_out = tuple(dict.fromkeys((*case.ruled_out, *event.ruled_out)))
            complaint = case.complaint or _not_right(event)
            return replace(case, seen=_reported(case.seen, event.reports), ruled_out=ruled_out, complaint=complaint)
        case events.PutRight():
            return put_right(case, event.cause, event.side, base)
    return case


def _not_right(event: events.WentOver) -> str:
    """Return what is complained of where something led does not come right: there is a cause then, as for a rider."""
    return f"It does not come right: {why_over(event)}." if event.to == events.SEARCH and event.why else ""


def _mended_in_vain(case: Case, event: events.RuledOut, base: Rulebase) -> Case:
    """Return the case without what decided on a cause that was put right in vain: that is gone, all else is as it was.

    A complaint stays, even if the deciding check asks for it too.
    """
    page = base.causes[event.cause]
    decides = {shown.sign for outcome in base.checks[page.settled_by].outcomes for shown in outcome.shows}
    at: Side = event.side or "left"
    gone = {(link.sign, side_at(link.bearing, at)) for link in page.links if link.sign in decides}
    told = base.words.opening
    return replace(case, seen=tuple(one for one in case.seen if (one.sign, one.side) not in gone or one.how == told))


def _without(case: Case, event: events.Forgotten) -> Case:
    seen = tuple(one for one in case.seen if (one.sign, one.side) not in event.signs)
    measured = tuple(one for one in case.measured if (one.reading, one.side) not in event.readings)
    again = tuple(one for one in case.not_again if one[0] not in event.checks)
    return replace(case, seen=seen, measured=measured, not_again=again)


def _answered(case: Case, event: events.Answered, base: Rulebase) -> Case:
    if not knows_check(event.check, event.side, base):  # a repair holds, or the pages have changed since then
        return case
    check, left = base.checks[event.check], cools(case)
    took = minutes(check, event.side, case.opened, base) + waits(check, left)
    case = heated(case, cools_after(check, took, left))
    opened = open_after(check, event.side, case.opened, base)
    return replace(case, opened=opened, not_again=(*case.not_again, (event.check, event.side)))


def _with(case: Case, means: Means) -> Case:
    """Return the case with who is there with what; the engine is as it was unless they say."""
    if means.engine:
        return replace(case, means=means, cools=None)
    return replace(case, means=replace(means, engine=case.means.engine))


def _reported(seen: tuple[SignReport, ...], fresh: Sequence[SignReport]) -> tuple[SignReport, ...]:
    keys = {(one.sign, one.side) for one in fresh}
    return (*(one for one in seen if (one.sign, one.side) not in keys), *fresh)


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
    open_again |= {key for key, said in restated(base).items() if said & open_again}
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
