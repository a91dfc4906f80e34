"""The closed grammar that pages share: known names, sides, conditions, shown signs."""

import re
from collections.abc import Callable, Collection, Container, Iterable

import msgspec

from advisor.errors import Problem, nearest
from advisor.quantities import FIGURE, Unit, parse
from advisor.rulebase.model import INVOLVES, Bearing, Condition, PartIs, Reading, ReadingIs, Shown, Sign, SignIs
from advisor.rulebase.table_records import Choice, Limit
from advisor.yaml_nodes import BLANK, Node

BEARINGS: dict[str, Bearing] = {"this side": "this", "other side": "other"}
SIDES = {"each": True, "none": False}  # of a sign or a reading
SEEN = {"seen": True, "not seen": False}
# What a rule or an outcome may say about a sided sign, as (bearing, seen) pairs.
SIDED_STATES: dict[str, tuple[tuple[Bearing, bool], ...]] = {
    "this side": (("this", True),),
    "other side": (("other", True),),
    "not this side": (("this", False),),
    "not other side": (("other", False),),
    "only this side": (("this", True), ("other", False)),
    "only other side": (("other", True), ("this", False)),
    "both": (("this", True), ("other", True)),
    "neither": (("this", False), ("other", False)),
}
WHOLE_STATES: dict[str, tuple[tuple[Bearing, bool], ...]] = {"yes": (("none", True),), "no": (("none", False),)}
COMPARISONS = {  # what is compared, and whether it must lie above the limit
    "above": ("reading", True),
    "below": ("reading", False),
    "above other side by": ("lead", True),
    "below other side by": ("lead", False),
    "moved by": ("change", True),
    "stays by": ("stays", True),
}

NO_CONDITIONS: tuple[Condition, ...] = ()
SIDE, OTHER = "{side}", "{other}"  # filled in when a sentence is said for one side
BRACED = re.compile(r"\{[^{}]*\}?")


class Names(msgspec.Struct):
    """Everything that pages may refer to by name; for each cause, the signs on its page."""

    signs: dict[str, Sign]
    readings: dict[str, Reading]
    limits: dict[str, Limit]
    parts: dict[str, Choice]
    causes: dict[str, tuple[str, ...]]
    checks: set[str]
    cautions: set[str]
    tools: set[str]
    covers: set[str]
    units: dict[str, Unit]
    drawings: set[str] = set()


def known(node: Node, names: Collection[str], what: str) -> str:
    """Return the name a node holds if it exists, else note the nearest and return ''."""
    text = node.text()
    if text and text not in names:
        node.wrong(_not_known(node, text, names, what))
        return ""
    return text


def known_list(node: Node, names: Iterable[str], what: str) -> tuple[str, ...]:
    """Return the names of a list of existing things."""
    everything = set(names)
    return tuple(name for name in (known(item, everything, what) for item in node.items()) if name)


def known_key(name: str, owner: Node, names: Container[str], what: str, all_names: Iterable[str]) -> bool:
    """Whether a mapping's key names an existing thing; note the nearest when it does not."""
    if name in names:
        return True
    key_line = owner.keys.get(name, owner.line)
    owner.problems.append(Problem(owner.file, key_line, _not_known(owner, name, all_names, what)))
    return False


def unknown(name: str, names: Iterable[str], what: str) -> str:
    """Return the message for an unknown name."""
    return _unknown(name, what, nearest(name, names))


def _not_known(node: Node, name: str, names: Iterable[str], what: str) -> str:
    if BLANK in name:
        return f"a blank is still to fill: a {what}"
    return _unknown(name, what, node.suggested(name, names))


def _unknown(name: str, what: str, near: str) -> str:
    return f"no {what} is called '{name}'{near or '; find the name with: advisor rules search WORDS'}"


def sentence(node: Node, places: tuple[str, ...] = (SIDE,)) -> str:
    """Return a text meant for the user; note anything in braces that is not filled in."""
    text = node.text()
    for found in BRACED.findall(text):
        if found not in places:
            may = f"only {' and '.join(places)} are filled in" if len(places) > 1 else ""
            may = may or (f"only {places[0]} is filled in" if places else "there is no side to fill in")
            node.wrong(f"'{found}' would be said as it stands; here {may}")
    return text


def yes_no(node: Node) -> bool:
    """Return whether the node says yes."""
    return node.word(("yes", "no"), "answer") == "yes"


def texts(node: Node) -> tuple[str, ...]:
    """Return a list of texts."""
    return tuple(item.text() for item in node.items())


def on_sides(node: Node) -> bool:
    """Whether a sign or a reading is told for each side."""
    return SIDES.get(node.word(SIDES, "choice of sides"), False)


def involves(node: Node) -> tuple[str, ...]:
    """Return what is done with the engine: cranked, run, throttled, ridden."""
    return tuple(word for word in (item.word(INVOLVES, "thing done with the engine") for item in node.items()) if word)


def minutes(node: Node) -> float:
    """Return how long something takes, in minutes; note one that takes none."""
    value = node.number()
    if value <= 0:
        node.wrong("minutes must be more than 0")
    return max(value, 0.1)


def bearing(fields: dict[str, Node], node: Node, sided: bool, what: str) -> Bearing:
    """Return the side a condition looks at; required for a sided thing, refused for any other."""
    if "side" not in fields:
        if sided:
            node.wrong(f"{what} is told for each side; add 'side: this side' or 'side: other side'")
        return "this" if sided else "none"
    if not sided:
        fields["side"].wrong(f"{what} has no sides; take out 'side'")
        return "none"
    return BEARINGS.get(fields["side"].word(BEARINGS, "side"), "this")


