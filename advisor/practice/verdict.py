"""How a practice round went: what was planted, what each step told and cost, and what a good order would have been."""

import math
from collections.abc import Mapping, Sequence

import msgspec

from advisor.observer.bike_view import view
from advisor.observer.senses import sensed
from advisor.plan.deciding import settling
from advisor.practice.round import DO, FIX, HALF, RIGHT, Round, Step
from advisor.rulebase.model import Check, Rulebase
from advisor.scoring.game import Move, play
from advisor.scoring.hidden_bikes import cause_of
from advisor.scoring.log_odds import raised
from advisor.sides import Side, Sided, either, fill
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant

MUCH, LITTLE = 1.0, 0.15  # bits of odds from which a check told much of the fault, or anything: judgement
MANY, FEW = 5, 2  # points of the per cent as they are shown, without which it did not: judgement
ALL = "it all: this settles it"
GOOD_MINUTES = 90.0  # beyond which no order is called good: judgement
MOST_LOOKS = 4
OFTEN = 0.5
HOW_BAD = ((0.75, "severe"), (0.5, "plain to find"), (0.0, "slight"))


class Planted(msgspec.Struct, frozen=True, kw_only=True):
    """A fault that was there: how bad in words, what it shows by itself, why, and the check that settles it."""

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


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """How a round ended. Minutes are those to the cause, of the apprentice and of the planner.

    Repairs that were right are left out of them, but for blind ones: those were how it was looked for.

    `early` is the first check that came before its turn, with the stage that comes before it and why; `in_vain` are
    the repairs on something sound, `blind` the right ones for which nothing had spoken; `guessed` whether a cause was
    acted on with nothing looked at, `wrong_side` a right fault on the wrong side (put right there, it may be cured).
    """

    outcome: str
    planted: tuple[Planted, ...]
    steps: tuple[Step, ...]
    minutes: float
    early: tuple[Step, str, str, bool] | None
    idle: tuple[Step, ...]
    in_vain: tuple[Step, ...]
    blind: tuple[Step, ...]
    plan: tuple[Heard, ...]
    plan_minutes: float
    plan_found: bool
    wrong_side: bool
    guessed: bool

    @property
    def found(self) -> bool:
        """Whether the apprentice found it all: on its side, and by looking."""
        return self.outcome == RIGHT and not self.wrong_side and not self.guessed

    @property
    def beaten(self) -> bool:
        """Whether the apprentice's own order was the shorter one, and no luck."""
        return self.found and not self.blind and self.minutes < self.plan_minutes

    @property
    def good_order(self) -> bool:
        """Whether the planner found all, put right nothing in vain, and took no longer than is good."""
        in_vain = any(one.kind == "fix" and not one.right for one in self.plan)
        return self.plan_found and not in_vain and self.plan_minutes <= GOOD_MINUTES and not self.beaten


def told(step: Step) -> str:
    """Return in words how much a check told of the fault: by its odds, and by the per cent that stand beside it."""
    if step.settled:
        return ALL
    bits, points = raised(*step.given), round(100 * step.given[1]) - round(100 * step.given[0])
    if abs(bits) >= MUCH and abs(points) >= MANY:
        return "much" if bits > 0 else "misled"
    if abs(bits) >= LITTLE and abs(points) >= FEW:
        return "little" if bits > 0 else "misled a little"
    return "nothing"


def verdict(now: Round) -> Verdict:
    """Return how an ended round went; the planner is let loose on the same bike as it came in."""
    stand = now.fresh_stand()
    stand.complain()
    moves = play(stand)
    repairs = [one for one in now.steps if one.kind == FIX]
    right = [one for one in repairs if one.right]
    found = {key for one in right for key in one.cured} | (set(now.named) & set(now.hidden.causes))
    known = sum(one.minutes - one.in_vain for one in right if not one.blind)
    planned = sum(one.minutes for one in moves if not (one.kind == "fix" and one.right))
    sides_aside = {cause for cause, _ in now.hidden.causes}
    return Verdict(
        outcome=now.over,
        planted=tuple(_planted(fault, now, found) for fault in now.hidden.faults),
        steps=tuple(now.steps),
        minutes=now.minutes - known,
        early=_early(now),
        idle=tuple(one for one in now.steps if one.kind == DO and told(one) == "nothing"),
        in_vain=tuple(one for one in repairs if one.in_vain),
        blind=tuple(one for one in right if one.blind),
        plan=_heard(moves, stand.heard),
        plan_minutes=planned,
        plan_found=not stand.left,
        wrong_side=any(one.wrong_side for one in right)
        or (now.over not in {RIGHT, HALF} and any(cause in sides_aside for cause, _ in now.named)),
        guessed=bool(now.named or right) and all(one.kind == FIX for one in now.steps),
    )


