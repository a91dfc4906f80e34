"""One reading worked out on its own: its figures, the limits that apply, and the picture in words."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import msgspec
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured
from advisor.chain.run import Chained
from advisor.diagnose import Advisor
from advisor.lazy import lazy
from advisor.quantities import convert, show, widen
from advisor.readings.measure_again import again
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.readings.steps import steps
from advisor.readings.uncertainty import odd_one_out
from advisor.readings.verdicts import (
    Judged,
    figure_of,
    judge,
    limit_for,
    of_sides,
    question,
    questions,
    unknown_figures,
)
from advisor.report import Again
from advisor.rulebase.model import Reading, ReadingIs, Rule, Rulebase
from advisor.sides import BOTH, Side, Sided, fill, other

if TYPE_CHECKING:
    from advisor.readings import shorting
else:
    shorting = lazy("advisor.readings.shorting")  # scipy, only where both sides were shorted

CLOSE = "too close to call"
OUTSIDE = ("over", "under")
# What to do about a reading that says nothing yet, or cannot be right: common practice, no source.
UNDECIDED = "This reading cannot tell whether the sides differ: change nothing yet. "
REPEATED = "Measure both sides again, a few times each."
NO_DIFFERENCE = "No difference of the sides that this reading could tell."
NEAR_LIMIT = "Too close to its limit to call: measure it again, with care, before you change anything."
LEGS = (
    "These are the two legs of one U-tube: a running engine's whole depression would hold more than a metre of this "
    "fluid. Only their difference counts; write it as '{side} more by {figure}'."
)
NO_STEP = "Outside its limit ({meaning}), and no page says what to do about it."
FITS = "Nothing to put right by this reading."
ONE_SIDE = "This is one side alone: measure the other one too, what counts is how they differ."
NO_LIMIT = "There is no limit to compare it with; it counts together with others, as in 'advisor diagnose'."
ODD = "{figure}{side} does not fit the others: read that one again before you believe their mean (Dixon's test)."


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """One figure of a reading in the unit it was given in, with how far it is trusted; also in the reading's unit."""

    reading: str
    side: Side
    of: str
    said: str
    value: float
    low: float
    high: float
    unit: str
    own: str


class Held(msgspec.Struct, frozen=True, kw_only=True):
    """One figure held against a limit: `question` in the rule base's words, and whether it holds.

    `of` is which figure of the reading (`reading`, `lead`, ...); `value` and `bound` are the two in words.
    """

    question: str
    side: Side
    of: str
    value: str
    bound: str
    said: str
    meaning: str
    verdict: str


class Worked(msgspec.Struct, frozen=True, kw_only=True):
    """All that one reading says. `picture` is what to do next, most urgent first; `test` is that of repeated drops."""

    reading: str
    title: str
    taken: str
    figures: tuple[Figure, ...]
    held: tuple[Held, ...]
    picture: tuple[str, ...]
    signs: tuple[str, ...]
    measure_again: tuple[Again, ...]
    default_figures: tuple[str, ...]
    test: "shorting.Shorted | None"


def work_out(name: str, measured: list[Measured], bike: Bike, advisor: Advisor) -> Worked:
    """Return what the figures of one reading (and of those that belong to it) say without the rest of a case."""
    base = advisor.base
    case = Case(
        title="",
        bike=bike,
        complaint="",
        seen=(),
        measured=tuple(measured),
        means=Means(person="workshop", tools=None, engine=""),
    )
    reduced = reduce(measured, (), base)
    test = _tested(name, measured, bike, base)
    judged = _heeding(test, name, judge(reduced, bike, base), base)
    wrong = _for_what_is_wrong(judged, base)
    chained, _ = advisor.rank(case)
    page = base.readings[name]
    held = _all_held(wrong, base)
    doubts = [*_odd(page, measured, base), *_nothing(page, reduced, judged)]
    return Worked(
        reading=name,
        title=page.title,
        taken=page.taken,
        figures=tuple(_figure(one, base) for one in reduced if one.of in {"reading", "lead", "stays"} and _once(one)),
        held=held,
        picture=tuple(doubts or [*_next(page, reduced, judged, held, base), *_legs(name, measured, reduced, base)]),
        signs=() if doubts else _signs(chained, _by_sides(name, base) if test and test.weaker is None else set(), base),
        measure_again=again([*wrong, *(one for one in judged if one not in wrong)], reduced, bike, base),
        default_figures=tuple(unknown_figures(judged, bike, base)),
        test=test,
    )


def _tested(name: str, measured: list[Measured], bike: Bike, base: Rulebase) -> "shorting.Shorted | None":
    """Return the result of a statistical test on the drops of both sides; None for any other reading."""
    page, sides = base.readings[name], {one.side: one for one in measured if one.reading == name and not one.over_other}
    if not page.stalls or set(sides) != set(BOTH):
        return None
    left, right = sides["left"], sides["right"]
    give = max(left.give, right.give)
    lead = _tests_question(name, base)
    bound = limit_for(questions(base)[lead], bike, base) if lead else 0.0
    trust = shorting.Trust(give, min(page.instrument, give), page.stalls)
    return shorting.compare(left.values, right.values, bound, trust, (left.stalls, right.stalls))


