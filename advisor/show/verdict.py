"""How a practice round went, on a terminal."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.practice import review as told
from advisor.practice.verdict import Planted
from advisor.show import verdict_words as words
from advisor.show.screen import Rows, heading
from advisor.show.taken_steps import note
from advisor.show.words import minutes

MOST_MOVES = 14  # moves of the planner to show: the first ones, and those that led to the end


def review(found: told.Review) -> Group:
    """Return how the round went."""
    return Group(*_review(found))


def _review(found: told.Review) -> Iterator[RenderableType]:
    yield Text()
    yield heading(f"{words.ENDING[found.ending]}, {minutes(found.clock)} on the clock")
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
        yield Rows([("  -", Text(words.mistake(one))) for one in found.order], label=4)
    yield Text()
    yield heading(words.planner(found))
    yield Rows(list(_moves(found.plan)), label=10)
    yield Rows([("  →", Text(words.compared(found)))], label=4)
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
    says, how_much = words.done(one)
    text = Text(f"{says} " if how_much else says)
    if isinstance(one, told.CheckReviewed):
        text.append(how_much, style="bold" if one.told in words.TOLD_MUCH else "dim")
    return _price(one.minutes), text


def _moves(plan: Sequence[told.PlanStep]) -> Iterator[tuple[str, Text]]:
    half = MOST_MOVES // 2
    left_out = plan[half : len(plan) - half]
    if len(left_out) <= 1:
        yield from map(_move, plan)
        return
    yield from map(_move, plan[:half])
    yield "  ...", Text(f"{len(left_out)} steps more, {words.whole(sum(one.minutes for one in left_out))}")
    yield from map(_move, plan[-half:])


def _move(one: told.PlanStep) -> tuple[str, Text]:
    return _price(one.minutes), Text(words.move(one))


def _price(figure: float) -> str:
    return f"  {words.whole(figure)}"
