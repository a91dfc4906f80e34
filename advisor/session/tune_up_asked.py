"""What a led tune-up asks next: the items of the readiness order one after the other, then the balance.

An item is looked at by its check. One that is wrong is put right and looked at again, handed over to the search, or
left. What was done lately is left out a stage at a time, and what cannot be done here an item at a time.
"""

from collections.abc import Sequence

from msgspec.structs import replace

from advisor.chain.readiness import RIGHT, WRONG
from advisor.diagnose import Advisor
from advisor.plan.advice import figures_that_clear
from advisor.report import ReadyItem, Report
from advisor.rulebase.model import Rulebase
from advisor.session.balance_so_far import READY
from advisor.session.events import BALANCE, SEARCH, Event, Forgotten, SetUp, WentOver
from advisor.session.minutes_spent import minutes_of
from advisor.session.next_question import LED, Option, Question, as_it_stands, check_asked, half_answered
from advisor.session.state import State
from advisor.sides import Side, sides_of

STAGE, ITEM = "stage", "item"  # what is chosen about: a stage, or one thing of it
LEAD, DONE_LATELY, LEFT = "lead", "done lately", "left"
MOST_NAMES = 12  # in a list of what was left out
MOST_LINES = 3  # of how an item must read
PUT_RIGHT = "Put it right as the maker's manual says, then look again."


def tune_up_question(state: State, report: Report, advisor: Advisor) -> Question:
    """Return what the tune-up asks next."""
    base = advisor.base
    if (half := half_answered(state, report, base)) is not None:
        return half
    chosen = _chosen(state.known)
    for item in report.readiness:
        stage = chosen.get((STAGE, item.stage), "")
        if item.state == RIGHT or stage == DONE_LATELY or (ITEM, item.title) in chosen:
            continue
        if not stage:
            return _stage(item, report, state, base)
        if item.state == WRONG:
            return _wrong(item, state, report, base)
        for side in sides_of(base.checks[item.check].sided):
            if (item.check, side) not in state.case.not_again:
                return _item(item, side, state, report, base)
    return _ready(report, chosen, state, base)


def _chosen(events: Sequence[Event]) -> dict[tuple[str, str], str]:
    """Return what was chosen, by what it was about: ('stage', title) or ('item', title)."""
    found: dict[tuple[str, str], str] = {}
    for event in events:
        if isinstance(event, SetUp) and event.about.partition(": ")[0] in {STAGE, ITEM}:
            about, _, title = event.about.partition(": ")
            found[about, title] = event.chosen
    return found


def _stage(item: ReadyItem, report: Report, state: State, base: Rulebase) -> Question:
    """Ask whether a stage is to be gone through, before its first item."""
    items = [one for one in report.readiness if one.stage == item.stage]
    area = next(area for area in base.areas if area.title == item.stage)
    names = ", ".join(one.title for one in items)
    minutes = sum({one.check: one.minutes for one in items if one.state != RIGHT}.values())
    about = f"{STAGE}: {item.stage}"
    return Question(
        kind=LED,
        title=f"Now: {item.stage}",
        steps=(f"{area.reason}", f"In this order: {names}."),
        because=area.before_next,
        minutes=minutes,
        options=(
            Option(says="Lead me through it.", event=SetUp(about, LEAD)),
            Option(says="Done lately, and nothing was touched since: leave it out.", event=SetUp(about, DONE_LATELY)),
        ),
        drawn=_so_far(report, state, base),
    )


def _item(item: ReadyItem, side: Side, state: State, report: Report, base: Rulebase) -> Question:
    """Ask for the check of an item, with how it must read on this bike."""
    check = base.checks[item.check]
    asked = check_asked(check, side, base.areas[_place(item, base)].reason, None, base)
    lines = [f"Must read: {line}." for line in _must_read(item, state, base)]
    asked = as_it_stands(asked, state.case, base)
    return replace(asked, steps=(*asked.steps, *lines), drawn=_so_far(report, state, base))


