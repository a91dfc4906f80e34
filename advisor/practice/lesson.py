"""The readiness order as a lesson: each stage, why it comes before the next, its first check on a bike that fails."""

from collections.abc import Iterator

import msgspec
import numpy as np

from advisor.observer.bike_view import View, view
from advisor.observer.senses import sense
from advisor.rulebase.model import Rulebase
from advisor.rulebase.table_records import Area
from advisor.scoring.check_result import Answer, answer
from advisor.sides import Side, fill, sides_of
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED, plant

SEED = 1  # for what a person says and reads in the lesson


class LookedAt(msgspec.Struct, frozen=True, kw_only=True):
    """One thing of a stage: what must be right, the check that tells, its minutes (for both sides, if it has two)."""

    title: str
    check: str
    minutes: float


class Example(msgspec.Struct, frozen=True, kw_only=True):
    """A check done on a bike that fails it: the steps, the result and readings, and the planted fault."""

    title: str
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    minutes: float
    answer: Answer
    fault: str
    reason: str


class Stage(msgspec.Struct, frozen=True, kw_only=True):
    """A stage of the readiness order as it is taught: why it comes `before` the next, what is looked at in it.

    `cautions` are those of all its checks. `example` is None if no fault of the virtual bike shows here.
    """

    title: str
    reason: str
    before: str
    looked_at: tuple[LookedAt, ...]
    cautions: tuple[str, ...]
    example: Example | None


def stage(place: int, base: Rulebase) -> Stage:
    """Return a stage, the first for 0."""
    area = base.areas[place]
    items = [(item.title, item.check) for item in area.items] or [
        (fill(check.title, "left"), check.id) for check in base.checks.values() if set(check.takes) & set(area.relies)
    ]
    return Stage(
        title=area.title,
        reason=area.reason,
        before=area.before_next,
        looked_at=tuple(_looked_at(title, check, base) for title, check in items),
        cautions=tuple(dict.fromkeys(one for _, check in items for one in base.checks[check].cautions)),
        example=_example(area, base),
    )


def _looked_at(title: str, check: str, base: Rulebase) -> LookedAt:
    page = base.checks[check]
    return LookedAt(
        title=title,
        check=fill(page.title, "left") if not page.sided else page.title.replace("{side}", "left, then right"),
        minutes=page.minutes * len(sides_of(page.sided)),
    )


def _wrong(area: Area, base: Rulebase) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the checks of a stage in order, each with the signs that something is wrong."""
    for item in area.items:
        yield item.check, item.wrong
    for check in () if area.items else base.checks.values():
        if set(check.takes) & set(area.relies):
            yield check.id, tuple({shown.sign for outcome in check.outcomes for shown in outcome.shows if shown.seen})


def _example(area: Area, base: Rulebase) -> Example | None:
    """Return the first check of the stage that a fault of the same stage fails on the virtual bike."""
    for check, wrong in _wrong(area, base):
        for cause in sorted(set(CAUSES) & set(base.causes)):
            page = base.causes[cause]
            if page.place not in area.places or not {link.sign for link in page.links} & set(wrong):
                continue
            side: Side = "left" if cause in ONE_SIDED or cause in ODD_SIDE else None
            seen = view(plant(Bike(), cause, side, 1.0))
            for at in sides_of(base.checks[check].sided):
                if _fails(seen, wrong, base):
                    return _done(check, at, cause, side, seen, base)
    return None


def _fails(seen: View, wrong: tuple[str, ...], base: Rulebase) -> bool:
    return any(sense(seen, sign, at) for sign in wrong for at in sides_of(base.signs[sign].sided))


def _done(check: str, at: Side, cause: str, side: Side, seen: View, base: Rulebase) -> Example:
    page = base.checks[check]
    return Example(
        title=fill(page.title, at),
        steps=tuple(fill(step, at) for step in page.steps),
        cautions=page.cautions,
        minutes=page.minutes,
        answer=answer(base, check, at, seen, np.random.default_rng(SEED), slips=0.0),
        fault=fill(base.causes[cause].title, side),
        reason=base.causes[cause].reason,
    )
