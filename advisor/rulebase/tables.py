"""Reads the single files at the top of a rule base: strength words, means, parts, limits, cautions, order."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import msgspec

from advisor.errors import Problem
from advisor.quantities import Unit
from advisor.rulebase.grammar import Names, kinds_of_parts, known, known_list, one_figure, sentence, span, yes_no
from advisor.rulebase.model import Sign
from advisor.rulebase.page_record import Record
from advisor.rulebase.table_records import (
    Area,
    Caution,
    Choice,
    Cover,
    Drawing,
    Figure,
    Item,
    Limit,
    RideNext,
    ShakeOrder,
    Sheet,
    Term,
    Tool,
    Trust,
    Words,
)
from advisor.yaml_nodes import Node, optional

Pages = list[tuple[Path, Node]]
R = TypeVar("R", bound=Record)
ENDS = ("low", "high")
WITH_THE_WHEEL = "with the rear wheel"
HIGHEST_ORDER = 8.0  # turns per engine turn: a faster shake is a buzz that cannot be split into orders
STRENGTH = (
    "shows",
    "faults on one bike",
    "met",
    "healthy",
    "trust",
    "unready",
    "opening",
    "in doubt",
    "complains for nothing",
    "not seen counts",
    "but in full from",
    "imagined in full from",
    "clear on sound bikes",
    "far over a limit",
    "act at",
    "minutes a step",
    "source",
)
Reader = Callable[[str, Node], R | None]


def keyed(pages: Pages, read: Reader[R], problems: list[Problem], root_of: Callable[[Path], Path]) -> dict[str, R]:
    """Return records by id. A repeated id is a mistake within one folder; in a later folder it replaces."""
    found: dict[str, R] = {}
    home: dict[str, Path] = {}
    for path, page in pages:
        for name, node in page.pairs().items():
            line = page.keys.get(name, page.line)
            if name in found and home[name] == root_of(path):
                first = found[name]
                problems.append(
                    Problem(str(path), line, f"'{name}' is given twice; first in {first.file}:{first.line}")
                )
                continue
            record = read(name, node)
            if record is not None:
                found[name] = record
                home[name] = root_of(path)
    return found


def chance(node: Node) -> float:
    """Return a probability strictly between 0 and 1."""
    value = node.number()
    if not 0.0 < value < 1.0:
        node.wrong(f"{value:g} is not a chance; write a figure between 0 and 1, like 0.7")
        return 0.5
    return value


def words(pages: Pages) -> Words | None:
    """Return the strength table; the last page wins."""
    table = None
    for _, page in pages:
        fields = page.fields(need=STRENGTH, what="the strength table")
        if len(fields) < len(STRENGTH):
            return None
        shows = {word: chance(node) for word, node in fields["shows"].pairs().items()}
        trust = {word: _trust(node) for word, node in fields["trust"].pairs().items()}
        healthy = {word: chance(node) for word, node in fields["healthy"].pairs().items()}
        shares = fields["far over a limit"].fields(need=("where a cause shows it", "on sound bikes"), what="that share")
        far = {name: chance(node) for name, node in shares.items()}
        table = Words(
            shows=shows,
            faults=_faults(fields["faults on one bike"]),
            met={word: chance(node) for word, node in fields["met"].pairs().items()},
            healthy=healthy,
            trust=trust,
            unready=fields["unready"].word(trust, "word for how it is known"),
            opening=fields["opening"].word(trust, "word for how it is known"),
            in_doubt=fields["in doubt"].word(trust, "word for how it is known"),
            for_nothing=chance(fields["complains for nothing"]),
            unseen=_share(fields["not seen counts"]),
            in_full=fields["but in full from"].word(shows, "word for how often a sign is seen"),
            imagined_from=fields["imagined in full from"].word(healthy, "word for how often sound bikes show a sign"),
            clear=_share(fields["clear on sound bikes"]),
            far_of_cause=far.get("where a cause shows it", 0.5),
            far_of_sound=far.get("on sound bikes", 0.05),
            act_at=chance(fields["act at"]),
            step=_step(fields["minutes a step"]),
            source=fields["source"].text(),
        )
    return table


def _share(node: Node) -> float:
    value = node.number()
    if not 0.0 < value <= 1.0:
        node.wrong(f"{value:g} is not a share; write a figure above 0, up to 1, like 0.6")
        return 1.0
    return value


def _step(node: Node) -> float:
    value = node.number()
    if not value >= 0.0:
        node.wrong(f"{value:g} minutes are less than none; write what each step costs beside its own, like 4, or 0")
        return 0.0
    return value


def _faults(node: Node) -> float:
    value = node.number()
    if not value > 0.0:
        node.wrong(f"{value:g} faults are none; write how many a bike that will not settle has, like 1.0")
        return 1.0
    return value


def _trust(node: Node) -> Trust:
    fields = node.fields(need=("notices", "imagines"), may=("ordinary",), what="a trust word")
    hit = chance(fields["notices"]) if "notices" in fields else 0.9
    false_alarm = chance(fields["imagines"]) if "imagines" in fields else 0.1
    if false_alarm >= hit:
        node.wrong("'imagines' must be less than 'notices'")
    return Trust(hit, false_alarm, optional(fields, "ordinary", chance, 1.0))


def figure(name: str, node: Node, units: dict[str, Unit]) -> Figure:
    """Return one figure of the bike, with defaults for wrong fields."""
    fields = node.fields(need=("title", "default", "source"), may=("tolerance",), what="a figure of the bike")
    low, high, unit = optional(fields, "default", lambda one: span(one, units), (0.0, 0.0, ""))
    tolerance = one_figure(fields["tolerance"], units, unit) if "tolerance" in fields and unit else None
    return Figure(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        unit=unit,
        low=low,
        high=high,
        tolerance=tolerance or 0.0,
        source=optional(fields, "source", Node.text, ""),
    )


def limit(name: str, node: Node, units: dict[str, Unit], figures: dict[str, Figure]) -> Limit:
    """Return one figure with unit, meaning and source, with defaults for wrong fields."""
    fields = node.fields(need=("value", "meaning", "source"), may=("far beyond by", "do"), what="a limit")
    of_bike, end = "", ""
    value, unit = 0.0, ""
    if "value" in fields:
        of_bike, _, end = fields["value"].text().partition(" ")
        if of_bike in figures and end in ENDS:
            value, unit = getattr(figures[of_bike], end), figures[of_bike].unit
        else:
            of_bike, end = "", ""
            _, _, unit = span(fields["value"], units)
            value = (one_figure(fields["value"], units, unit) if unit else None) or 0.0
    far = _beyond(fields["far beyond by"], units, unit) if "far beyond by" in fields and unit else None
    return Limit(
        id=name,
        file=node.file,
        line=node.line,
        value=value,
        unit=unit,
        figure=of_bike,
        end=end,
        far=far,
        meaning=optional(fields, "meaning", Node.text, ""),
        do=optional(fields, "do", sentence, ""),
        source=optional(fields, "source", Node.text, ""),
    )


def _beyond(node: Node, units: dict[str, Unit], unit: str) -> float | None:
    """Return how far beyond a limit counts as far, in the unit of the limit."""
    far = one_figure(node, units, unit)
    if far is not None and far <= 0.0:
        node.wrong(f"how far beyond the limit is far is more than 0, like '20 {unit}'")
        return None
    return far


def choice(name: str, node: Node) -> Choice:
    """Return one part with its kinds."""
    fields = node.fields(need=("title", "kinds"), what="a part")
    kinds = tuple(item.text() for item in fields["kinds"].items()) if "kinds" in fields else ()
    return Choice(id=name, file=node.file, line=node.line, title=optional(fields, "title", Node.text, ""), kinds=kinds)


def tool(name: str, node: Node) -> Tool:
    """Return one tool."""
    return Tool(id=name, file=node.file, line=node.line, title=node.text())


def caution(name: str, node: Node) -> Caution:
    """Return one caution: its text alone, or with what a rider does then, and with the cautions that it includes."""
    if not isinstance(node.value, dict):
        return Caution(id=name, file=node.file, line=node.line, says=node.text())
    fields = node.fields(need=("says",), may=("brief", "now", "includes"), what="a caution")
    return Caution(
        id=name,
        file=node.file,
        line=node.line,
        says=optional(fields, "says", Node.text, ""),
        now=optional(fields, "now", lambda one: sentence(one, ()), ""),
        brief=optional(fields, "brief", Node.text, ""),
        includes=optional(fields, "includes", lambda one: tuple(item.text() for item in one.items()), ()),
    )


def term(name: str, node: Node) -> Term:
    """Return one explained word: its sentence alone, or with other forms of the word."""
    if not isinstance(node.value, dict):
        return Term(id=name, file=node.file, line=node.line, says=node.text())
    fields = node.fields(need=("says",), may=("also",), what="an explained word")
    return Term(
        id=name,
        file=node.file,
        line=node.line,
        says=optional(fields, "says", Node.text, ""),
        also=optional(fields, "also", lambda one: tuple(item.text() for item in one.items()), ()),
    )


def area(name: str, node: Node, names: Names) -> Area:
    """Return one stage of the readiness order."""
    may = ("before the next", "set again", "look again", "items", "relies on those before", "said to be ready")
    fields = node.fields(need=("title", "places", "reason"), may=may, what="a stage")
    givable = [*names.readings, *names.signs]
    items = fields["items"].pairs() if "items" in fields else {}
    ready = fields["said to be ready"].pairs() if "said to be ready" in fields else {}
    return Area(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        places=optional(fields, "places", lambda one: tuple(item.text() for item in one.items()), ()),
        reason=optional(fields, "reason", Node.text, ""),
        before_next=optional(fields, "before the next", lambda one: sentence(one, ()), ""),
        set_again=optional(fields, "set again", lambda one: sentence(one, ()), ""),
        look_again=optional(fields, "look again", lambda one: sentence(one, ()), ""),
        items=tuple(_item(item, one, names) for item, one in items.items()),
        relies=optional(fields, "relies on those before", lambda one: known_list(one, givable, "reading or sign"), ()),
        ready={words: known_list(one, names.signs, "sign") for words, one in ready.items()},
    )


def _item(name: str, node: Node, names: Names) -> Item:
    fields = node.fields(need=("title", "wrong", "check"), may=("only if",), what="an item of a stage")
    return Item(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        wrong=optional(fields, "wrong", lambda one: known_list(one, names.signs, "sign"), ()),
        check=optional(fields, "check", lambda one: known(one, names.checks, "check"), ""),
        only_if=optional(fields, "only if", lambda one: kinds_of_parts(one, names.parts), {}),
    )


class MeansTable(msgspec.Struct, frozen=True, kw_only=True):
    """Who may be at the bike (least able first), the tools that checks may need, and the work that they share.

    `roll` are the tools that a rider on the phone may have, `asked` the question for them.
    """

    persons: tuple[str, ...]
    tools: dict[str, Tool]
    covers: dict[str, Cover]
    roll: tuple[str, ...]
    asked: str


def means(pages: Pages, problems: list[Problem]) -> MeansTable:
    """Return the table of means."""
    persons: tuple[str, ...] = ()
    tools: dict[str, Tool] = {}
    covers: dict[str, Cover] = {}
    roll: tuple[str, ...] = ()
    asked = ""
    for _, page in pages:
        fields = page.fields(may=("persons", "tools", "tool roll", "covers"), what="the table of means")
        if "persons" in fields:
            persons = tuple(item.text() for item in fields["persons"].items())
        for name, node in fields["tools"].pairs().items() if "tools" in fields else ():
            tools[name] = tool(name, node)
        if "tool roll" in fields:
            kept = fields["tool roll"].fields(need=("say", "tools"), what="what a rider has with him")
            asked = optional(kept, "say", lambda one: sentence(one, ()), "")
            roll = optional(kept, "tools", lambda one: known_list(one, tools, "tool"), ())
        for name, node in fields["covers"].pairs().items() if "covers" in fields else ():
            covers[name] = _cover(name, node)
    if not persons:
        problems.append(Problem("means.yaml", 0, "lacks 'persons': a list, least able first"))
    return MeansTable(persons=persons, tools=tools, covers=covers, roll=roll, asked=asked)


def drawing(name: str, node: Node, sheets: dict[str, Sheet]) -> Drawing:
    """Return one drawing, with defaults for wrong fields."""
    fields = node.fields(need=("title", "says", "sheet"), may=("state",), what="a drawing")
    made_from = optional(fields, "sheet", lambda one: known(one, sheets, "sheet"), "")
    return Drawing(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        says=optional(fields, "says", lambda one: sentence(one, ()), ""),
        sheet=made_from,
        state=_state(node, fields.get("state"), sheets[made_from]) if made_from else "",
    )


def _state(node: Node, given: Node | None, sheet: Sheet) -> str:
    """Return the state in which a drawing shows its sheet; '' for a sheet that has only one."""
    if not sheet.states:
        if given is not None:
            given.wrong(f"the sheet '{sheet.id}' is always drawn alike; take out 'state'")
        return ""
    if given is None:
        node.wrong(f"the sheet '{sheet.id}' has several states; add 'state:', one of: {', '.join(sheet.states)}")
        return ""
    return given.word(sheet.states, "state of this sheet")


def _cover(name: str, node: Node) -> Cover:
    fields = node.fields(need=("title", "minutes"), may=("each side", "shut to run"), what="work that checks share")
    return Cover(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        minutes=optional(fields, "minutes", Node.number, 0.0),
        each_side=optional(fields, "each side", yes_no, False),
        shut_to_run=optional(fields, "shut to run", yes_no, False),
    )


def shakes(pages: Pages, signs: dict[str, Sign], problems: list[Problem]) -> tuple[dict[str, ShakeOrder], RideNext]:
    """Return the orders of a shake by id, and what to ride next while its source is open; a later page wins."""
    orders: dict[str, ShakeOrder] = {}
    ride_next = None
    for _, page in pages:
        fields = page.fields(may=("orders", "ride next"), what="the table of shakes")
        for name, node in fields["orders"].pairs().items() if "orders" in fields else ():
            orders[name] = _shake_order(name, node, signs)
        if "ride next" in fields:
            ride_next = _ride_next(fields["ride next"])
    if ride_next is None:
        problems.append(Problem("shakes.yaml", 0, "lacks 'ride next': what to ride while a shake is still open"))
    return orders, ride_next or RideNext(none_stands_out="", left_open="", at_one_speed="")


def _shake_order(name: str, node: Node, signs: dict[str, Sign]) -> ShakeOrder:
    fields = node.fields(need=("called", "turns", "shows", "do"), what="what a shake comes with")
    shows = optional(fields, "shows", lambda one: known(one, signs, "sign"), "")
    if shows and signs[shows].sided:
        fields["shows"].wrong(f"'{shows}' is on a side, and a shake tells none; name a sign of the whole bike")
    return ShakeOrder(
        id=name,
        file=node.file,
        line=node.line,
        called=optional(fields, "called", Node.text, ""),
        turns=optional(fields, "turns", _turns, None),
        shows=shows,
        do=optional(fields, "do", lambda one: sentence(one, ()), ""),
    )


def _turns(node: Node) -> float | None:
    """Return its turns per turn of the engine; None with the rear wheel."""
    if node.says(WITH_THE_WHEEL):
        return None
    turns = node.number()
    if not 0.0 < turns <= HIGHEST_ORDER:
        node.wrong(
            f"write the turns for one turn of the engine, above 0 and up to {HIGHEST_ORDER:g}, or '{WITH_THE_WHEEL}'"
        )
    return turns


def _ride_next(node: Node) -> RideNext:
    need = ("none stands out", "left open", "at one speed")
    said = {name: sentence(one, ()) for name, one in node.fields(need=need, what="what to ride next").items()}
    return RideNext(**{name.replace(" ", "_"): said.get(name, "") for name in need})
