"""What this rule base knows of an event. A session may have been written with other rules: a shop's, or older ones.

What is not known here stays in the journal. It does not come into the case, and is named where events are shown.
"""

from collections.abc import Collection, Iterator, Sequence
from typing import Any, TypeVar

import msgspec
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured, SignReport
from advisor.intake.valid import mistakes
from advisor.rulebase.model import ENGINE_STATES, Rulebase
from advisor.session import events
from advisor.sides import Side, Sided

S = TypeVar("S", SignReport, Measured)


class Known(msgspec.Struct, frozen=True):
    """What is known of an event (None for nothing), and what is not, in words like `the sign 'x'`."""

    event: events.Event | None
    unknown: tuple[str, ...] = ()


def known_here(event: events.Event, base: Rulebase) -> Known:  # noqa: PLR0911 - one return a kind of event
    """Return an event without what this rule base does not know."""
    match event:
        case events.Told():
            return _told(event, base)
        case events.Forgotten():
            return _forgotten(event, base)
        case events.Answered(check=check, reports=reports):
            kept, unknown = _each(reports, "seen", base)
            taken, unread = _each(event.readings, "measured", base)
            asked = _unknown("check", check, {*base.checks, *base.causes})  # what holds is asked of a cause
            return Known(replace(event, reports=kept, readings=taken), (*asked, *unknown, *unread))
        case events.Read(readings=readings):
            taken, unknown = _each(readings, "measured", base)
            return Known(replace(event, readings=taken) if taken or not readings or event.turned else None, unknown)
        case events.Skipped(check=name):
            return _whole(event, "check", name, base.checks, knows_check(name, event.side, base))
        case events.PutRight(cause=name) | events.RuledOut(cause=name):
            return _whole(event, "cause", name, base.causes, _fits(base, ruled_out=((name, event.side),)))
        case events.WentOver(reports=reports):
            kept, unknown = _each(reports, "seen", base)
            causes = tuple(one for one in event.ruled_out if _fits_cause(one, base))
            return Known(replace(event, reports=kept, ruled_out=causes), unknown)
        case events.AtHand():
            return _at_hand(event, base)
        case events.OfBike(bike=bike):
            return _of_bike(bike, base)
    return Known(event)


def _told(event: events.Told, base: Rulebase) -> Known:
    kept, unknown = _each(event.reports, "seen", base)
    taken, unread = _each(event.readings, "measured", base)
    causes = tuple(one for one in event.suspected if _fits_cause(one, base))
    unmet = tuple(f"the cause '{name}'" for name, side in event.suspected if (name, side) not in causes)
    nothing = not (kept or taken or causes) and event != events.Told(())
    return Known(None if nothing else events.Told(kept, taken, causes, event.words), (*unknown, *unread, *unmet))


def _forgotten(event: events.Forgotten, base: Rulebase) -> Known:
    """Return what is forgotten, without what is not known here: that does not count in any case."""
    return Known(
        events.Forgotten(
            signs=tuple(one for one in event.signs if one[0] in base.signs),
            readings=tuple(one for one in event.readings if one[0] in base.readings),
            suspected=tuple(one for one in event.suspected if one[0] in base.causes),
            checks=tuple(one for one in event.checks if one in base.checks),
        )
    )


def _fits_cause(cause: Sided, base: Rulebase) -> bool:
    return cause[0] in base.causes and _fits(base, ruled_out=(cause,))


def knows_check(name: str, side: Side, base: Rulebase) -> bool:
    """Whether there is a check of this name that is done on this side."""
    return name in base.checks and _fits(base, not_again=((name, side),))


def knows(one: SignReport | Measured, base: Rulebase) -> bool:
    """Whether a report or reading, as it is, can stand in a case."""
    if isinstance(one, SignReport):
        return one.sign in base.signs and _fits(base, seen=(one,))
    return one.reading in base.readings and _fits(base, measured=(one,))


def _fits(base: Rulebase, **told: Any) -> bool:  # noqa: ANN401 - any fields of a case
    means = Means(person=base.persons[0], tools=None, engine="")
    fields: dict[str, Any] = {"title": "", "bike": Bike(), "complaint": "", "seen": (), "measured": (), "means": means}
    return next(mistakes(Case(**fields | told), base), None) is None


def _each(told: Sequence[S], field: str, base: Rulebase) -> tuple[tuple[S, ...], tuple[str, ...]]:
    names = base.signs if field == "seen" else base.readings
    if all(_name(one) in names for one in told) and _fits(base, **{field: tuple(told)}):
        return tuple(told), ()  # nearly always
    kept = tuple(one for one in told if knows(one, base))
    return kept, tuple(_why_not(one, base) for one in told if one not in kept)


def _name(one: SignReport | Measured) -> str:
    return one.sign if isinstance(one, SignReport) else one.reading


def _why_not(one: SignReport | Measured, base: Rulebase) -> str:
    """Return what of a report or reading is not known here."""
    if isinstance(one, SignReport):
        if one.sign in base.signs and one.how not in base.words.trust:
            return f"the word '{one.how}'"
        return f"the sign '{one.sign}'"
    return f"the reading '{one.reading}'"


def _unknown(what: str, name: str, names: Collection[str]) -> tuple[str, ...]:
    return () if name in names else (f"the {what} '{name}'",)


def _whole(event: events.Event, what: str, name: str, names: Collection[str], fits: bool) -> Known:
    if name in names and fits:
        return Known(event)
    return Known(None, (f"the {what} '{name}'",))


def _at_hand(event: events.AtHand, base: Rulebase) -> Known:
    means = event.means
    if means.person not in base.persons:
        return Known(None, _unknown("person", means.person, base.persons))
    lacking = sorted((means.tools or frozenset()) - set(base.tools))
    engine = means.engine if means.engine in ENGINE_STATES else ""
    unknown = [f"the tool '{one}'" for one in lacking]
    unknown += [f"the state '{means.engine}' of the engine"] if engine != means.engine else []
    tools = None if means.tools is None else means.tools - set(lacking)
    sure = None if event.sure is None else event.sure & set(base.tools)
    return Known(events.AtHand(Means(person=means.person, tools=tools, engine=engine), sure), tuple(unknown))


def _of_bike(bike: Bike, base: Rulebase) -> Known:
    if _fits(base, bike=bike):
        return Known(events.OfBike(bike))
    known, unknown = Bike(name=bike.name), list[str]()
    for name, fields in _bit_by_bit(bike):
        more = {key: {**getattr(known, key), **one} if isinstance(one, dict) else one for key, one in fields.items()}
        fits = _fits(base, bike=Bike(**fields))
        known = replace(known, **more) if fits else known
        unknown += [] if fits else [name]
    return Known(events.OfBike(known), tuple(unknown))


def _bit_by_bit(bike: Bike) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield what is known of a bike, one thing at a time, each with its name."""
    for part, kind in bike.parts.items():
        yield f"the part '{part}: {kind}'", {"parts": {part: kind}}
    for name, figure in bike.figures.items():
        yield f"the figure '{name}'", {"figures": {name: figure}}
    yield "the gears", {"gears": bike.gears}
    yield "the tyre", {"tyre": bike.tyre}
