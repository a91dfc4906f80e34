"""Draws one page of the rule base the way a workshop manual would print it."""

from collections.abc import Iterator
from itertools import groupby

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.quantities import show
from advisor.rulebase.model import (
    Bearing,
    Cause,
    Check,
    Condition,
    Link,
    PartIs,
    Reading,
    ReadingIs,
    Rule,
    Rulebase,
    Sign,
    SignIs,
)
from advisor.rulebase.page_record import Record
from advisor.rulebase.table_records import Caution, Choice, Drawing, Limit, ShakeOrder, Tool
from advisor.show.screen import Rows, heading
from advisor.show.words import minutes
from advisor.sides import Side, either

AS_LEFT: dict[Bearing, Side] = {"this": "left", "other": "right", "none": None}  # for a fault on the left
BEARING = {"this": "this side", "other": "the other side", "none": ""}


def page(record: Record, base: Rulebase) -> Group:
    """Return a page, ready to print."""
    title = getattr(record, "title", "") or record.id
    lines = [(f"  {label}", Text(text)) for label, text in _lines(record, base) if text]
    where = Text(f"  {record.file}:{record.line}", style="dim", no_wrap=True, overflow="ignore")
    signs = [Text(), *_signs(record, base)] if isinstance(record, Cause) else []
    parts: list[RenderableType] = [heading(_either(title)), Rows(lines, label=20), *signs, where, Text()]
    return Group(*parts)


def _signs(cause: Cause, base: Rulebase) -> Iterator[RenderableType]:
    """Yield the signs of a cause as its page groups them: by how often, most frequent first, then by side."""
    yield Text("  What it shows" + (", as when it is on the left" if cause.sided else ""), style="bold")
    words = list(base.words.shows)
    shown = [link for link in cause.links if cause.sided or link.bearing != "other"]  # otherwise shown with its twin
    by_often = sorted(shown, key=lambda one: words.index(one.shows))
    for (often, where), group in groupby(by_often, key=lambda one: (one.shows, _where(one, cause))):
        yield Text(f"  {often}, {where}" if where else f"  {often}")
        for link in group:
            title = either(base.signs[link.sign].title, AS_LEFT[link.bearing] if cause.sided else None)
            yield Rows([("    -", Text.assemble(title, (f"  {link.sign}", "dim")))], label=6)


def _where(link: Link, cause: Cause) -> str:
    if link.bearing == "none":
        return ""
    if cause.sided:
        return "same side" if link.bearing == "this" else "other side"
    return "either side" if link.either else "each side"


def _either(text: str) -> str:
    return either(text, None)


def _lines(record: Record, base: Rulebase) -> Iterator[tuple[str, str]]:
    yield "called", record.id
    match record:
        case Cause():
            yield from _cause(record)
        case Sign():
            yield from _sign(record, base)
        case Check():
            yield from _check(record, base)
        case Drawing():
            yield from _drawing(record, base)
        case Rule():
            yield from _rule(record, base)
        case Reading():
            yield from _reading(record)
        case _:
            yield from _of_table(record)


def _reading(reading: Reading) -> Iterator[tuple[str, str]]:
    yield "also called", ", ".join(reading.also)
    yield "taken", reading.taken
    yield "unit", reading.unit
    yield "believed between", f"{show(reading.lowest, reading.unit)} and {show(reading.highest, reading.unit)}"
    yield "trusted within", show(reading.give, reading.unit)
    yield from ((f"if {word}", _either(text)) for word, text in reading.picture.items())
    yield "if undecided", reading.take_again
    yield from ((f"log: {word}", text) for word, text in reading.in_a_log.items())


def _of_table(record: Record) -> Iterator[tuple[str, str]]:
    """Yield the lines of a record from one of the top-level tables."""
    match record:
        case Limit():
            yield "value", show(record.value, record.unit)
            yield "means", record.meaning
            yield "do next", _either(record.do)
            yield "source", record.source
        case ShakeOrder():
            yield "what it is", record.called
            yield "turns", _turns(record)
            yield "shows", record.shows
            yield "do next", record.do
        case Choice():
            yield "kinds", ", ".join(record.kinds)
        case Caution():
            yield "says", record.says
        case Tool():
            yield "kind", "tool"


def _turns(order: ShakeOrder) -> str:
    return "with the rear wheel" if order.turns is None else f"{order.turns:g} for one turn of the engine"


