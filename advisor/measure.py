"""One reading worked out on its own: its figures, what they are held against, and the picture in words."""

import msgspec

from advisor.chain.cases import Chained
from advisor.diagnose import Advisor
from advisor.quantities import convert, show, widen
from advisor.readings.again import again
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.readings.verdicts import Judged, judge, questions, unknown_figures
from advisor.records import Again, Bike, Case, Means, Measured
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, Side, fill

CLOSE = "too close to call"


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """One figure in the unit it was given in, with how far it is trusted; also in the reading's own unit."""

    side: Side
    of: str
    said: str
    value: float
    low: float
    high: float
    unit: str
    own: str


class Held(msgspec.Struct, frozen=True, kw_only=True):
    """One figure held against a limit: `question` in the rule base's words, and whether it holds."""

    question: str
    side: Side
    said: str
    meaning: str
    verdict: str


class Worked(msgspec.Struct, frozen=True, kw_only=True):
    """All that one reading says."""

    reading: str
    title: str
    taken: str
    figures: tuple[Figure, ...]
    held: tuple[Held, ...]
    picture: tuple[str, ...]
    signs: tuple[str, ...]
    measure_again: tuple[Again, ...]
    default_figures: tuple[str, ...]


def work_out(name: str, measured: list[Measured], bike: Bike, advisor: Advisor) -> Worked:
    """Return what figures of one reading (with those that belong to it) say by themselves."""
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
    judged = judge(reduced, bike, base)
    chained, _ = advisor.rank(case)
    page = base.readings[name]
    return Worked(
        reading=name,
        title=page.title,
        taken=page.taken,
        figures=tuple(_figure(one, base) for one in reduced if one.of in {"reading", "lead", "stays"} and _once(one)),
        held=_all_held(judged, base),
        picture=tuple(_pictures(name, judged, base)),
        signs=_signs(chained, base),
        measure_again=again(judged, reduced, bike, base),
        default_figures=tuple(unknown_figures(judged, bike, base)),
    )


def _once(one: Reduced) -> bool:
    """Whether a figure is worth a line: of two sides' leads, the one that is ahead."""
    return one.of != "lead" or one.value > 0 or (one.value == 0 and one.side == "left")


def _worth(one: Judged, judged: list[Judged], base: Rulebase) -> bool:
    """Whether a verdict is worth a line: of a comparison of the sides, the one that holds, or the left's.

    Of several limits that the sides are further apart than, the widest.
    """
    if " lead " in one.name and one.held and any(_further(two, one, base) for two in judged):
        return False
    twin = next((two for two in judged if two.name == one.name and two.side != one.side), None)
    if " lead " not in one.name or twin is None:
        return True
    return one.held is True or (
        twin.held is not True and (one.side == "left" if one.held == twin.held else one.held is None)
    )


def _further(two: Judged, one: Judged, base: Rulebase) -> bool:
    """Whether this verdict says more than that one of the same reading: over a wider limit."""
    if two.held is not True or two.reading != one.reading or " lead " not in two.name or two.side != one.side:
        return False
    wide, narrow = (base.limits[judged.limit] for judged in (two, one))
    return wide.unit == narrow.unit and wide.value > narrow.value


def _figure(one: Reduced, base: Rulebase) -> Figure:
    written = one.written or one.unit
    turn = convert if one.of == "reading" else widen
    value, low, high = (turn(figure, one.unit, written, base.units) for figure in (one.value, one.low, one.high))
    own = "" if written == one.unit else show(one.value, one.unit)
    return Figure(side=one.side, of=one.of, said=one.said, value=value, low=low, high=high, unit=written, own=own)


def _all_held(judged: list[Judged], base: Rulebase) -> tuple[Held, ...]:
    """Return every verdict once: of two questions on one limit, the one that asks for what is wrong."""
    found: dict[tuple[str, Side], Held] = {}
    for one in judged:
        if _worth(one, judged, base):
            found.setdefault((one.limit, one.side), _held(one, base))
    return tuple(found.values())


def _held(one: Judged, base: Rulebase) -> Held:
    condition = questions(base)[one.name]
    outside = "over" if condition.above or condition.of == "lead" else "under"
    inside = "within" if condition.of != "reading" or outside == "over" else "not under"
    return Held(
        question=one.name,
        side=one.side,
        said=one.said.rpartition("; ")[2],
        meaning=base.limits[one.limit].meaning,
        verdict=CLOSE if one.held is None else outside if one.held else inside,
    )


def _pictures(name: str, judged: list[Judged], base: Rulebase) -> list[str]:
    """Return what the difference between the sides means, where it can be told."""
    picture, asked = base.readings[name].picture, questions(base)
    leads = [one for one in judged if one.reading == name and asked[one.name].of == "lead"]
    if not picture or not leads:
        return []
    for one in leads:
        if one.held:
            above = asked[one.name].above
            ahead: Side = one.side if above else next(side for side in BOTH if side != one.side)
            return [fill(picture["higher"], ahead)]
    return [picture["level"]] if all(one.held is False for one in leads) else []


def _signs(chained: Chained, base: Rulebase) -> tuple[str, ...]:
    """Return the signs that are seen; no vague one of which an exact kind is."""
    seen = [one for one in chained.signs if one.state == "seen"]
    vague = {base.signs[one.id].kind_of for one in seen}
    return tuple(fill(base.signs[one.id].title, one.side) for one in seen if one.id not in vague)
