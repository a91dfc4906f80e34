"""What of the order of a tune-up nobody has looked at, stage by stage, and whether anything is known to be wrong."""

from collections import Counter
from collections.abc import Iterator

import msgspec

from advisor.chain.readiness import UNKNOWN
from advisor.intake.sentence import MOST_UNDERSTOOD
from advisor.plan.deciding import ordinary
from advisor.report import Report
from advisor.rulebase.model import Rulebase
from advisor.session.events import Answered, Told
from advisor.session.state import State

VAGUE = 3  # kinds, that a vague sign has at least


class Stage(msgspec.Struct, frozen=True, kw_only=True):
    """What of one stage of the order was not checked, with the minutes that its checks take."""

    title: str
    items: tuple[str, ...]
    minutes: float


def not_checked(report: Report) -> Iterator[Stage]:
    """Yield what nobody has looked at, stage by stage, in the order in which things must be right."""
    for stage in dict.fromkeys(item.stage for item in report.readiness):
        items = [one for one in report.readiness if one.stage == stage and one.state == UNKNOWN]
        if items:
            minutes = {one.check: one.minutes for one in items}
            yield Stage(title=stage, items=tuple(one.title for one in items), minutes=sum(minutes.values()))


def in_short(found: Stage) -> str:
    """Return a stage in one line: how much of it there is to look at, the minutes, and what comes first."""
    many = len(found.items)
    first = f"; first: {found.items[0]}" if many > 1 else f": {found.items[0]}"
    return f"{found.title}, {f'{many} things, ' if many > 1 else ''}{found.minutes:g} min{first}"


def runs_well(state: State, report: Report, base: Rulebase) -> bool:
    """Whether nothing is known to be wrong, after it was said that the bike runs as it should.

    What was complained of and still stands is wrong, even if many sound bikes show it. Where no
    complaint was understood, it must have been said of all of the bike that it is well.
    """
    seen = [one for one in report.signs if one.state == "seen" and not base.signs[one.id].past]
    if not all(ordinary(one.id, base) and one.how != base.words.opening for one in seen):
        return False
    told = [one for event in state.known if isinstance(event, Told | Answered) for one in event.reports]
    words = [one for event in state.known if isinstance(event, Told) for one in event.reports]
    heard = not state.case.complaint or any(not base.signs[one.sign].past for one in words)
    praised = _praises(base) if heard else _everything(base)
    return any(one.sign in praised and not one.seen for one in told)


def _everything(base: Rulebase) -> set[str]:
    """Return the signs of which no bike that runs badly is free: they have more kinds than anybody reads."""
    many = _kinds(base)
    return {name for name, count in many.items() if count > MOST_UNDERSTOOD and not base.signs[name].kind_of}


def _praises(base: Rulebase) -> set[str]:
    """Return the signs whose absence says that a bike runs well: those, and their own kinds that are vague too."""
    wide, many = _everything(base), _kinds(base)
    return wide | {name for name, count in many.items() if count >= VAGUE and base.signs[name].kind_of in wide}


def _kinds(base: Rulebase) -> Counter[str]:
    return Counter(sign.kind_of for sign in base.signs.values() if sign.kind_of)