def _cause(cause: Cause) -> Iterator[tuple[str, str]]:
    yield "met", cause.met
    yield "settled by", cause.settled_by
    yield "remedy", f"{_either(cause.remedy)} ({minutes(cause.minutes)})"
    yield "on both sides", "yes, in one job, whichever side it was found on" if cause.both_sides else ""
    yield "also cures", ", ".join(cause.also_cures)
    yield "new parts", "yes" if cause.new_parts else ""
    yield "then must hold", ", ".join(cause.must_hold)
    yield "care", ", ".join(cause.cautions)
    yield "reason", _either(cause.reason)
    yield "source", cause.source


def _sign(sign: Sign, base: Rulebase) -> Iterator[tuple[str, str]]:
    yield "plainly", _either(sign.plain)
    yield "ask", _either(sign.question)
    yield "also called", ", ".join(sign.also)
    yield "seen by", sign.seen_by
    yield "with no fault", sign.healthy
    yield "do next", _either(sign.do)
    yield (
        "causes",
        ", ".join(
            dict.fromkeys(cause.id for cause in base.causes.values() for link in cause.links if link.sign == sign.id)
        ),
    )
    yield (
        "checks",
        ", ".join(
            dict.fromkeys(
                check.id
                for check in base.checks.values()
                for outcome in check.outcomes
                for one in outcome.shows
                if one.sign == sign.id
            )
        ),
    )
    yield (
        "rules",
        ", ".join(dict.fromkeys(rule.id for rule in base.rules.values() for one in rule.shows if one.sign == sign.id)),
    )


def _check(check: Check, base: Rulebase) -> Iterator[tuple[str, str]]:
    yield "takes", f"{minutes(check.minutes)}, {check.who}, engine {check.engine}"
    yield "tools", ", ".join(base.tools[tool].title for tool in check.tools)
    for number, step in enumerate(check.steps):
        yield "do" if number == 0 else "", _either(step)
    for number, outcome in enumerate(check.outcomes):
        yield "may show" if number == 0 else "", _either(outcome.says)
    yield "drawing", f"{check.drawing}: {base.drawings[check.drawing].title}" if check.drawing else ""
    yield "reading", ", ".join(check.takes)
    for number, name in enumerate(check.cautions):
        yield "care" if number == 0 else "", base.cautions[name].says


def _drawing(drawing: Drawing, base: Rulebase) -> Iterator[tuple[str, str]]:
    yield "shows", drawing.says.strip()
    yield "as a file", f"advisor rules draw {drawing.id} FILE.svg"
    yield "checks", ", ".join(check.id for check in base.checks.values() if check.drawing == drawing.id)


def _rule(rule: Rule, base: Rulebase) -> Iterator[tuple[str, str]]:
    for number, one in enumerate(rule.when):
        yield "when" if number == 0 else "and", _condition(one, base)
    for one in rule.unless:
        yield "unless", _condition(one, base)
    for shown in rule.shows:
        side = f" on {BEARING[shown.bearing]}" if shown.bearing != "none" else ""
        yield "shows", f"{shown.sign}{side}: {'seen' if shown.seen else 'not seen'}"
    if rule.otherwise:
        yield "otherwise", "not seen, when clearly not so"
    yield "sets aside", ", ".join(rule.sets_aside)
    yield "switches off", ", ".join(f"{sign} of {cause}" for cause, sign in rule.switches_off)
    yield "warns", ", ".join(rule.warns)
    yield "remarks", _either(rule.remark)
    yield "reason", _either(rule.reason)
    yield "source", rule.source


def _condition(one: Condition, base: Rulebase) -> str:
    match one:
        case SignIs():
            return f"{one.sign}{_on(one.bearing)} is {'seen' if one.seen else 'not seen'}"
        case PartIs():
            return f"{one.part} are {one.kind}" if one.part.endswith("s") else f"{one.part} is {one.kind}"
        case ReadingIs():
            limit = base.limits[one.limit]
            over = "above" if one.above else "below"
            figure = show(limit.value, limit.unit)
            than = {
                "reading": f"is {over} {figure}",
                "lead": f"is {over} the other side by {figure}",
                "change": f"has moved by more than {figure} since last time",
                "stays": f"keeps more than {figure} on one leg with the hoses exchanged",
            }[one.of]
            return f"{one.reading}{_on(one.bearing)} {than}"


def _on(bearing: Bearing) -> str:
    return f" on {BEARING[bearing]}" if bearing != "none" else ""
