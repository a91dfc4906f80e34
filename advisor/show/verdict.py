"""How a practice round went, on a terminal; and the lesson of the readiness order."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.rulebase.model import Rulebase
from advisor.show.practice import MODEL, again, cautions, note, readings
from advisor.show.screen import Rows, heading
from advisor.show.words import minutes
from advisor.sides import fill
from advisor.trial.lesson import Stage
from advisor.trial.practice import DO, GIVEN_UP, HALF, RIGHT, Round, Step
from advisor.trial.score import Move
from advisor.trial.verdict import Planted, Verdict, told

MOST_MOVES = 14  # of the planner that are shown: the first, and those that led to the end
SAYS = {
    RIGHT: "RIGHT",
    HALF: "HALF RIGHT: a part of it, or more than it",
    GIVEN_UP: "GIVEN UP",
}


def verdict(found: Verdict, now: Round) -> Group:
    """Return how the round went."""
    return Group(*_verdict(found, now))


def _verdict(found: Verdict, now: Round) -> Iterator[RenderableType]:
    base = now.base
    yield Text()
    wrong = "WRONG: the right fault on the wrong side" if found.wrong_side else "WRONG"
    yield heading(f"{SAYS.get(found.outcome, wrong)}, {minutes(now.minutes)} on the clock")
    if now.named and found.outcome != RIGHT:
        named = "; ".join(fill(base.causes[cause].title, side) for cause, side in now.named)
        yield Rows([("  named", Text(named))], label=10)
    for fault in found.planted:
        yield Rows(_planted(fault, found), label=10)
    yield Text()
    yield heading("WHAT YOU DID")
    yield Rows([_done(one, base) for one in found.steps] or [("  -", Text("nothing"))], label=10)
    if found.early or found.idle:
        yield Text()
        yield heading("WHERE THE ORDER WENT WRONG")
        yield Rows(list(_order(found, base)), label=4)
    yield Text()
    yield heading(_planner(found))
    yield Rows(list(_moves(found.plan, base)), label=10)
    yield Rows([("  →", Text(_compared(found)))], label=4)
    yield Text()
    yield note(f"The same bike again: {again(now)}")


def _planner(found: Verdict) -> str:
    """Return the heading over what the planner did: a good order only where it got there with no repair in vain."""
    in_vain = sum(one.kind == "fix" and not one.right for one in found.plan)
    if found.plan_found and not in_vain:
        return "A GOOD ORDER: what the planner did on the same bike"
    repairs = "a repair" if in_vain == 1 else f"{in_vain} repairs"
    but = f"{repairs} in vain" if in_vain else "it did not find all"
    return f"WHAT THE PLANNER DID on the same bike, no order to follow: {but}"


def _moves(plan: Sequence[Move], base: Rulebase) -> Iterator[tuple[str, Text]]:
    half = MOST_MOVES // 2
    left_out = len(plan) - 2 * half
    for number, one in enumerate(plan):
        if left_out <= 1 or not half <= number < len(plan) - half:
            yield _move(one, base)
        elif number == half:
            took = sum(move.minutes for move in plan[half : len(plan) - half])
            yield "  ...", Text(f"{left_out} steps more, {_min(took)}")


def _compared(found: Verdict) -> str:
    you = f"you {_min(found.minutes)}{'' if found.outcome == RIGHT else ' and not all found'}"
    planner = f"planner {_min(found.plan_minutes)}{'' if found.plan_found else ' and not all found'}"
    return f"To the cause, repairs left out: {you}; {planner}."


def _min(figure: float) -> str:
    return minutes(round(figure))


def _planted(fault: Planted, found: Verdict) -> Iterator[tuple[str, Text]]:
    mark = " (you found it)" if fault.found and len(found.planted) > 1 else ""
    yield "  it was", Text(f"{fault.title}: {fault.bad}{mark}", style="bold")
    yield "  stage", Text(fault.stage)
    yield from ((("  looks" if not number else ""), Text(text)) for number, text in enumerate(fault.looks))
    yield "  why", Text(fault.reason.strip())
    yield "  settles", Text(fault.settled_by)


def _done(one: Step, base: Rulebase) -> tuple[str, Text]:
    price = f"  {_min(one.minutes)}"
    if one.kind != DO:
        return price, Text(
            f"Put right: {fill(base.causes[one.id].title, one.side)}: {'it was that' if one.right else 'was sound'}"
        )
    before, after = one.suspects
    many = f", suspects about {before:.0f} before, {after:.0f} after"
    text = Text(f"{fill(base.checks[one.id].title, one.side)}: {one.says} ")
    return price, text.append(f"Told {told(one)}{many}.", style="bold" if told(one) == "much" else "dim")


def _order(found: Verdict, base: Rulebase) -> Iterator[tuple[str, Text]]:
    if found.early:
        step, stage, reason, own = found.early
        title = fill(base.checks[step.id].title, step.side)
        there = " And there it was." if own else ""
        yield "  -", Text(f"'{title}' came while nothing of '{stage}' had been looked at. {reason}{there}")
    if found.idle:
        titles = "; ".join(fill(base.checks[one.id].title, one.side) for one in found.idle)
        yield "  -", Text(f"Told nothing, and cost {_min(sum(one.minutes for one in found.idle))}: {titles}")


def _move(move: Move, base: Rulebase) -> tuple[str, Text]:
    price = f"  {_min(move.minutes)}"
    if move.kind == "check":
        return price, Text(fill(base.checks[move.name].title, move.side))
    title = fill(base.causes[move.name].title, move.side)
    if move.kind == "fix":
        return price, Text(f"put right: {title}")
    check = fill(base.checks[base.causes[move.name].settled_by].title, move.side)
    return price, Text(f"{check}: it speaks {'for' if move.right else 'against'} '{title}'")


def lesson_opening(base: Rulebase) -> Group:
    """Return the lesson's first lines."""
    return Group(
        heading(f"THE READINESS ORDER, {len(base.areas)} stages"),
        Rows(
            [("", Text("What must be right before what: each stage is judged only once those before it are right."))],
            label=2,
        ),
        Rows([("", Text(MODEL, style="dim"))], label=2),
    )


def stage(number: int, taught: Stage) -> Group:
    """Return a stage of the lesson: what it is, why it comes here, what is looked at."""
    rows = [
        (
            "  -",
            Text(f"{one.title}: {one.check}" if one.title != one.check else one.title).append(
                f" ({minutes(one.minutes)})", style="dim"
            ),
        )
        for one in taught.looked
    ]
    return Group(
        Text(),
        heading(f"STAGE {number}: {taught.title}"),
        Rows([("  what", Text(taught.reason)), ("  then", Text(taught.before))], label=8),
        Rows(rows, label=4),
    )


def shown(taught: Stage, seen: set[str], base: Rulebase) -> Group:
    """Return the stage's first check on a bike that fails it; cautions not in `seen` are shown."""
    if taught.shown is None:
        return Group(Text("The virtual bike has no fault that shows here.", style="dim"))
    one = taught.shown
    fresh = [base.cautions[name].says for name in one.cautions if name not in seen]
    return Group(
        Text(),
        heading(f"ON A BIKE: {one.title} ({minutes(one.minutes)})"),
        cautions(fresh),
        Rows([("  -", Text(text, style="dim")) for text in one.steps], label=4),
        Rows([("  →", Text(one.answer.says, style="bold"))], label=4),
        Rows([("   ", Text(line)) for line in readings(one.answer.readings, base)], label=4),
        Rows([("  it was", Text(one.fault)), ("  why", Text(one.reason.strip()))], label=10),
    )
