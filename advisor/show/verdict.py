"""How a practice round went, on a terminal; and the lesson of the readiness order."""

from collections.abc import Iterator, Sequence
from textwrap import shorten
from typing import TypeVar

from msgspec.structs import replace
from rich.console import Group, RenderableType
from rich.text import Text

from advisor.practice.lesson import Stage
from advisor.practice.round import DO, GIVEN_UP, HALF, RIGHT, Round, Step
from advisor.practice.verdict import Heard, Planted, Verdict, told
from advisor.rulebase.model import Rulebase
from advisor.scoring.game import Move
from advisor.show.practice import MODEL, again, care, note, readings, repaired
from advisor.show.screen import Rows, heading
from advisor.show.words import minutes, per_cent
from advisor.sides import Sided, fill

M = TypeVar("M", bound=Move)
FEW_WORDS = 60  # letters of what a plain check of the planner's said
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
    yield heading(f"{_outcome(found)}, {minutes(now.minutes)} on the clock")
    if now.named and found.outcome != RIGHT:
        named = "; ".join(fill(base.causes[cause].title, side) for cause, side in now.named)
        yield Rows([("  named", Text(named))], label=10)
    for fault in found.planted:
        yield Rows(_planted(fault, found), label=10)
    yield Text()
    yield heading("WHAT YOU DID")
    yield Rows([_done(one, base) for one in found.steps] or [("  -", Text("nothing"))], label=10)
    if found.early or found.idle or found.guessed or found.in_vain or found.blind:
        yield Text()
        yield heading("WHERE THE ORDER WENT WRONG")
        yield Rows(list(_order(found, base)), label=4)
    yield Text()
    yield heading(_planner(found))
    yield Rows(list(_moves(found.plan, base)), label=10)
    yield Rows([("  →", Text(_compared(found)))], label=4)
    yield Text()
    yield note(f"The same bike again: {again(now)}")


def _outcome(found: Verdict) -> str:
    if found.outcome == RIGHT and found.wrong_side:
        return "CURED, but the wrong side was named"
    wrong = "WRONG: the right fault on the wrong side" if found.wrong_side else "WRONG"
    return SAYS.get(found.outcome, wrong)


def _planner(found: Verdict) -> str:
    """Return the heading over what the planner did: a good order only where it was one."""
    in_vain = sum(one.kind == "fix" and not one.right for one in found.plan)
    if found.good_order:
        return "A GOOD ORDER: what the planner did on the same bike"
    repairs = "a repair" if in_vain == 1 else f"{in_vain} repairs"
    lost = "it took longer than you" if found.beaten else "it was lost too" if not found.found else "it was lost"
    reasons = [f"{repairs} in vain"] if in_vain else []
    if not found.plan_found:
        reasons.append("it did not find all" if found.found else "it was lost too")
    but = " and ".join(reasons) or lost
    return f"WHAT THE PLANNER DID, no order to follow: {but}"


def _moves(moves: Sequence[Heard], base: Rulebase) -> Iterator[tuple[str, Text]]:
    plan = _together(moves, base)
    half = MOST_MOVES // 2
    left_out = len(plan) - 2 * half
    for number, one in enumerate(plan):
        if left_out <= 1 or not half <= number < len(plan) - half:
            yield _move(*one, base)
        elif number == half:
            took = sum(move.minutes for move, _ in plan[half : len(plan) - half])
            yield "  ...", Text(f"{left_out} steps more, {_min(took)}")


def _together(moves: Sequence[M], base: Rulebase) -> list[tuple[M, int]]:
    """Return the moves with how often each was done: a look that is taken once more before a repair is one line."""
    found: list[tuple[M, int]] = []
    for one in moves:
        before, times = found[-1] if found else (None, 0)
        again = before is not None and one.kind == "settle" and _looked(before, base) == _looked(one, base)
        if again and before and (before.kind == "check" or (before.name, before.side) == (one.name, one.side)):
            found[-1] = replace(one, minutes=before.minutes + one.minutes), times + 1
        else:
            found.append((one, 1))
    return found


def _looked(move: Move, base: Rulebase) -> Sided | None:
    """Return the check that a move does, on its side; None for a repair."""
    if move.kind == "fix":
        return None
    check = base.checks[move.name if move.kind == "check" else base.causes[move.name].settled_by]
    return check.id, move.side if check.sided else None