def _place(item: ReadyItem, base: Rulebase) -> int:
    return next(at for at, area in enumerate(base.areas) if area.title == item.stage)


def _must_read(item: ReadyItem, state: State, base: Rulebase) -> list[str]:
    """Return in words how the readings of an item must be, by the bike's own figures where its sheet has them."""
    wrong = next(one.wrong for area in base.areas for one in area.items if one.title == item.title)
    lines = [line for sign in wrong for _, line in figures_that_clear(sign, state.case, base)]
    return list(dict.fromkeys(lines))[:MOST_LINES]


def _wrong(item: ReadyItem, state: State, report: Report, base: Rulebase) -> Question:
    """Ask to put an item right that is wrong."""
    wrong = next(one.wrong for area in base.areas for one in area.items if one.title == item.title)
    seen = [one for one in report.signs if one.id in wrong and one.state == "seen"]
    anew = tuple((sign, side) for sign in wrong for side in sides_of(base.signs[sign].sided))
    return Question(
        kind=LED,
        title=f"Put right: {item.title}",
        steps=(
            *dict.fromkeys(f"Found: {one.title}." for one in seen),
            *(f"Must read: {line}." for line in _must_read(item, state, base)),
            PUT_RIGHT,
        ),
        options=(
            Option(says="It is put right: look again.", event=Forgotten(anew, _of(item, base), checks=(item.check,))),
            Option(says="It will not come right: look for the cause.", event=WentOver(SEARCH, item.title)),
            Option(says="Leave it as it is, and go on.", event=SetUp(f"{ITEM}: {item.title}", LEFT)),
        ),
        cautions=tuple(base.cautions[name].says for name in base.checks[item.check].cautions),
        drawn=_so_far(report, state, base),
    )


def _of(item: ReadyItem, base: Rulebase) -> tuple[tuple[str, Side], ...]:
    """Return the readings of an item's check, on each side: they were taken before it was put right."""
    names = base.checks[item.check].takes
    return tuple((name, side) for name in names for side in sides_of(base.readings[name].sided))


def _ready(report: Report, chosen: dict[tuple[str, str], str], state: State, base: Rulebase) -> Question:
    """Say that all before the balance was gone through, and what of it was left."""
    left = [title for (about, title), how in chosen.items() if about == ITEM and how == LEFT]
    lately = [title for (about, title), how in chosen.items() if about == STAGE and how == DONE_LATELY]
    steps = [f"Left as it was: {_some(left)}."] if left else []
    steps += [f"Done lately: {_some(lately)}."] if lately else []
    return Question(
        kind=LED,
        title="All before the balance was gone through",
        steps=(*steps, "Close everything up, ride it warm for ten minutes, then balance it."),
        options=(Option(says="Warm: lead me through the balance.", event=WentOver(BALANCE, READY)),),
        drawn=_so_far(report, state, base),
    )


def _some(names: Sequence[str]) -> str:
    """Return as many names as a screen has room for; the record has all."""
    more = len(names) - MOST_NAMES
    return ", ".join(names[:MOST_NAMES]) + (f", and {more} more" if more > 0 else "")


def _so_far(report: Report, state: State, base: Rulebase) -> str:
    """Return how far it is: what is right of how many, the minutes spent, and those of what is still to come."""
    chosen = _chosen(state.known)
    gone = [one for one in report.readiness if one.state == RIGHT or _is_left(one, chosen)]
    todo = {one.check: one.minutes for one in report.readiness if one not in gone}
    spent = sum(minutes_of(one, base) for one in state.known)
    done = f"{len(gone)} of {len(report.readiness)} done or left out"
    return f"{done}; {spent:g} min so far, about {sum(todo.values()):g} to come"


def _is_left(item: ReadyItem, chosen: dict[tuple[str, str], str]) -> bool:
    return chosen.get((STAGE, item.stage)) == DONE_LATELY or (ITEM, item.title) in chosen
