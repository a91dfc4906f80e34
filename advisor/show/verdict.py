"""How a practice round went, on a terminal."""

from collections.abc import Iterator, Sequence
from functools import singledispatch
from textwrap import shorten

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.practice import review as told
from advisor.practice.verdict import Planted
from advisor.show.screen import Rows, heading
from advisor.show.taken_steps import note
from advisor.show.words import minutes, per_cent

FEW_WORDS = 60  # letters of a plain check's result in the planner's list
MOST_MOVES = 14  # moves of the planner to show: the first ones, and those that led to the end
ENDING = {
    "right": "RIGHT",
    "cured": "CURED, but the wrong side was named",
    "half right": "HALF RIGHT: a part of it, or more than it",
    "wrong side": "WRONG: the right fault on the wrong side",
    "wrong": "WRONG",
    "given up": "GIVEN UP",
}
PLAN_FAILED = {
    "longer": "it took longer than you",
    "lost": "it was lost",
    "lost too": "it was lost too",
    "not all": "it did not find all",
}
TOLD = {
    "all": "Told it all: this settles it",
    "much": "Told much",
    "little": "Told little",
    "nothing": "Told nothing",
    "misled": "Misled",
    "misled a little": "Misled a little",
}
TOLD_MUCH = {"all", "much"}


def review(found: told.Review) -> Group:
    """Return how the round went."""
    return Group(*_review(found))


def _review(found: told.Review) -> Iterator[RenderableType]:
    yield Text()
    yield heading(f"{ENDING[found.ending]}, {minutes(found.clock)} on the clock")
    if found.named:
        yield Rows([("  named", Text("; ".join(found.named)))], label=10)
    for fault in found.planted:
        yield Rows(_planted(fault, found), label=10)
    yield Text()
    yield heading("WHAT YOU DID")
    yield Rows([_done(one) for one in found.steps] or [("  -", Text("nothing"))], label=10)
    if found.order:
        yield Text()
        yield heading("WHERE THE ORDER WENT WRONG")
        yield Rows([("  -", Text(_mistake(one))) for one in found.order], label=4)
    yield Text()
    yield heading(_planner(found))
    yield Rows(list(_moves(found.plan)), label=10)
    yield Rows([("  →", Text(_compared(found)))], label=4)
    yield Text()
    yield note(f"The same bike again: {found.bike.command}")


def _planted(fault: Planted, found: told.Review) -> Iterator[tuple[str, Text]]:
    mark = " (you found it)" if fault.found and len(found.planted) > 1 else ""
    yield "  it was", Text(f"{fault.title}: {fault.bad}{mark}", style="bold")
    yield "  stage", Text(fault.stage)
    yield from ((("  looks" if not number else ""), Text(text)) for number, text in enumerate(fault.looks))
    yield "  why", Text(fault.reason.strip())
    yield "  settles", Text(fault.settled_by)


def _done(one: told.CheckReviewed | told.RepairReviewed) -> tuple[str, Text]:
    if isinstance(one, told.CheckReviewed):
        where = f"the fault {per_cent(one.before)} likely before, {per_cent(one.after)} after"
        text = Text(f"{one.title}: {one.says} ")
        text.append(f"{TOLD[one.told]}, {where}.", style="bold" if one.told in TOLD_MUCH else "dim")
        return _price(one.minutes), text
    other = "; ".join(one.cured_besides)
    what = f"it was: {other}" if other else "it was that" if one.right else "was sound"
    return _price(one.minutes), Text(f"Put right: {one.title}: {what}")


@singledispatch
def _mistake(one: object) -> str:
    """Return what was wrong with the order."""
    msg = f"no words for {type(one).__name__}"
    raise TypeError(msg)


@_mistake.register
def _(_one: told.Guessed) -> str:
    return "A cause was acted on with nothing looked at. Right or not, that was a guess."


@_mistake.register
def _(one: told.InVain) -> str:
    parts = ", and new parts" if one.new_parts else ""
    cost = f"'{one.title}', {_min(one.minutes)}{parts} for nothing."
    if one.one_side:
        return f"On the sound side of {cost}"
    known = f"It was {per_cent(one.likely)} likely by what was known"
    return f"Put right, though it was sound: {cost} {known}{': nothing had spoken for it' if one.blind else ''}."


@_mistake.register
def _(one: told.Luck) -> str:
    before = f"{per_cent(one.likely)} likely by what was known"
    return f"Nothing had spoken for '{one.title}' ({before}). That it was so was luck."


@_mistake.register
def _(one: told.TooEarly) -> str:
    there = " And there it was." if one.there else ""
    return f"'{one.title}' came while nothing of '{one.stage}' had been looked at. {one.reason}{there}"


@_mistake.register
def _(one: told.ToldNothing) -> str:
    return f"Told nothing, and cost {_min(one.minutes)}: {'; '.join(one.titles)}"


def _planner(found: told.Review) -> str:
    """Return the heading over what the planner did: 'a good order' only if it was one."""
    if found.good_order:
        return "A GOOD ORDER: what the planner did on the same bike"
    count = found.plan_in_vain
    in_vain = f"{'a repair' if count == 1 else f'{count} repairs'} in vain" if count else ""
    but = " and ".join(filter(None, (in_vain, PLAN_FAILED.get(found.plan_failed))))
    return f"WHAT THE PLANNER DID, no order to follow: {but}"


def _moves(plan: Sequence[told.PlanStep]) -> Iterator[tuple[str, Text]]:
    half = MOST_MOVES // 2
    left_out = plan[half : len(plan) - half]
    if len(left_out) <= 1:
        yield from map(_move, plan)
        return
    yield from map(_move, plan[:half])
    yield "  ...", Text(f"{len(left_out)} steps more, {_min(sum(one.minutes for one in left_out))}")
    yield from map(_move, plan[-half:])


def _move(one: told.PlanStep) -> tuple[str, Text]:
    if isinstance(one, told.PlanCheck):
        return _price(one.minutes), Text(f"{one.title}: {_few_words(one.says)}")
    if isinstance(one, told.PlanRepair):
        return _price(one.minutes), Text(f"put right: {one.title}")
    again = f" ({one.times} looks)" if one.times > 1 else ""
    speaks = "for" if one.speaks_for else "against"
    return _price(one.minutes), Text(f"{one.title}{again}: it speaks {speaks} '{one.cause}'")


def _few_words(says: str) -> str:
    """Return the first sentence of a result, shortened if long."""
    return shorten(says.partition(". ")[0].rstrip("."), FEW_WORDS, placeholder=" ...")


def _compared(found: told.Review) -> str:
    you = f"you {_min(found.minutes)}{_all(found.all_found)}"
    planner = f"planner {_min(found.plan_minutes)}{_all(found.plan_found)}"
    but = ", but for those for which nothing had spoken" if found.luck else ""
    return f"To the cause, right repairs left out{but}: {you}; {planner}."


def _all(found: bool) -> str:
    return "" if found else " and not all found"


def _price(figure: float) -> str:
    return f"  {_min(figure)}"


def _min(figure: float) -> str:
    return minutes(round(figure))
