"""Where a led balance or tune-up stands and why it asks what it asks: from its own readings, turns and stages."""

from collections.abc import Iterator, Sequence

from advisor.balance.course import (
    CABLES,
    CROSS,
    DOES_NOTHING,
    GAUGE_OFF,
    JOINS,
    STAYS,
    STOPS,
    STOPS_AGAIN,
    WORKS,
    behind,
    does_nothing,
    next_step,
)
from advisor.balance.course_steps import (
    DROPS,
    IDLE,
    OFF_IDLE,
    Blipped,
    Seen,
    Setup,
    TakeReading,
    Turned,
    TurnScrews,
    Where,
    WontCome,
)
from advisor.balance.standing import Standing
from advisor.chain.readiness import RIGHT, WRONG
from advisor.report import Report
from advisor.session import balance_so_far as so_far
from advisor.session.balance_asked import STAGES
from advisor.session.balance_in_words import lead, tens
from advisor.session.balance_record import turned_in_all
from advisor.session.balance_wont_come import why_not
from advisor.session.session import Session
from advisor.sides import BOTH

AT = {IDLE: "At idle", OFF_IDLE: "At 2,500 rpm"}
NOT_BEGUN = "Nothing was read yet."
CHOSEN_BY = "Chosen is the turn that is expected to leave the least: one screw, unless two are clearly better."


def balance_stands(session: Session) -> Iterator[str]:
    """Yield what stands level, what is still to come, and what was turned in all."""
    led = so_far.led(session.state.known, session.base)
    if led.mixing is not None:
        yield f"Now: the mixture screw of the {led.mixing} side; after it the stops at idle."
    elif so_far.METHOD in led.chosen:
        setup = so_far.setup(led, session.state.case.bike, session.base)
        what = next_step(setup, led.steps)
        stage = getattr(what, "stage", "")
        yield from (f"{AT[one.where]}: {_level(one, setup)}." for one in standings(setup, led.steps))
        if stage == JOINS or isinstance(what, WontCome):
            yield from _does_nothing(led.steps)
        if isinstance(what, WontCome) and what.why != DOES_NOTHING:
            yield why_not(what)
        if stage in STAGES:
            yield f"Now: {STAGES[stage]}."
            yield from _still_to_come(stage, setup)
    yield from (f"Turned: {one}." for one in turned_in_all(session.state.known))


def _does_nothing(steps: Sequence[object]) -> Iterator[str]:
    """Yield which side does nothing at idle, if one does."""
    works = [one for one in steps if isinstance(one, Seen) and one.by == DROPS and one.where == IDLE][-1:]
    yield from (why_not(WontCome(why=DOES_NOTHING, side=behind(one))) for one in works if does_nothing(one))


def balance_why(session: Session) -> Iterator[str]:
    """Yield what the last readings say, and what a turn of each screw was seen to do."""
    led = so_far.led(session.state.known, session.base)
    if so_far.METHOD not in led.chosen or not led.steps:
        yield NOT_BEGUN
        return
    setup = so_far.setup(led, session.state.case.bike, session.base)
    what = next_step(setup, led.steps)
    for one in standings(setup, led.steps):
        yield f"{AT[one.where]}: {_level(one, setup)}; {_last(one)}."
        yield from _answers(one)
    if isinstance(what, TurnScrews):
        yield CHOSEN_BY
    if isinstance(what, TakeReading) and what.again:
        yield "It is read again: the last one is too close to call, or not as expected."


def standings(setup: Setup, steps: Sequence[object]) -> list[Standing]:
    """Return how each place stands that was read by the balance's own method."""
    found: dict[Where, Standing] = {one: Standing(where=one, by=setup.method) for one in (IDLE, OFF_IDLE)}
    last: Where = IDLE
    for step in steps:
        match step:
            case Seen() if step.by == setup.method:
                last = step.where
                found[last].see(step)
            case Turned():
                found[last].turn(step)
            case Blipped():
                found[last].loosen()
    return [one for one in found.values() if one.last is not None and one.stand is not None]


def _level(one: Standing, setup: Setup) -> str:
    """Return how the sides stand by the best estimate, and how far apart they may be."""
    if one.stand is None:
        return NOT_BEGUN
    apart = setup.apart_idle if one.where == IDLE else setup.apart_off_idle
    unit = so_far.UNIT[one.by]
    within = f"give or take {2 * one.stand.spread[0]:.0f}; {apart:.0f} {unit} apart at most"
    revs = ""
    if one.where == IDLE:
        revs = f"; {tens(one.stand.value[1])} rpm, of {setup.idle[0]:,.0f} to {setup.idle[1]:,.0f}"
    return f"{lead(one.stand.value[0], one.by)}, {within}{revs}"


def _last(one: Standing) -> str:
    last = one.last
    if last is None or last.behind is None:
        return "not read"
    return f"last read: {lead(last.behind, one.by)}, give or take {last.behind_half:.0f}"


def _answers(one: Standing) -> Iterator[str]:
    """Yield what a turn of each screw does, where it was turned; else what is common."""
    if one.stand is None:
        return
    unit = so_far.UNIT[one.by]
    name = one.screw.removeprefix("idle ")
    for at, side in enumerate(BOTH):
        value, spread = one.stand.answer(0, at)
        learnt = "seen here" if one.tried[at] else "as is common; not turned yet"
        revs = ""
        if one.where == IDLE:
            by, within = one.stand.answer(1, at)
            revs = f", and the idle {abs(by):.0f} +/- {2 * within:.0f} rpm"
        yield f"A turn of the {side} {name} moves it {abs(value):.0f} +/- {2 * spread:.0f} {unit}{revs} ({learnt})."


def _still_to_come(stage: str, setup: Setup) -> Iterator[str]:
    order = [STOPS, CABLES, STOPS_AGAIN, STAYS]
    if setup.method != "drops":
        order.append(GAUGE_OFF if setup.cross_idle is None else CROSS)
    if setup.cross_idle is not None:
        order.insert(0, WORKS)
    left = order[order.index(stage) + 1 :] if stage in order else []
    if left:
        yield f"Still to come: {'; '.join(f'{STAGES[one][0].lower()}{STAGES[one][1:]}' for one in left)}."


def tune_up_stands(report: Report) -> Iterator[str]:
    """Yield how far each stage of the order is."""
    for stage in dict.fromkeys(one.stage for one in report.readiness):
        items = [one for one in report.readiness if one.stage == stage]
        right, wrong = (sum(one.state == state for one in items) for state in (RIGHT, WRONG))
        yield f"{stage}: {right} of {len(items)} right{f', {wrong} wrong' if wrong else ''}"
