"""A finished round, as reported to the apprentice: a record with all words filled in, ready to draw."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.practice.describe import title_of
from advisor.practice.levels import BikeId
from advisor.practice.replies import Reply
from advisor.practice.round import CHECK, FIX, RIGHT, Round, Step
from advisor.practice.verdict import Heard, Planted, Verdict, looks_together, told
from advisor.rulebase.model import Rulebase
from advisor.sides import Sided, fill


class CheckReviewed(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A check: what it said, how much it told (as in `verdict`), and the fault's probability before and after it."""

    title: str
    minutes: float
    says: str
    told: str
    before: float
    after: float


class RepairReviewed(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A repair: whether it was right, and the faults that it cured under another name or on the other side."""

    title: str
    minutes: float
    right: bool
    cured_besides: tuple[str, ...]


class Guessed(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A cause was acted on with nothing looked at."""


class InVain(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A repair on something sound: its minutes, and if it took new parts.

    `one_side` is one where only the other side needed it. `likely` is the cause's probability before it.
    """

    title: str
    minutes: float
    new_parts: bool
    one_side: bool
    likely: float
    blind: bool


class Luck(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A right repair for which nothing had spoken; `likely` is the cause's probability before it."""

    title: str
    likely: float


class TooEarly(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A check before an earlier stage: that stage, why it comes first, and if a fault lay `there`."""

    title: str
    stage: str
    reason: str
    there: bool


class ToldNothing(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Checks that told nothing of the fault, and the minutes they took together."""

    titles: tuple[str, ...]
    minutes: float


OrderMistake = Guessed | InVain | Luck | TooEarly | ToldNothing


class PlanCheck(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A plain check of the planner's, and what it said."""

    title: str
    minutes: float
    says: str


class PlanLook(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A deciding check of the planner's, how many `times` it was done, and whether it spoke for the cause."""

    title: str
    minutes: float
    times: int
    cause: str
    speaks_for: bool


class PlanRepair(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A cause that the planner put right."""

    title: str
    minutes: float


PlanStep = PlanCheck | PlanLook | PlanRepair


class Review(Reply, frozen=True, kw_only=True):
    """How a round went. `ending`, `plan_failed`, `good_order` and `plan_in_vain` are as in `verdict.Verdict`.

    `named` is what was named, if that was not right. `minutes` are those to the cause, without right repairs except
    those that were `luck`; `all_found` and `plan_found` say whether all faults were found in them.
    """

    bike: BikeId
    ending: str
    clock: float
    named: tuple[str, ...]
    planted: tuple[Planted, ...]
    steps: tuple[CheckReviewed | RepairReviewed, ...]
    order: tuple[OrderMistake, ...]
    good_order: bool
    plan_in_vain: int
    plan_failed: str
    plan: tuple[PlanStep, ...]
    minutes: float
    all_found: bool
    luck: bool
    plan_minutes: float
    plan_found: bool


def review(found: Verdict, round_: Round) -> Review:
    """Return how a round went, in words."""
    base = round_.base
    return Review(
        bike=round_.bike,
        ending=found.ending,
        clock=round_.minutes,
        named=_titles(round_.named, base) if found.outcome != RIGHT else (),
        planted=found.planted,
        steps=tuple(_step(one, base) for one in found.steps),
        order=tuple(_order(found, base)),
        good_order=found.good_order,
        plan_in_vain=found.plan_in_vain,
        plan_failed=found.plan_failed,
        plan=tuple(_plan_step(one, times, base) for one, times in looks_together(found.plan, base)),
        minutes=found.minutes,
        all_found=found.outcome == RIGHT,
        luck=bool(found.blind),
        plan_minutes=found.plan_minutes,
        plan_found=found.plan_found,
    )


def _titles(causes: Sequence[Sided], base: Rulebase) -> tuple[str, ...]:
    return tuple(fill(base.causes[cause].title, side) for cause, side in causes)


def _step(one: Step, base: Rulebase) -> CheckReviewed | RepairReviewed:
    title = title_of(one, base)
    if one.kind == CHECK:
        before, after = one.chances
        return CheckReviewed(
            title=title, minutes=one.minutes, says=one.says, told=told(one), before=before, after=after
        )
    besides = [key for key in one.cured if key != (one.id, one.side)]
    return RepairReviewed(title=title, minutes=one.minutes, right=one.right, cured_besides=_titles(besides, base))


def _order(found: Verdict, base: Rulebase) -> Iterator[OrderMistake]:
    """Yield what was wrong with the order; a guess is not also listed as luck."""
    if found.guessed:
        yield Guessed()
    yield from (_in_vain(one, base) for one in found.in_vain)
    for one in () if found.guessed else found.blind:
        yield Luck(title=title_of(one, base), likely=one.likely)
    if found.early:
        early = found.early
        yield TooEarly(title=title_of(early.step, base), stage=early.stage, reason=early.reason, there=early.there)
    if found.told_nothing:
        yield ToldNothing(
            titles=tuple(title_of(one, base) for one in found.told_nothing),
            minutes=sum(one.minutes for one in found.told_nothing),
        )


def _in_vain(one: Step, base: Rulebase) -> InVain:
    return InVain(
        title=title_of(one, base),
        minutes=one.in_vain,
        new_parts=base.causes[one.id].new_parts,
        one_side=one.right,
        likely=one.likely,
        blind=one.blind,
    )


def _plan_step(move: Heard, times: int, base: Rulebase) -> PlanStep:
    if move.kind == CHECK:
        return PlanCheck(title=fill(base.checks[move.name].title, move.side), minutes=move.minutes, says=move.says)
    cause = fill(base.causes[move.name].title, move.side)
    if move.kind == FIX:
        return PlanRepair(title=cause, minutes=move.minutes)
    check = fill(base.checks[base.causes[move.name].settled_by].title, move.side)
    return PlanLook(title=check, minutes=move.minutes, times=times, cause=cause, speaks_for=move.right)
