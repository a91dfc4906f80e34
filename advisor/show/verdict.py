"""How a practice round went, on a terminal."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.practice import review as told
from advisor.practice.verdict import Planted
from advisor.show import verdict_words as words
from advisor.show.screen import Rows, heading
from advisor.show.taken_steps import note
from advisor.show.words import minutes


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
    yield Rows([(f"  {price}", Text(says)) for price, says in words.moves(found.plan)], label=10)
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


def _price(figure: float) -> str:
    return f"  {words.whole(figure)}"