def _tests_question(name: str, base: Rulebase) -> str:
    """Return the question that the test of repeated drops answers: by how much the sides differ, not by what share."""
    return next((one for one in of_sides(base).get(name, []) if figure_of(questions(base)[one], base) == "lead"), "")


def _heeding(test: "shorting.Shorted | None", name: str, judged: list[Judged], base: Rulebase) -> list[Judged]:
    """Return the verdicts, with the test's result instead of a comparison that says more, or less, than the test."""
    if test is None:
        return judged
    asked, lead = questions(base), _tests_question(name, base)
    return [
        _heeds(test, one, asked[one.name], own=one.name == lead) if one.reading == name and one.of == "lead" else one
        for one in judged
    ]


def _heeds(test: "shorting.Shorted", one: Judged, condition: ReadingIs, *, own: bool) -> Judged:
    if test.weaker is None:
        doubtful = one.held or (own and one.by >= 0)
        return replace(one, held=None) if doubtful else one
    weaker = one.side == test.weaker if not condition.above else other(one.side) == test.weaker
    return replace(one, held=weaker) if own else one


def _odd(page: Reading, measured: list[Measured], base: Rulebase) -> Iterator[str]:
    """Yield which repeats do not fit the others."""
    for one in measured:
        place = odd_one_out(one.values, one.give)
        if one.reading == page.id and place is not None:
            turn = widen if one.over_other else convert
            figure = show(turn(one.values[place], page.unit, one.unit, base.units), one.unit)
            yield ODD.format(figure=figure, side=f" on the {one.side}" if one.side else "")


def _nothing(page: Reading, reduced: list[Reduced], judged: list[Judged]) -> list[str]:
    """Return what to ask if neither side shows anything, though the engine runs."""
    plain = {one.side: one for one in reduced if one.of == "reading" and one.reading == page.id}
    if set(plain) != set(BOTH) or "neither" not in page.picture:
        return []
    held = [one for one in judged if one.reading == page.id and one.of == "reading" and one.held]
    under = {one.side for one in held if one.limit == page.nothing_below}
    idle = all(one.low <= 0 and one.value <= page.give for one in plain.values())
    return [page.picture["neither"]] if idle or under >= set(BOTH) else []


def _next(
    page: Reading, reduced: list[Reduced], judged: list[Judged], held: tuple[Held, ...], base: Rulebase
) -> list[str]:
    """Return what to do next: about figures outside their limits; if none is, about how the sides differ."""
    asked = questions(base)
    outside = [
        (asked[one.question].limit, one.side)
        for one in held
        if one.verdict in OUTSIDE and not (asked[one.question].of == "lead" and page.picture)
    ]
    if found := steps(outside, base.limits) or _pictures(page, reduced, judged, base):
        return found
    if outside:
        return [NO_STEP.format(meaning=base.limits[outside[0][0]].meaning)]
    if any(one.held is None for one in judged):
        return [NEAR_LIMIT]
    if page.id in of_sides(base) and not any(one.of == "lead" for one in reduced):
        return [ONE_SIDE]
    return [FITS if held else NO_LIMIT]


def _legs(name: str, measured: list[Measured], reduced: list[Reduced], base: Rulebase) -> list[str]:
    """Return what to say when two figures look like the two legs of one U-tube."""
    read = any(one.reading == name and not one.over_other for one in measured)
    ahead = next((one for one in reduced if one.of == "lead" and one.reading == name and one.value >= 0), None)
    if not read or ahead is None or any(one.of == "reading" and one.reading == name for one in reduced):
        return []
    apart = show(widen(ahead.value, ahead.unit, ahead.written, base.units), ahead.written)
    return [LEGS.format(side=ahead.side, figure=apart)]


def _once(one: Reduced) -> bool:
    """Whether a figure is worth a line: of the leads of two sides, only the positive one."""
    return one.of != "lead" or one.value > 0 or (one.value == 0 and one.side == "left")


def _worth(one: Judged, judged: list[Judged], base: Rulebase) -> bool:
    """Whether a verdict is worth a line: when sides are compared, the one that holds, or that of the side ahead.

    Of several limits that the sides exceed, only the widest.
    """
    if one.of == "lead" and one.held and any(_further(two, one, base) for two in judged):
        return False
    twin = next((two for two in judged if two.name == one.name and two.side != one.side), None)
    if one.of != "lead" or one.held:
        return True
    if twin is None:
        return one.held is None or one.by >= 0
    if one.held != twin.held:
        return twin.held is False
    return one.by > twin.by or (not one.by < twin.by and one.side == "left")


