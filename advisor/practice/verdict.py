"""How a practice round went: what was planted, what each step told and cost, and what a good order would have been."""

import math
from collections.abc import Mapping, Sequence
from typing import TypeVar

import msgspec
from msgspec.structs import replace

from advisor.observer.bike_view import view
from advisor.observer.senses import sensed
from advisor.plan.deciding import settling
from advisor.practice.round import CHECK, FIX, GIVEN_UP, RIGHT, WRONG, Round, Step
from advisor.rulebase.model import Check, Rulebase
from advisor.scoring.game import Move, play
from advisor.scoring.hidden_bikes import cause_of
from advisor.scoring.log_odds import raised
from advisor.sides import Side, Sided, either, fill
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant

# Endings besides the outcomes of a round: the right cause was named, or put right, on the wrong side.
WRONG_SIDE, CURED = "wrong side", "cured"
ALL, MUCH, LITTLE, NOTHING = "all", "much", "little", "nothing"  # how much a check told of the fault
MISLED, MISLED_A_LITTLE = "misled", "misled a little"
MUCH_BITS, LITTLE_BITS = 1.0, 0.15  # of odds, from which a check told much, or anything at all: judgement
MUCH_POINTS, LITTLE_POINTS = 5, 2  # percentage points as shown, also needed for that: judgement
LONGER, LOST, LOST_TOO, NOT_ALL = "longer", "lost", "lost too", "not all"  # why not to follow the planner's order
GOOD_MINUTES = 90.0  # beyond which no order is called good: judgement
MOST_LOOKS = 4  # signs by which a planted fault is described
OFTEN = 0.5
HOW_BAD = ((0.75, "severe"), (0.5, "plain to find"), (0.0, "slight"))
M = TypeVar("M", bound=Move)


class Planted(msgspec.Struct, frozen=True, kw_only=True):
    """A fault that was there: how bad in words, what it shows alone, why, and the check that settles it."""

    cause: str
    side: Side
    title: str
    bad: str
    stage: str
    looks: tuple[str, ...]
    reason: str
    settled_by: str
    found: bool


class Heard(Move, frozen=True):
    """A step of the planner, with the words of a plain check's result."""

    says: str = ""


class Early(msgspec.Struct, frozen=True, kw_only=True):
    """The first check that came before its turn: the stage that comes before it, why, and if a fault lay there."""

    step: Step
    stage: str
    reason: str
    there: bool


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """How a round ended. Minutes are those to the cause, of the apprentice and of the planner.

    They leave out right repairs, except blind ones: those were part of the search.

    `told_nothing` are the checks that did not; `in_vain` the repairs on something sound, `blind` the right ones for
    which nothing had spoken; `guessed` whether a cause was acted on with nothing looked at, `wrong_side` a right fault
    on the wrong side (put right there, it may be cured).
    """

    outcome: str
    planted: tuple[Planted, ...]
    steps: tuple[Step, ...]
    minutes: float
    early: Early | None
    told_nothing: tuple[Step, ...]
    in_vain: tuple[Step, ...]
    blind: tuple[Step, ...]
    plan: tuple[Heard, ...]
    plan_minutes: float
    plan_found: bool
    wrong_side: bool
    guessed: bool

    @property
    def ending(self) -> str:
        """How it ended: the outcome, CURED on the wrong side, or WRONG_SIDE."""
        if self.outcome == RIGHT:
            return CURED if self.wrong_side else RIGHT
        return WRONG_SIDE if self.outcome == WRONG and self.wrong_side else self.outcome

    @property
    def found(self) -> bool:
        """Whether the apprentice found it all: on its side, and by looking."""
        return self.outcome == RIGHT and not self.wrong_side and not self.guessed

    @property
    def beaten(self) -> bool:
        """Whether the apprentice's own order was the shorter one, and no luck."""
        return self.found and not self.blind and self.minutes < self.plan_minutes

    @property
    def plan_in_vain(self) -> int:
        """How many repairs the planner did on sound parts."""
        return sum(one.kind == FIX and not one.right for one in self.plan)

    @property
    def good_order(self) -> bool:
        """Whether the planner found all, put right nothing in vain, and took no longer than is good."""
        return self.plan_found and not self.plan_in_vain and self.plan_minutes <= GOOD_MINUTES and not self.beaten

    @property
    def plan_failed(self) -> str:
        """Why the planner's order is not one to follow, apart from repairs in vain: '' if there is no other reason."""
        if not self.plan_found:
            return NOT_ALL if self.found else LOST_TOO
        if self.good_order or self.plan_in_vain:
            return ""
        return LONGER if self.beaten else LOST if self.found else LOST_TOO


def told(step: Step) -> str:
    """Return how much a check told of the fault: by its odds, and by the percentages shown beside it."""
    if step.settled:
        return ALL
    before, after = step.chances
    bits, points = raised(before, after), round(100 * after) - round(100 * before)
    if abs(bits) >= MUCH_BITS and abs(points) >= MUCH_POINTS:
        return MUCH if bits > 0 else MISLED
    if abs(bits) >= LITTLE_BITS and abs(points) >= LITTLE_POINTS:
        return LITTLE if bits > 0 else MISLED_A_LITTLE
    return NOTHING


