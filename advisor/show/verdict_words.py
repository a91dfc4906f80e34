"""How a practice round went, in words: what a terminal draws, and a page."""

from collections.abc import Iterator, Sequence
from functools import singledispatch
from textwrap import shorten

from advisor.practice import review as told
from advisor.show.words import minutes, per_cent

MOST_MOVES = 14  # moves of the planner to show
FEW_WORDS = 60  # letters of a plain check's result in the planner's list
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


def done(one: told.CheckReviewed | told.RepairReviewed) -> tuple[str, str]:
    """Return what a step was and brought, and how much it told of the fault ('' of a repair)."""
    if isinstance(one, told.CheckReviewed):
        where = f"the fault {per_cent(one.before)} likely before, {per_cent(one.after)} after"
        return f"{one.title}: {one.says}", f"{TOLD[one.told]}, {where}."
    other = "; ".join(one.cured_besides)
    what = f"it was: {other}" if other else "it was that" if one.right else "was sound"
    return f"Put right: {one.title}: {what}", ""


@singledispatch
def mistake(one: object) -> str:
    """Return what was wrong with the order."""
    msg = f"no words for {type(one).__name__}"
    raise TypeError(msg)


@mistake.register
def _(_one: told.Guessed) -> str:
    return "A cause was acted on with nothing looked at. Right or not, that was a guess."


@mistake.register
def _(one: told.InVain) -> str:
    parts = ", and new parts" if one.new_parts else ""
    cost = f"'{one.title}', {whole(one.minutes)}{parts} for nothing."
    if one.one_side:
        return f"On the sound side of {cost}"
    known = f"It was {per_cent(one.likely)} likely by what was known"
    return f"Put right, though it was sound: {cost} {known}{': nothing had spoken for it' if one.blind else ''}."


@mistake.register
def _(one: told.Luck) -> str:
    before = f"{per_cent(one.likely)} likely by what was known"
    return f"Nothing had spoken for '{one.title}' ({before}). That it was so was luck."


@mistake.register
def _(one: told.TooEarly) -> str:
    there = " And there it was." if one.there else ""
    return f"'{one.title}' came while nothing of '{one.stage}' had been looked at. {one.reason}{there}"


@mistake.register
def _(one: told.ToldNothing) -> str:
    return f"Told nothing, and cost {whole(one.minutes)}: {'; '.join(one.titles)}"


def planner(found: told.Review) -> str:
    """Return the heading over what the planner did: 'a good order' only if it was one."""
    if found.good_order:
        return "A GOOD ORDER: what the planner did on the same bike"
    count = found.plan_in_vain
    in_vain = f"{'a repair' if count == 1 else f'{count} repairs'} in vain" if count else ""
    but = " and ".join(filter(None, (in_vain, PLAN_FAILED.get(found.plan_failed))))
    return f"WHAT THE PLANNER DID, no order to follow: {but}"


def moves(plan: Sequence[told.PlanStep]) -> Iterator[tuple[str, str]]:
    """Yield the steps of the planner with their minutes: of many the first ones, and those that led to the end."""
    half = MOST_MOVES // 2
    left_out = plan[half : len(plan) - half] if len(plan) > MOST_MOVES + 1 else ()
    for number, one in enumerate(plan):
        if left_out and number == half:
            yield "...", f"{len(left_out)} steps more, {whole(sum(each.minutes for each in left_out))}"
        if not left_out or not half <= number < len(plan) - half:
            yield whole(one.minutes), _move(one)


def _move(one: told.PlanStep) -> str:
    if isinstance(one, told.PlanCheck):
        return f"{one.title}: {_few_words(one.says)}"
    if isinstance(one, told.PlanRepair):
        return f"put right: {one.title}"
    again = f" ({one.times} looks)" if one.times > 1 else ""
    speaks = "for" if one.speaks_for else "against"
    return f"{one.title}{again}: it speaks {speaks} '{one.cause}'"


def _few_words(says: str) -> str:
    """Return the first sentence of a result, shortened if long."""
    return shorten(says.partition(". ")[0].rstrip("."), FEW_WORDS, placeholder=" ...")


def compared(found: told.Review) -> str:
    """Return both times to the cause."""
    you = f"you {whole(found.minutes)}{_all(found.all_found)}"
    planner = f"planner {whole(found.plan_minutes)}{_all(found.plan_found)}"
    but = ", but for those for which nothing had spoken" if found.luck else ""
    return f"To the cause, right repairs left out{but}: {you}; {planner}."


def _all(found: bool) -> str:
    return "" if found else " and not all found"


def whole(figure: float) -> str:
    """Return minutes without a fraction."""
    return minutes(round(figure))
