"""Which things said in a session cannot all be so. Each has its number, so that any of them can be set right."""

from collections.abc import Iterator

import msgspec

from advisor.rank.opposed import against
from advisor.report import Report
from advisor.rulebase.model import ReadingIs, Rulebase
from advisor.session.events import Answered, PutRight, Read, Told
from advisor.session.state import State
from advisor.session.statements import Statement
from advisor.session.told_so_far import told_so_far
from advisor.sides import Sided


class Opposed(msgspec.Struct, frozen=True, kw_only=True):
    """Statements that cannot all be so, by their numbers, in the order in which they were made."""

    numbers: tuple[int, ...]
    said: tuple[Statement, ...]


def opposed(state: State, report: Report, base: Rulebase) -> tuple[Opposed, ...]:
    """Return the statements that cannot all be so. The report is the one of this state."""
    now: dict[Sided, bool] = {}
    said_by: dict[Sided, int] = {}
    found: dict[tuple[int, ...], Opposed] = {}
    said = {one.number: one for one in told_so_far(state)}
    for number, one in said.items():
        if isinstance(one.event, PutRight):  # what it had shown must be looked at again
            kept = {(report.sign, report.side) for report in state.case.seen}
            now = {key: seen for key, seen in now.items() if key in kept}
        holds = isinstance(one.event, Answered) and one.event.check not in base.checks  # changed by a repair
        for key, seen in dict(_asserted(one, report, base)).items():
            for rivals in against((key, seen), now, base) if not holds else ():
                numbers = tuple(sorted({number, *(said_by[rival] for rival in rivals)}))
                if len(numbers) > 1:
                    found[numbers] = Opposed(numbers=numbers, said=tuple(said[each] for each in numbers))
            now[key] = seen
            said_by[key] = number
    return _once(found)


def _once(found: dict[tuple[int, ...], Opposed]) -> tuple[Opposed, ...]:
    """Return what is opposed without a three of which two alone cannot be so."""
    pairs = {numbers for numbers in found if len(numbers) == 2}  # noqa: PLR2004 - a pair
    return tuple(
        one for numbers, one in found.items() if numbers in pairs or not any(set(pair) < set(numbers) for pair in pairs)
    )


def _asserted(one: Statement, report: Report, base: Rulebase) -> Iterator[tuple[Sided, bool]]:
    """Yield the signs that a statement says are there or not."""
    if isinstance(one.event, Told | Answered):
        yield from (((each.sign, each.side), each.seen) for each in one.event.reports if each.sign in base.signs)
    if isinstance(one.event, Told | Answered | Read):
        names = {(each.reading, each.side) for each in one.event.readings}
        for sign in report.signs if names else ():
            if any(_reads(rule, sign.side, names, base) for rule in sign.rules):
                yield (sign.id, sign.side), sign.state == "seen"


def _reads(rule: str, side: object, names: set[Sided], base: Rulebase) -> bool:
    """Whether a rule that gave a sign on a side rests on one of these readings."""
    page = base.rules.get(rule.split(" ", maxsplit=1)[0])
    asked = [one for one in page.when if isinstance(one, ReadingIs)] if page else []
    return any(
        (one.reading, at) in names
        for one in asked
        for at in ({side, None} if one.of != "lead" else {"left", "right", None})
    )