def verdict(round_: Round) -> Verdict:
    """Return how a finished round went; the planner plays the same bike from the start."""
    stand = round_.fresh_stand()
    stand.complain()
    moves = play(stand)
    repairs = [one for one in round_.steps if one.kind == FIX]
    right = [one for one in repairs if one.right]
    found = {key for one in right for key in one.cured} | (set(round_.named) & set(round_.hidden.causes))
    known = sum(one.minutes - one.in_vain for one in right if not one.blind)
    return Verdict(
        outcome=round_.over,
        planted=tuple(_planted(fault, round_, found) for fault in round_.hidden.faults),
        steps=tuple(round_.steps),
        minutes=round_.minutes - known,
        early=_early(round_),
        told_nothing=tuple(one for one in round_.steps if one.kind == CHECK and told(one) == NOTHING),
        in_vain=tuple(one for one in repairs if one.in_vain),
        blind=tuple(one for one in right if one.blind),
        plan=_heard(moves, stand.heard),
        plan_minutes=sum(one.minutes for one in moves if not (one.kind == FIX and one.right)),
        plan_found=not stand.left,
        wrong_side=_on_wrong_side(round_, right),
        guessed=bool(round_.named or right) and all(one.kind == FIX for one in round_.steps),
    )


def _on_wrong_side(round_: Round, right: Sequence[Step]) -> bool:
    """Whether a fault was put right, or named, on the side that it was not on."""
    hidden = {cause for cause, _ in round_.hidden.causes}
    misnamed = round_.over in {WRONG, GIVEN_UP} and any(cause in hidden for cause, _ in round_.named)
    return misnamed or any(one.wrong_side for one in right)


def _heard(moves: Sequence[Move], heard: Mapping[float, str]) -> tuple[Heard, ...]:
    """Return the planner's steps with what its plain checks said; `heard` is by the minutes on its clock."""
    found, clock = [], 0.0
    for one in moves:
        clock += one.minutes
        says = next((text for at, text in heard.items() if math.isclose(at, clock)), "") if one.kind == CHECK else ""
        found.append(Heard(one.kind, one.name, one.side, one.right, one.minutes, says))
    return tuple(found)


def looks_together(moves: Sequence[M], base: Rulebase) -> list[tuple[M, int]]:
    """Return the moves with how often each was done: a look repeated before a repair counts as one."""
    found: list[tuple[M, int]] = []
    for one in moves:
        before, times = found[-1] if found else (None, 0)
        again = before is not None and one.kind == "settle" and _looked(before, base) == _looked(one, base)
        if again and before and (before.kind == CHECK or (before.name, before.side) == (one.name, one.side)):
            found[-1] = replace(one, minutes=before.minutes + one.minutes), times + 1
        else:
            found.append((one, 1))
    return found


def _looked(move: Move, base: Rulebase) -> Sided | None:
    """Return the check that a move does, on its side; None for a repair."""
    if move.kind == FIX:
        return None
    check = base.checks[move.name if move.kind == CHECK else base.causes[move.name].settled_by]
    return check.id, move.side if check.sided else None


def _planted(fault: tuple[str, Side, float], round_: Round, found: set[Sided]) -> Planted:
    (cause, side), severity = cause_of(fault), fault[2]
    base = round_.base
    page = base.causes[cause]
    return Planted(
        cause=cause,
        side=side,
        title=fill(page.title, side),
        bad=how_bad(severity),
        stage=base.areas[min(base.order_of(page.place), len(base.areas) - 1)].title,
        looks=looks(*fault, base),
        reason=either(page.reason, side),
        settled_by=fill(base.checks[page.settled_by].title, side),
        found=(cause, side) in found,
    )


def how_bad(severity: float) -> str:
    """Return a severity (0 to 1) in words."""
    return next(word for least, word in HOW_BAD if severity >= least)


def looks(cause: str, side: Side, severity: float, base: Rulebase) -> tuple[str, ...]:
    """Return in plain words what this fault shows alone: what settles it first, then by how often."""
    page = base.causes[cause]
    often = {link.sign: link.strength(base.words) for link in page.links}
    among = {sign for sign, chance in often.items() if chance >= OFTEN}
    settles = settling(page, side, base)
    seen = sensed(view(plant(Bike(), cause, side, severity)), among | {sign for sign, _ in settles})
    there = sorted(
        (key for key, yes in seen.items() if yes), key=lambda key: (key not in settles, -often.get(key[0], 0))
    )
    return tuple(dict.fromkeys(fill(base.signs[sign].plain, at) for sign, at in there))[:MOST_LOOKS]


def _early(round_: Round) -> Early | None:
    """Return the first check for which an earlier stage that mattered was skipped.

    That is a stage with a fault in it, or any stage, if a balance reading that relies on it was taken.
    """
    base = round_.base
    faulty = {base.order_of(base.causes[cause].place) for cause, _ in round_.hidden.causes}
    seen: set[int] = set()
    late: tuple[Step, int] | None = None
    for step in round_.steps:
        if step.kind != CHECK or not _relies(base.checks[step.id], base):
            continue
        place = base.order_of(base.checks[step.id].place)
        missing = [stage for stage in range(place) if stage not in seen and base.areas[stage].items]
        own = [stage for stage in missing if stage in faulty]
        if own or (base.areas[place].relies and missing and late is None):
            late = step, (own or missing)[0]
        if own:
            break
        seen.add(place)
    if late is None:
        return None
    area = base.areas[late[1]]
    return Early(step=late[0], stage=area.title, reason=area.reason, there=late[1] in faulty)


def _relies(check: Check, base: Rulebase) -> bool:
    """Whether a check's stage matters: all but questions, and of balance only what relies on the stages before."""
    place = base.order_of(check.place)
    if check.how == "told" or place >= len(base.areas):
        return False
    area = base.areas[place]
    signs = {shown.sign for outcome in check.outcomes for shown in outcome.shows}
    return bool(area.items) or bool((signs | set(check.takes)) & set(area.relies))
