"""Whether the bike is ready for balancing: each thing that must be right first is right, wrong, or not checked."""

from collections.abc import Callable, Iterable

from advisor.report import ReadyItem, SignState
from advisor.rulebase.model import Rulebase
from advisor.rulebase.table_records import Item
from advisor.sides import Sided, sides_of

RIGHT, WRONG, UNKNOWN = "right", "wrong", "not checked"


def readiness(
    base: Rulebase, signs: Iterable[SignState], parts: dict[str, str], trust: Callable[[str], float]
) -> tuple[ReadyItem, ...]:
    """Return every item of the readiness order that this bike has, with its state, in order.

    One sign of a fault makes an item wrong. It is right only if all its signs are known to be absent on both
    sides, and is then known only as well as the least certain of them.
    """
    known = {(sign.id, sign.side): sign for sign in signs}
    found = []
    for area in base.areas:
        for item in area.items:
            if any(parts.get(part, kind) != kind for part, kind in item.only_if.items()):
                continue
            state, how = _state(item, known, base, trust)
            check = base.checks[item.check]
            found.append(
                ReadyItem(
                    stage=area.title,
                    title=item.title,
                    state=state,
                    how=how,
                    check=check.id,
                    check_title=check.title,
                    minutes=check.minutes * (2 if check.sided else 1),
                )
            )
    return tuple(found)


def _state(item: Item, known: dict[Sided, SignState], base: Rulebase, trust: Callable[[str], float]) -> tuple[str, str]:
    asked = [known.get((sign, side)) for sign in item.wrong for side in sides_of(base.signs[sign].sided)]
    wrong = [one.how for one in asked if one is not None and one.state == "seen"]
    if wrong:
        return WRONG, max(wrong, key=trust)
    right = [one.how for one in asked if one is not None]
    if asked and len(right) == len(asked):
        return RIGHT, min(right, key=trust)
    return UNKNOWN, ""


def unready(base: Rulebase, items: Iterable[ReadyItem]) -> set[str]:
    """Return the signs and readings that rely on an earlier item that has not been checked."""
    open_stages = {item.stage for item in items if item.state == UNKNOWN}
    found: set[str] = set()
    before: list[str] = []
    for area in base.areas:
        if any(stage in open_stages for stage in before):
            found |= set(area.relies)
        before.append(area.title)
    return found
