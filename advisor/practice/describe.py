"""A practice round in the words of the pages: the records of `replies`, made from the round."""

from collections.abc import Sequence

from advisor.observer.taken_reading import Taken
from advisor.practice.handbook import asked
from advisor.practice.levels import may_have_two
from advisor.practice.offers import checks_of
from advisor.practice.replies import (
    Care,
    CheckDone,
    Known,
    Opening,
    ReadingTaken,
    RepairDone,
    SideRead,
    StageListed,
    Stages,
)
from advisor.practice.round import CHECK, Round, Step
from advisor.rulebase.model import Rulebase
from advisor.sides import Sided, fill

CONTENT = "I notice nothing. Look it over before I ride off with it."


def opening(round_: Round) -> Opening:
    """Return the bike as it comes in."""
    rider = round_.base.persons[0]
    says = [one for one in round_.complaint if round_.base.signs[one[0]].seen_by == rider]
    found = [one for one in round_.complaint if one not in says]
    return Opening(
        bike=round_.bike,
        may_have_two=may_have_two(round_.bike.level),
        rider=plain(says, round_.base) or (CONTENT,),
        workshop=plain(found, round_.base),
    )


def stages(round_: Round) -> Stages:
    """Return the stages, with how many checks can be done in each."""
    return Stages(
        stages=tuple(
            StageListed(number=number, title=area.title, checks=len(checks_of(number - 1, round_)))
            for number, area in enumerate(round_.base.areas, start=1)
        )
    )


def known(round_: Round) -> Known:
    """Return all that is known so far."""
    return Known(
        clock=round_.minutes,
        told=plain(round_.complaint, round_.base),
        steps=tuple(done(one, round_.base) for one in round_.steps),
    )


def done(step: Step, base: Rulebase) -> CheckDone | RepairDone:
    """Return a step in words."""
    return check_done(step, base) if step.kind == CHECK else repair_done(step, base)


def check_done(step: Step, base: Rulebase) -> CheckDone:
    """Return a check in words."""
    return CheckDone(
        title=title_of(step, base),
        minutes=step.minutes,
        says=step.says,
        how=tuple(fill(one, step.side) for one in base.checks[step.id].steps),
        care=care(step.cautions, step.as_before, base),
        readings=tuple(reading(name, taken, base) for name, taken in step.readings.items()),
    )


def repair_done(step: Step, base: Rulebase) -> RepairDone:
    """Return a repair in words."""
    return RepairDone(
        title=title_of(step, base),
        minutes=step.minutes,
        outcome=step.outcome,
        how=_on_its_sides(base.causes[step.id].remedy, step),
        care=care(step.cautions, step.as_before, base),
        set_again=step.set_again,
        still=plain(step.still, base),
    )


def title_of(step: Step, base: Rulebase) -> str:
    """Return the title of the check that was done, or of the cause that was put right, for its side or for both."""
    page = base.checks[step.id] if step.kind == CHECK else base.causes[step.id]
    return _on_its_sides(page.title, step)


def _on_its_sides(text: str, step: Step) -> str:
    if not step.both:
        return fill(text, step.side)
    return text.replace("{side}", "left and right").replace("{other}", "other")


def care(fresh: Sequence[str], before: Sequence[str], base: Rulebase) -> Care:
    """Return cautions: the fresh ones in full, those shown before by name."""
    return Care(
        fresh=tuple(base.cautions[one].says for one in fresh),
        before=tuple(one.replace("-", " ") for one in before),
    )


def reading(name: str, taken: Taken, base: Rulebase) -> ReadingTaken:
    """Return a reading as taken, with the handbook's figure in its unit."""
    return ReadingTaken(
        name=name,
        title=base.readings[name].title,
        unit=taken.unit,
        sides=tuple(
            SideRead(side=side, values=taken.at(side), stalls=taken.stalls.get(side, 0))
            for side in taken.values or (None,)
        ),
        trusted=taken.trusted,
        asked=asked(name, base, taken.unit),
    )


def plain(signs: Sequence[Sided], base: Rulebase) -> tuple[str, ...]:
    """Return signs in a rider's plain words."""
    return tuple(fill(base.signs[sign].plain, side) for sign, side in signs)