def _further(two: Judged, one: Judged, base: Rulebase) -> bool:
    """Whether this verdict says more than the other on the same reading: it is over a wider limit."""
    if two.held is not True or two.reading != one.reading or two.of != "lead" or two.side != one.side:
        return False
    wide, narrow = (base.limits[judged.limit] for judged in (two, one))
    return wide.unit == narrow.unit and wide.value > narrow.value


def _figure(one: Reduced, base: Rulebase) -> Figure:
    """Return a figure to show; its uncertainty does not reach below the lowest possible value."""
    written = one.written or one.unit
    turn = convert if one.of == "reading" else widen
    lowest = base.readings[one.reading].lowest
    least = max(one.low, lowest) if one.of == "reading" and one.value >= lowest else one.low
    value, low, high = (turn(figure, one.unit, written, base.units) for figure in (one.value, least, one.high))
    own = "" if written == one.unit else show(one.value, one.unit)
    return Figure(
        reading=one.reading,
        side=one.side,
        of=one.of,
        said=one.said,
        value=value,
        low=low,
        high=high,
        unit=written,
        own=own,
    )


def _all_held(judged: list[Judged], base: Rulebase) -> tuple[Held, ...]:
    """Return every verdict once, in the order of the limits: of a lead asked both ways, the one for the side ahead."""
    place, above = {name: number for number, name in enumerate(base.limits)}, questions(base)
    asked = sorted(judged, key=lambda one: (place[one.limit], one.of == "lead" and not above[one.name].above))
    found: dict[Sided, Held] = {}
    for one in asked:
        if _worth(one, asked, base):
            found.setdefault((one.limit, None if one.of == "lead" else one.side), _held(one, base))
    return tuple(found.values())


def _for_what_is_wrong(judged: list[Judged], base: Rulebase) -> list[Judged]:
    """Return the verdicts without those on questions that only ask whether all is well within the same limit."""
    wrong = {question(one) for rule in base.rules.values() for one in _alone(rule) if _finds_fault(rule)}
    told = {(one.reading, one.of, one.limit) for one in judged if one.name in wrong}
    return [one for one in judged if one.name in wrong or (one.reading, one.of, one.limit) not in told]


def _alone(rule: Rule) -> list[ReadingIs]:
    """Return the condition on a reading if it is the rule's only condition, else nothing."""
    asked = [one for one in rule.when if isinstance(one, ReadingIs)]
    return asked if len(asked) == 1 else []


def _finds_fault(rule: Rule) -> bool:
    return any(one.seen for one in rule.shows) or bool(rule.sets_aside or rule.switches_off or rule.warns)


def _held(one: Judged, base: Rulebase) -> Held:
    condition = questions(base)[one.name]
    outside = "over" if condition.above or condition.of == "lead" else "under"
    inside = "within" if condition.of != "reading" or outside == "over" else "not under"
    return Held(
        question=one.name,
        side=one.side,
        of=one.of,
        value=one.value,
        bound=one.bound,
        said=one.against,
        meaning=base.limits[one.limit].meaning,
        verdict=CLOSE if one.held is None else outside if one.held else inside,
    )


def _pictures(page: Reading, reduced: list[Reduced], judged: list[Judged], base: Rulebase) -> list[str]:
    """Return what the difference between the sides means, or that this reading cannot tell. Unknown is not no."""
    picture, asked = page.picture, questions(base)
    leads = [one for one in judged if one.reading == page.id and one.of == "lead"]
    by_sign = [one for one in leads if one.name in of_sides(base).get(page.id, [])]
    if not picture:
        return []
    if not leads:
        return _unasked(page, reduced)
    for one in leads:
        if one.held:
            above = asked[one.name].above
            ahead: Side = one.side if above else next(side for side in BOTH if side != one.side)
            return [fill(picture["higher"], ahead)]
    if by_sign and all(one.held is False for one in by_sign):
        return [picture["level"]]
    return [UNDECIDED + (page.take_again or REPEATED)]


def _unasked(page: Reading, reduced: list[Reduced]) -> list[str]:
    """Return the picture of a reading whose sides no rule compares: judged by how far the figures are trusted."""
    for one in reduced:
        if one.of == "lead" and one.reading == page.id and one.value >= 0:
            return [fill(page.picture["higher"], one.side) if one.low > 0 else NO_DIFFERENCE]
    return []


def _by_sides(name: str, base: Rulebase) -> set[str]:
    """Return the signs of a difference between the sides in one reading."""
    return {
        shown.sign
        for rule in base.rules.values()
        for one in rule.when
        if isinstance(one, ReadingIs) and one.reading == name and one.of == "lead"
        for shown in rule.shows
    }


def _signs(chained: Chained, but: set[str], base: Rulebase) -> tuple[str, ...]:
    """Return the signs that are seen, except those in `but`; no vague sign if a specific kind of it is seen."""
    seen = [one for one in chained.signs if one.state == "seen" and one.id not in but]
    vague = {base.signs[one.id].kind_of for one in seen}
    return tuple(fill(base.signs[one.id].title, one.side) for one in seen if one.id not in vague)