def _compared(found: Verdict) -> str:
    you = f"you {_min(found.minutes)}{'' if found.outcome == RIGHT else ' and not all found'}"
    planner = f"planner {_min(found.plan_minutes)}{'' if found.plan_found else ' and not all found'}"
    but = ", but for those for which nothing had spoken" if found.blind else ""
    return f"To the cause, right repairs left out{but}: {you}; {planner}."


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
        other = "; ".join(
            fill(base.causes[cause].title, side) for cause, side in one.cured if (cause, side) != (one.id, one.side)
        )
        what = f"it was: {other}" if other else "it was that" if one.right else "was sound"
        return price, Text(f"Put right: {repaired(one, base)}: {what}")
    before, after = map(per_cent, one.given)
    text = Text(f"{fill(base.checks[one.id].title, one.side)}: {one.says} ")
    much, where = told(one), f", the fault {before} likely before, {after} after"
    says = f"{much.capitalize()}{where}." if much.startswith("misled") else f"Told {much}{where}."
    return price, text.append(says, style="bold" if one.settled or much == "much" else "dim")


def _order(found: Verdict, base: Rulebase) -> Iterator[tuple[str, Text]]:
    if found.guessed:
        yield "  -", Text("A cause was acted on with nothing looked at. Right or not, that was a guess.")
    yield from (("  -", Text(_in_vain(one, base))) for one in found.in_vain)
    for one in () if found.guessed else found.blind:
        before = f"{per_cent(one.likely)} likely by what was known"
        yield "  -", Text(f"Nothing had spoken for '{repaired(one, base)}' ({before}). That it was so was luck.")
    if found.early:
        step, stage, reason, own = found.early
        title = fill(base.checks[step.id].title, step.side)
        there = " And there it was." if own else ""
        yield "  -", Text(f"'{title}' came while nothing of '{stage}' had been looked at. {reason}{there}")
    if found.idle:
        titles = "; ".join(fill(base.checks[one.id].title, one.side) for one in found.idle)
        yield "  -", Text(f"Told nothing, and cost {_min(sum(one.minutes for one in found.idle))}: {titles}")


def _in_vain(one: Step, base: Rulebase) -> str:
    """Return what a repair on something sound cost, and whether anything had spoken for it."""
    parts = ", and new parts" if base.causes[one.id].new_parts else ""
    where = "On the sound side of" if one.right else "Put right, though it was sound:"
    known = "" if one.right else f" It was {per_cent(one.likely)} likely by what was known"
    blind = f"{known}: nothing had spoken for it." if one.blind and known else f"{known}." if known else ""
    return f"{where} '{repaired(one, base)}', {_min(one.in_vain)}{parts} for nothing.{blind}"


def _move(move: Heard, times: int, base: Rulebase) -> tuple[str, Text]:
    price = f"  {_min(move.minutes)}"
    again = f" ({times} looks)" if times > 1 else ""
    if move.kind == "check":
        return price, Text(f"{fill(base.checks[move.name].title, move.side)}: {_few_words(move.says)}")
    title = fill(base.causes[move.name].title, move.side)
    if move.kind == "fix":
        return price, Text(f"put right: {title}")
    check = fill(base.checks[base.causes[move.name].settled_by].title, move.side)
    return price, Text(f"{check}{again}: it speaks {'for' if move.right else 'against'} '{title}'")


def _few_words(says: str) -> str:
    """Return the first sentence of a result, shortened where it is long."""
    return shorten(says.partition(". ")[0].rstrip("."), FEW_WORDS, placeholder=" ...")


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


def stage(number: int, taught: Stage, seen: set[str], base: Rulebase) -> Group:
    """Return a stage of the lesson: what it is, why it comes here, what is looked at, and with which care.

    Cautions in `seen` go by their names.
    """
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
        *_care(taught.cautions, seen, base),
    )


def _care(names: Sequence[str], seen: set[str], base: Rulebase) -> Iterator[RenderableType]:
    return care([one for one in names if one not in seen], [one for one in names if one in seen], base)


def shown(taught: Stage, seen: set[str], base: Rulebase) -> Group:
    """Return the stage's first check on a bike that fails it; cautions in `seen` go by their names."""
    if taught.shown is None:
        return Group(Text("The virtual bike has no fault that shows here.", style="dim"))
    one = taught.shown
    return Group(
        Text(),
        heading(f"ON A BIKE: {one.title} ({minutes(one.minutes)})"),
        *_care(one.cautions, seen, base),
        Rows([("  -", Text(text, style="dim")) for text in one.steps], label=4),
        Rows([("  →", Text(one.answer.says, style="bold"))], label=4),
        Rows([("   ", Text(line)) for line in readings(one.answer.readings, base)], label=4),
        Rows([("  it was", Text(one.fault)), ("  why", Text(one.reason.strip()))], label=10),
    )
