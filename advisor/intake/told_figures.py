"""Figures in a sentence, as readings: 'idles at 1300', 'left 240 right 205', '14.2 volts running'.

A figure without a unit is taken where its size leaves one: a gauge that shows 240 shows millimetres of mercury, a
compression of 145 is in psi. What could be anything else (a speed, a distance, a time, a cold idle) is left alone.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from advisor.case import Measured
from advisor.errors import AdvisorError
from advisor.intake.figure_meaning import (
    DROPS,
    FALLS_BY,
    LEAST_COLUMN,
    LEAST_IDLE,
    MOST_IDLE,
    MOST_OF_COLUMNS,
    column_unit,
    is_level,
    reading_of,
)
from advisor.intake.figure_sides import one_more, order_of, which_is_not_said, with_sides
from advisor.intake.figure_topics import SHORTED, topic_of
from advisor.intake.figures_said import (
    RANGE_MARK,
    SIDE_SAID,
    UNITS,
    Figure,
    figures,
    in_figures,
    only_side,
    side_of,
)
from advisor.intake.spoken import spoken
from advisor.rulebase.model import Rulebase
from advisor.sides import Side, sides_of

Said = tuple[str, Side, str]  # a reading, its side, the figure with its unit

STATEMENT = re.compile(r"[.;!?]+(?!\d)\s*|\n")
SAME_AS = re.compile(r"\bsame as the (?:left|right|other)")
RANGE = re.compile(
    r"\bbetween (\d+(?:\.\d+)?) and (\d+(?:\.\d+)?)\b"
    rf"|\b(\d+(?:\.\d+)?)\s*(?:rpm|revs)?\s*(?:to|down to|up to|-|{RANGE_MARK})\s*(\d+(?:\.\d+)?)\b"
)
HUNTS = re.compile(
    r"\bwaver|\bvari|\bfluctuat|\bhunt|up and down|upanddown|\bbetween\b|\bswing|\bsurg|\bwander|\boscillat"
)
NO_CHANGE = re.compile(
    r"\bnothing (?:at all )?(?:changes|happens|changed|happened)|\bno (?:change|difference|drop)"
    r"|\b(?:does|do)(?: not|nt) (?:change|drop|alter)"
)
NOTHING_ON = re.compile(r"\b(?:nothing|zero|nil|none|no reading)(?: at all)? on the (left|right)")
SWINGS_BY = re.compile(
    r"\b(?:by|of|about) (\d{3,4}|\d{2}(?= ?(?:rpm|revs)))(?: ?rpm| ?revs)?\b(?! ?(?:mph|km|miles|m)\b)"
)
STALLS_WITHOUT = re.compile(
    r"\b(?:pull|kill|short|take|took|earth|ground|disconnect|remov|with)\w*"
    r"(?: (?:off|out|the|cap|caps|lead|plug|from))*"
    r" (left|right)(?: (?:plug|cap|lead|one|side|off|out))*,? (?:and )?(?:it|she|engine|the engine)(?: just)? "
    r"(?:stall|die|stop|conk)\w*\b"
)
OF_HEAT = re.compile(r"\btemperature|\bdegrees\b|\bcelsius|\bthermometer|\bhotter|\bcooler|\bpyrometer")
OPEN = re.compile(r"\bopen circuit|\binfinit[ey]|\breads open\b|\bover ?load")
NOT_A_UNIT = rf"(?![\w%]|\.\d| ?(?:{UNITS})\b)"
PAIR = re.compile(
    rf"\b(left|right)\b\W+(?:[a-z]+ ){{0,3}}(\d+(?:\.\d+)?){NOT_A_UNIT}\W+(?:(?:and|but|the|only) ){{0,3}}"
    rf"(left|right)\b\W+(?:[a-z]+ ){{0,3}}(\d+(?:\.\d+)?){NOT_A_UNIT}"
)
LEVEL = re.compile(r"\bat (?:about |around )?(\d{3,4})(?: ?rpm| ?revs)?\b")  # the revs at which columns were read
IDLE = ("idle-speed", "rpm")
UNIT_AGAIN = frozenset(["timing-idle", "timing-full", "battery-rest", "charging-volts"])
BY_PART = {"cap": "cap-resistance", "lead": "plug-path-resistance"}


def told_readings(sentence: str, base: Rulebase) -> list[Measured]:
    """Return the readings that a sentence gives; what cannot be one is left out."""
    found: dict[tuple[str, Side, str], Measured] = {}
    topic = ""
    last: Side = None
    order: tuple[Side, Side] | None = None
    for told in STATEMENT.split(in_figures(sentence)):
        statement = with_sides(told, last, order)
        topic = topic_of(statement) or topic
        last, order = only_side(told), order_of(told) or order
        for said in _readings(statement, topic, base):
            for one in _measured(said, base):
                found.setdefault((one.reading, one.side, one.given), one)
    return list(found.values())


def _readings(statement: str, topic: str, base: Rulebase) -> Iterator[Said]:
    """Yield each reading of a statement."""
    shorted = SHORTED.search(statement) is not None
    spread = RANGE.search(statement)
    whole = [*_spread(statement, spread, shorted=shorted)] or [*_pair(statement, topic, shorted=shorted)]
    yield from whole or _without_figures(statement, topic, shorted=shorted)
    if whole:
        return
    told = [*figures(statement, topic, _first_of(spread))]  # from this to that: that is how it is
    named = _named(told, statement, shorted=shorted)
    alike = SAME_AS.search(statement) is not None
    unlike = _unlike(told, named)
    for figure, (name, unit) in zip(told, named, strict=True):
        if name not in base.readings or (name, figure.side) in unlike:
            continue
        sided = base.readings[name].sided
        several = sum(one.side is None for one, (other, _) in zip(told, named, strict=True) if other == name) > 1
        if sided and figure.side is None and (several or which_is_not_said(statement, figure.after)):
            continue  # which is which was not said
        for side in sides_of(sided):
            if side in {None, figure.side} or figure.side is None or alike:
                yield name, side, f"{figure.written} {unit}"


def _named(told: Sequence[Figure], statement: str, *, shorted: bool) -> list[tuple[str, str]]:
    """Return the reading and unit of each figure; one without a unit is like the one before it of the other side."""
    found: list[tuple[str, str]] = []
    before: Figure | None = None
    for figure in told:
        name, unit = reading_of(figure, statement, shorted=shorted and not _told_apart(figure))
        if before and found[-1][0] and not figure.unit and figure.side and before.side not in {None, figure.side}:
            name, unit = (name, unit) if name == "idle-speed" else found[-1]
        elif before and not (name or figure.unit) and found[-1][0] in UNIT_AGAIN:
            name, unit = reading_of(msgspec.structs.replace(figure, unit=before.unit), statement, shorted=shorted)
        found.append((name, unit))
        before = figure
    for number, (one, after) in enumerate(pairwise(told)):
        same = not found[number][0] or (after.unit and found[number][0] == found[number + 1][0])
        if same and not one.unit and one.side and after.side not in {None, one.side}:
            found[number] = found[number + 1]
    if any(name == "column-idle" for name, _ in found):
        found = [one if one[0] or not is_level(figure) else IDLE for one, figure in zip(found, told, strict=True)]
    return found


def _unlike(told: Sequence[Figure], named: Sequence[tuple[str, str]]) -> set[tuple[str, Side]]:
    """Return the readings that one side would have twice, of a pair: which figure is whose was not understood."""
    both = zip(pairwise(told), pairwise(named), strict=True)
    return {
        (name, one.side)
        for (one, after), ((name, _), (next_name, _)) in both
        if one.side is not None and (name, one.side) == (next_name, after.side) and one_more(one.after)
    }


def _told_apart(figure: Figure) -> bool:
    """Whether an idle is told before a cylinder is cut out, and is no drop: 'idle 950, drop equal on shorting'."""
    return figure.topic == "idle" and not (SHORTED.search(figure.before) or DROPS.search(figure.before))


def _first_of(spread: re.Match[str] | None) -> int:
    """Return where the first of two figures stands that do not make one; -1 for nowhere."""
    return -1 if spread is None or RANGE_MARK in spread[0] else max(spread.start(1), spread.start(3))


def _spread(statement: str, spread: re.Match[str] | None, *, shorted: bool) -> Iterator[Said]:
    """Yield what two figures say together: a drop from one to the other, or how far the idle wanders."""
    if not spread:
        return
    one, two = (float(found) for found in spread.groups() if found)
    if shorted and one > two >= LEAST_IDLE / 2:
        yield "idle-speed", None, f"{one:g} rpm"
        yield "drop-idle", only_side(statement), f"{one - two:g} rpm"
    elif HUNTS.search(statement) and LEAST_IDLE <= one < two <= MOST_IDLE:
        yield "idle-swing", None, f"{two - one:g} rpm"


def _pair(statement: str, topic: str, *, shorted: bool) -> Iterator[Said]:
    """Yield the two columns of a gauge: 'left 240, right 205'."""
    hot = OF_HEAT.search(statement) is not None
    falls = FALLS_BY.search(statement) is not None  # what falls is no column
    of_columns = topic in {"", "column", "idle"} and not (shorted or hot or falls)
    pair = PAIR.search(statement) if of_columns else None
    if pair and pair[1] != pair[3] and LEAST_COLUMN <= float(pair[2]) < LEAST_IDLE > float(pair[4]):
        unit = column_unit(float(pair[2]))
        yield "column-idle", side_of(pair[1]), f"{pair[2]} {unit}"
        yield "column-idle", side_of(pair[3]), f"{pair[4]} {unit}"
        if (level := LEVEL.search(statement)) and LEAST_IDLE <= float(level[1]) <= MOST_OF_COLUMNS:
            yield "idle-speed", None, f"{level[1]} rpm"


def _without_figures(statement: str, topic: str, *, shorted: bool) -> Iterator[Said]:
    """Yield the readings that are said in words."""
    if shorted and NO_CHANGE.search(statement) and only_side(statement):
        yield "drop-idle", only_side(statement), "0 rpm"
    for stalls in STALLS_WITHOUT.finditer(statement):
        yield "drop-idle", side_of(stalls[1]), "stalls"
    if topic == "column" and (none := NOTHING_ON.search(statement)):
        yield "column-idle", side_of(none[1]), "0 mmHg"
    if HUNTS.search(statement) and (swing := SWINGS_BY.search(statement)):
        yield "idle-swing", None, f"{swing[1]} rpm"
    if OPEN.search(statement) and (name := BY_PART.get(topic_of(statement))):
        sides = SIDE_SAID.findall(statement)
        yield name, side_of(sides[-1]) if sides else None, "open circuit"


def _measured(said: Said, base: Rulebase) -> list[Measured]:
    name, side, words = said
    try:
        return spoken(name, f"{side or ''} {words}".strip(), base)
    except AdvisorError:
        return []