def condition(node: Node, names: Names) -> Condition | None:
    """Return one condition of a rule, or note what is wrong with it."""
    kinds: dict[str, Callable[[Node, Names], Condition | None]] = {
        "sign": _sign_is,
        "reading": _reading_is,
        "part": _part_is,
    }
    for kind, read in kinds.items():
        if kind in node.pairs():
            return read(node, names)
    node.wrong("a condition begins with 'sign:', 'reading:' or 'part:'")
    return None


def conditions(node: Node, names: Names) -> tuple[Condition, ...]:
    """Return all conditions of a list."""
    return tuple(found for found in (condition(item, names) for item in node.items()) if found)


def _sign_is(node: Node, names: Names) -> Condition | None:
    fields = node.fields(need=("sign",), may=("side", "is"), what="a condition on a sign")
    sign = known(fields["sign"], names.signs, "sign") if "sign" in fields else ""
    if not sign:
        return None
    side = bearing(fields, node, names.signs[sign].sided, f"'{sign}'")
    seen = SEEN.get(fields["is"].word(SEEN, "state of a sign"), True) if "is" in fields else True
    return SignIs(sign, side, seen)


def _reading_is(node: Node, names: Names) -> Condition | None:
    fields = node.fields(need=("reading",), may=("side", *COMPARISONS), what="a condition on a reading")
    reading = known(fields["reading"], names.readings, "reading") if "reading" in fields else ""
    tests = [test for test in COMPARISONS if test in fields]
    if len(tests) != 1:
        node.wrong(f"a condition on a reading has exactly one of: {', '.join(COMPARISONS)}")
        return None
    limit = known(fields[tests[0]], names.limits, "limit")
    if not reading or not limit:
        return None
    of, above = COMPARISONS[tests[0]]
    if of == "stays" and not names.readings[reading].exchanges:
        node.wrong(f"'{reading}' is not taken with the hoses exchanged, so nothing of it can stay")
    side = bearing(fields, node, names.readings[reading].sided and of != "stays", f"'{reading}'")
    _same_dimension(node, names.limits[limit], names.readings[reading], of, names.units)
    if of == "lead" and side == "none":
        node.wrong(f"'{reading}' has no other side to compare with")
    return ReadingIs(reading, side, above, limit, of)


def _same_dimension(node: Node, limit: Limit, reading: Reading, of: str, units: dict[str, Unit]) -> None:
    """Note a limit whose unit does not suit its reading; a lead may also be compared with a percentage."""
    if limit.unit not in units or reading.unit not in units or (of == "lead" and limit.unit == "%"):
        return
    if units[limit.unit].dimension != units[reading.unit].dimension:
        node.wrong(f"'{limit.id}' is in {limit.unit}, but '{reading.id}' is measured in {reading.unit}")


def kinds_of_parts(node: Node, parts: dict[str, Choice]) -> dict[str, str]:
    """Return the kinds in a `part: kind` mapping."""
    found = {}
    for name, kind in node.pairs().items():
        if known_key(name, node, parts, "part", parts):
            found[name] = kind.word(parts[name].kinds, f"kind of {name}")
    return {name: kind for name, kind in found.items() if kind}


def _part_is(node: Node, names: Names) -> Condition | None:
    fields = node.fields(need=("part", "is"), what="a condition on a part")
    part = known(fields["part"], names.parts, "part") if "part" in fields else ""
    if not part or "is" not in fields:
        return None
    kind = fields["is"].word(names.parts[part].kinds, f"kind of {part}")
    return PartIs(part, kind) if kind else None


def shown(node: Node, names: Names) -> tuple[Shown, ...]:
    """Return the signs that a `sign: state` mapping settles."""
    found: list[Shown] = []
    for sign, state in node.pairs().items():
        if not known_key(sign, node, names.signs, "sign", names.signs):
            continue
        states = SIDED_STATES if names.signs[sign].sided else WHOLE_STATES
        word = state.word(states, f"state of '{sign}'")
        found.extend(Shown(sign, side, seen) for side, seen in states.get(word, ()))
    return tuple(found)


def one_figure(node: Node, units: dict[str, Unit], unit: str) -> float | None:
    """Return a figure in a unit; note a range or a half-width, of which only a part would count."""
    text = node.text()
    quantity = parse(text, unit, units)
    if isinstance(quantity, str):
        node.wrong(quantity)
        return None
    match = FIGURE.match(text) if quantity.give or quantity.swing else None
    if match and (match["give"] or match["upto"]):
        node.wrong(f"'{text}' is more than one figure; write one, like '12 {unit}'")
        return None
    return quantity.value


def span(node: Node, units: dict[str, Unit], unit: str = "") -> tuple[float, float, str]:
    """Return the lowest and highest value of a figure or range, and its unit (the one written, or `unit`)."""
    text = node.text()
    unit = unit or next((word for word in sorted(units, key=len, reverse=True) if text.endswith(f" {word}")), "")
    quantity = parse(text, unit, units) if unit else f"'{text}' is not a figure with a unit, like '0.15 mm'"
    if isinstance(quantity, str):
        node.wrong(quantity)
        return 0.0, 0.0, ""
    half = quantity.give or quantity.swing
    return quantity.value - half, quantity.value + half, unit
