"""What a record says of a balance: how it was read, before and after, what was turned in all, what it went over to.

It counts over the whole session: a balance that was begun again after a repair goes on with what was turned before.
"""

from collections.abc import Iterable, Iterator, Sequence

import msgspec

from advisor.balance.course_steps import COLUMNS, IDLE, OFF_IDLE, Method, Seen, Where
from advisor.balance.mixture import Best
from advisor.balance.turns import MIXTURE, WHOLE, Screw, Turn, how_far
from advisor.case import Measured
from advisor.rulebase.model import Rulebase
from advisor.session import balance_so_far as so_far
from advisor.session.balance_in_words import lead, tens
from advisor.session.events import SEARCH, Event, Read, ScrewsTurned, SetUp, Throttled, WentOver
from advisor.session.went_over import why_over
from advisor.sides import BOTH, Side

PLACES: dict[tuple[Method, Where], str] = {
    (COLUMNS, IDLE): "columns at idle",
    (COLUMNS, OFF_IDLE): "columns at 2,500 rpm",
    ("drops", IDLE): "plugs shorted at idle",
    ("drops", OFF_IDLE): "plugs shorted at 2,500 rpm",
}
READY = {
    so_far.YES: "said to be ready and ridden warm before",
    so_far.WENT_THROUGH: "the tune-up came before it",
    so_far.NO: "begun without knowing whether it was ready",
}
BY = {so_far.SHORTING: "shorting one plug at a time, with a rev counter"}


class BalanceDone(msgspec.Struct, frozen=True, kw_only=True):
    """A balance on paper: `read_by` what, how `ready` it was, each of `places` before and after in words.

    `turned` says of each screw by how much in all; `mixture` where the mixture screws stand; `went_over` to what and
    why. `readings` were taken, on so many `rides` between them.
    """

    read_by: str
    ready: str
    places: tuple[str, ...]
    turned: tuple[str, ...]
    mixture: tuple[str, ...]
    readings: int
    rides: int
    went_over: tuple[str, ...]


def balance_done(events: Sequence[Event], base: Rulebase) -> BalanceDone | None:
    """Return the balance in these events; None if nothing of one was done."""
    chosen = {one.about: one.chosen for one in events if isinstance(one, SetUp)}
    if so_far.METHOD not in chosen:
        return None
    seen = list(_seen(events, base))
    method = chosen[so_far.METHOD]
    cross = method != so_far.SHORTING and chosen.get(so_far.CROSS) == so_far.YES
    return BalanceDone(
        read_by=BY.get(method, method) + (", and shorting one plug at a time as a check" if cross else ""),
        ready=READY.get(chosen.get(so_far.READY, ""), ""),
        places=tuple(_places(seen)),
        turned=tuple(turned_in_all(events)),
        mixture=tuple(_mixture(events, base)),
        readings=sum(isinstance(one, Read) and bool(one.readings) for one in events),
        rides=sum(isinstance(one, Throttled) and one.ridden for one in events),
        went_over=tuple(_over(one) for one in events if isinstance(one, WentOver) and one.to == SEARCH),
    )


def _seen(events: Iterable[Event], base: Rulebase) -> Iterator[Seen]:
    zero: tuple[Measured, ...] = ()
    for one in events:
        if isinstance(one, Read):
            zero = tuple(each for each in one.readings if each.reading == so_far.AT_REST) or zero
            yield from so_far.seen(one.readings, zero, base)


def _places(seen: Sequence[Seen]) -> Iterator[str]:
    """Yield each place as it was read first and last."""
    for (by, where), title in PLACES.items():
        here = [one for one in seen if (one.by, one.where) == (by, where) and one.behind is not None]
        if here:
            first, last = _stood(here[0]), _stood(here[-1])
            yield f"{title}: {first}" if len(here) == 1 else f"{title}: before {first}; after {last}"


def _stood(one: Seen) -> str:
    return lead(one.behind or 0.0, one.by) + (f", {tens(one.revs)} rpm" if one.revs else "")


def _turns(events: Iterable[Event]) -> Iterator[Turn]:
    for one in events:
        if isinstance(one, Read):
            yield from one.turned
        elif isinstance(one, ScrewsTurned):
            yield from one.turns


def turned_in_all(events: Sequence[Event]) -> Iterator[str]:
    """Yield by how much each screw was turned in all, and in how many turns of the hand."""
    by_screw: dict[tuple[Side, Screw], list[int]] = {}
    for one in _turns(events):
        if one.screw != MIXTURE:
            by_screw.setdefault((one.side, one.screw), []).append(one.sixteenths)
    for (side, screw), turns in sorted(by_screw.items(), key=lambda one: (one[0][1], one[0][0] or "")):
        whole = sum(turns)
        way = f"{'in' if whole > 0 else 'out'} {how_far(whole)} in all" if whole else "back where it was found"
        yield f"{side} {screw}: {way}{f' ({len(turns)} times)' if len(turns) > 1 else ''}"


def _mixture(events: Sequence[Event], base: Rulebase) -> Iterator[str]:
    """Yield where each mixture screw stands that was turned, from where it was found."""
    found = so_far.led([one for one in events if not isinstance(one, WentOver)], base)
    at: dict[Side, int] = dict.fromkeys(BOTH, 0)
    for one in _turns(events):
        if one.screw == MIXTURE:
            at[one.side] -= one.sixteenths
    for side in BOTH:
        best = so_far.mixture_next(found.read[side], found.by, base) if found.read[side] else None
        where = f"{how_far(at[side])} {'out' if at[side] > 0 else 'in'} from where it was found" if at[side] else ""
        if where or best is not None:
            set_ = isinstance(best, Best) and found.screws[side] == round(best.at * WHOLE)
            yield f"{side} mixture screw: {where or 'as it was found'}{f', at its best by {found.by}' if set_ else ''}"


def _over(one: WentOver) -> str:
    return f"the search for a fault{f': {why_over(one)}' if one.why else ''}"