def _heard(moves: Sequence[Move], heard: Mapping[float, str]) -> tuple[Heard, ...]:
    """Return the planner's steps with what its plain checks said; `heard` is by the minutes on its clock."""
    found, clock = [], 0.0
    for one in moves:
        clock += one.minutes
        says = next((text for at, text in heard.items() if math.isclose(at, clock)), "") if one.kind == "check" else ""
        found.append(Heard(one.kind, one.name, one.side, one.right, one.minutes, says))
    return tuple(found)


def _planted(fault: tuple[str, Side, float], now: Round, found: set[Sided]) -> Planted:
    (cause, side), severity = cause_of(fault), fault[2]
    page, base = now.base.causes[cause], now.base
    return Planted(
        cause=cause,
        side=side,
        title=fill(page.title, side),
        bad=next(word for least, word in HOW_BAD if severity >= least),
        stage=_stage(base.order_of(page.place), base),
        looks=looks(*fault, base),
        reason=either(page.reason, side),
        settled_by=fill(base.checks[page.settled_by].title, side),
        found=(cause, side) in found,
    )


def looks(cause: str, side: Side, severity: float, base: Rulebase) -> tuple[str, ...]:
    """Return in plain words what this fault shows by itself, what settles it first, then by how often it does."""
    page = base.causes[cause]
    often = {link.sign: link.strength(base.words) for link in page.links}
    among = {sign for sign, chance in often.items() if chance >= OFTEN}
    settles = settling(page, side, base)
    seen = sensed(view(plant(Bike(), cause, side, severity)), among | {sign for sign, _ in settles})
    there = sorted(
        (key for key, yes in seen.items() if yes), key=lambda key: (key not in settles, -often.get(key[0], 0))
    )
    return tuple(dict.fromkeys(fill(base.signs[sign].plain, at) for sign, at in there))[:MOST_LOOKS]


def _stage(place: int, base: Rulebase) -> str:
    return base.areas[min(place, len(base.areas) - 1)].title


def _relies(check: Check, base: Rulebase) -> bool:
    """Whether a check's stage matters: all but questions, and of balance only what relies on the stages before."""
    place = base.order_of(check.place)
    if check.how == "told" or place >= len(base.areas):
        return False
    area = base.areas[place]
    signs = {shown.sign for outcome in check.outcomes for shown in outcome.shows}
    return bool(area.items) or bool((signs | set(check.takes)) & set(area.relies))


def _early(now: Round) -> tuple[Step, str, str, bool] | None:
    """Return the first check before which an earlier stage was left out that mattered.

    That is a stage in which a fault lay, or any, where balance was read that relies on it.
    """
    base = now.base
    faulty = {base.order_of(base.causes[cause].place) for cause, _ in now.hidden.causes}
    asked = [one for one in now.steps if one.kind == DO and _relies(base.checks[one.id], base)]
    seen: set[int] = set()
    late: tuple[Step, int] | None = None
    for step in asked:
        place = base.order_of(base.checks[step.id].place)
        missing = [stage for stage in range(place) if stage not in seen and base.areas[stage].items]
        own = [stage for stage in missing if stage in faulty]
        relies = place < len(base.areas) and bool(base.areas[place].relies)
        if own or (relies and missing and late is None):
            late = step, (own or missing)[0]
        if own:
            break
        seen.add(place)
    if late is None:
        return None
    area = base.areas[late[1]]
    return late[0], area.title, area.reason, late[1] in faulty
