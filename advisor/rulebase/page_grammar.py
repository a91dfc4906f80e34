"""Reads signs, readings, rules, causes and checks: one function a kind of page, each a closed list of fields."""

from advisor.quantities import Unit, parse
from advisor.rulebase.grammar import Names, conditions, known, known_key, known_list, shown, yes_no
from advisor.rulebase.model import (
    ENGINE_STATES,
    INVOLVES,
    Bearing,
    Cause,
    Check,
    Condition,
    Link,
    Outcome,
    Reading,
    ReadingIs,
    Rule,
    Shown,
    Sign,
    Words,
)
from advisor.yaml_nodes import Node, optional

SIDES = {"each": True, "none": False}
CAUSE_SIDES = {"one": True, "whole bike": False}
CHECK_SIDES = {"one at a time": True, "once": False}
PICTURES = ("higher", "level")
NO_PICTURE: dict[str, str] = {}
HEALTHY = "word for how often it is seen on a healthy bike"
NO_CAUTIONS = "none"
EVERY = "every"  # sign on a cause's page
EFFECTS = ("shows", "sets aside", "switches off", "warns", "forbids", "remarks")
NO_CONDITIONS: tuple[Condition, ...] = ()
LINK_SIDES: dict[str, tuple[Bearing, ...]] = {"same side": ("this",), "other side": ("other",)}
EACH, EITHER = "each side", "either side"
OF_ALL: dict[str, tuple[Bearing, ...]] = {EACH: ("this", "other"), EITHER: ("this", "other")}


def texts(node: Node) -> tuple[str, ...]:
    """Return a list of texts."""
    return tuple(item.text() for item in node.items())


def sign(name: str, node: Node, words: Words, persons: tuple[str, ...]) -> Sign:
    """Return one sign, with defaults in place of what is wrong, so that what refers to it is still read."""
    need = ("title", "plain", "question", "sides", "seen by", "healthy")
    fields = node.fields(need=need, may=("also", "exclusive", "past", "kind of", "never with"), what="a sign")
    return Sign(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        plain=optional(fields, "plain", Node.text, ""),
        question=optional(fields, "question", Node.text, ""),
        also=optional(fields, "also", texts, ()),
        sided=optional(fields, "sides", _sided, False),
        exclusive=optional(fields, "exclusive", yes_no, False),
        past=optional(fields, "past", yes_no, False),
        kind_of=optional(fields, "kind of", Node.text, ""),
        never_with=optional(fields, "never with", texts, ()),
        seen_by=optional(fields, "seen by", lambda one: one.word(persons, "person"), ""),
        healthy=optional(fields, "healthy", lambda one: one.word(words.healthy, HEALTHY), ""),
    )


def _sided(node: Node) -> bool:
    return SIDES.get(node.word(SIDES, "choice of sides"), False)


def reading(name: str, node: Node, units: dict[str, Unit]) -> Reading:
    """Return one kind of reading, with defaults in place of what is wrong."""
    fields = node.fields(
        need=("title", "unit", "sides", "plausible", "taken"),
        may=(
            "trusted within",
            "instrument",
            "stalls",
            "hoses exchanged of",
            "zeroed by",
            "adds up",
            "picture",
            "question",
        ),
        what="a reading",
    )
    unit = optional(fields, "unit", lambda one: one.word(units, "unit"), "")
    lowest, highest = optional(fields, "plausible", lambda one: _bounds(one, unit), (0.0, 0.0))
    return Reading(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        unit=unit,
        sided=optional(fields, "sides", _sided, False),
        lowest=lowest,
        highest=highest,
        give=optional(fields, "trusted within", lambda one: _give(one, unit, units), 0.0) if unit else 0.0,
        instrument=optional(fields, "instrument", lambda one: _give(one, unit, units), 0.0) if unit else 0.0,
        stalls=optional(fields, "stalls", lambda one: _give(one, unit, units), 0.0) if unit else 0.0,
        exchanges=optional(fields, "hoses exchanged of", Node.text, ""),
        zeroed_by=optional(fields, "zeroed by", Node.text, ""),
        adds=optional(fields, "adds up", texts, ()),
        picture=optional(fields, "picture", _picture, NO_PICTURE),
        taken=optional(fields, "taken", Node.text, ""),
        question=optional(fields, "question", Node.text, ""),
    )


def _picture(node: Node) -> dict[str, str]:
    """Return what a difference between the sides means: `higher` for the side that has more, else `level`."""
    return {name: one.text() for name, one in node.fields(need=PICTURES, what="the picture").items()}


def _bounds(node: Node, unit: str) -> tuple[float, float]:
    bounds = [item.number() for item in node.items()]
    if len(bounds) != 2 or bounds[0] >= bounds[1]:  # noqa: PLR2004 - lowest and highest
        node.wrong(f"write the lowest and the highest believable figure in {unit}, like [0, 6000]")
        return 0.0, 0.0
    return bounds[0], bounds[1]


def _give(node: Node, unit: str, units: dict[str, Unit]) -> float:
    quantity = parse(node.text(), unit, units)
    if isinstance(quantity, str):
        node.wrong(quantity)
        return 0.0
    return quantity.value


def rule(name: str, node: Node, names: Names) -> Rule | None:
    """Return one forward-chained rule."""
    may = ("unless", *EFFECTS, "otherwise", "source", "examples")
    fields = node.fields(need=("when", "reason"), may=may, what="a rule")
    if "when" not in fields or "reason" not in fields:
        return None
    effects = [effect for effect in EFFECTS if effect in fields]
    if not effects:
        node.wrong(f"a rule that does nothing; it needs one of: {', '.join(EFFECTS)}")
    when = conditions(fields["when"], names)
    if not when:
        fields["when"].wrong("a rule needs at least one condition that must hold")
    unless = optional(fields, "unless", lambda one: conditions(one, names), NO_CONDITIONS)
    if any(isinstance(one, ReadingIs) for one in unless):
        fields["unless"].wrong("'unless' asks for signs and parts; turn the reading into a sign first")
    givable = [*names.readings, *names.signs]
    otherwise = "otherwise" in fields and bool(fields["otherwise"].word(("not seen",), "alternative"))
    if otherwise and sum(isinstance(one, ReadingIs) for one in when) != 1:
        fields["otherwise"].wrong("'otherwise: not seen' needs exactly one condition on a reading to turn round")
    return Rule(
        id=name,
        file=node.file,
        line=node.line,
        when=when,
        unless=unless,
        shows=optional(fields, "shows", lambda one: shown(one, names), ()),
        otherwise=otherwise,
        sets_aside=optional(fields, "sets aside", lambda one: known_list(one, givable, "reading or sign"), ()),
        switches_off=optional(fields, "switches off", lambda one: _links(one, names), ()),
        warns=optional(fields, "warns", lambda one: known_list(one, names.cautions, "caution"), ()),
        forbids=optional(fields, "forbids", _involves, ()),
        remark=optional(fields, "remarks", Node.text, ""),
        reason=fields["reason"].text(),
        source=optional(fields, "source", Node.text, ""),
    )


def _links(node: Node, names: Names) -> tuple[tuple[str, str], ...]:
    """Return (cause, sign) pairs that a rule switches off: one sign, or `every` one on the cause's page but some."""
    found: list[tuple[str, str]] = []
    for item in node.items():
        fields = item.fields(need=("cause", "sign"), may=("but",), what="a link to switch off")
        if not {"cause", "sign"} <= set(fields):
            continue
        cause = known(fields["cause"], names.causes, "cause")
        linked = names.causes.get(cause, ())
        kept: tuple[str, ...] = ()
        if fields["sign"].text() != EVERY:
            linked = (known(fields["sign"], names.signs, "sign"),)
        if "but" in fields and linked:  # else that page is at fault, and says so itself
            kept = known_list(fields["but"], linked, "sign that it switches off")
        found += [(cause, sign) for sign in linked if cause and sign and sign not in kept]
    return tuple(found)


def cause(place: str, node: Node, names: Names, words: Words) -> Cause | None:
    """Return one cause page."""
    need = ("id", "title", "sides", "met", "signs", "settled by", "remedy", "minutes", "then must hold", "reason")
    fields = node.fields(need=need, may=("cautions", "source", "examples", "not told from"), what="a cause page")
    if "cautions" not in fields:
        node.wrong(f"say what can hurt while this is put right: 'cautions: [...]', or 'cautions: {NO_CAUTIONS}'")
    if not set(need) <= set(fields):
        return None
    sided = CAUSE_SIDES.get(fields["sides"].word(CAUSE_SIDES, "choice of sides"), False)
    return Cause(
        id=fields["id"].text(),
        file=node.file,
        line=node.line,
        title=fields["title"].text(),
        place=place,
        sided=sided,
        met=fields["met"].word(words.met, "word for how often a cause is met"),
        links=links(fields["signs"], sided, names, words),
        settled_by=known(fields["settled by"], names.checks, "check"),
        remedy=fields["remedy"].text(),
        minutes=_minutes(fields["minutes"]),
        must_hold=known_list(fields["then must hold"], names.signs, "sign"),
        not_told_from=optional(fields, "not told from", lambda one: _alike(one, names), NO_PICTURE),
        cautions=optional(fields, "cautions", lambda one: _cautions(one, names), ()),
        reason=fields["reason"].text(),
        source=optional(fields, "source", Node.text, ""),
    )


def _cautions(node: Node, names: Names) -> tuple[str, ...]:
    """Return what can hurt while this is put right; a page with nothing that can says so outright: `none`."""
    return () if node.value == NO_CAUTIONS else known_list(node, names.cautions, "caution")


def _alike(node: Node, names: Names) -> dict[str, str]:
    """Return the causes that no check tells this one from, with the reasons."""
    return {
        name: reason.text()
        for name, reason in node.pairs().items()
        if known_key(name, node, names.causes, "cause", names.causes)
    }


def links(node: Node, sided: bool, names: Names, words: Words) -> tuple[Link, ...]:
    """Return how often the cause shows each of its signs, and on which side."""
    found: list[Link] = []
    for name, state in node.pairs().items():
        if not known_key(name, node, names.signs, "sign", names.signs):
            continue
        if not names.signs[name].sided:
            found.append(Link(sign=name, bearing="none", shows=_how_often(state, words)))
            continue
        allowed = LINK_SIDES if sided else OF_ALL
        if not isinstance(state.value, dict):
            ways = " or ".join(f"'{{{one}: {state.value or 'often'}}}'" for one in allowed)
            state.wrong(f"'{name}' is seen on a side; write {ways}")
            continue
        for side, strength in state.fields(may=allowed, what=f"the sign '{name}'").items():
            if side == EITHER and not names.signs[name].exclusive:
                strength.wrong(f"'{name}' can be there on both sides at once; write '{EACH}'")
            shows, either = _how_often(strength, words), side == EITHER
            found.extend(Link(sign=name, bearing=one, shows=shows, either=either) for one in allowed[side])
    return tuple(found)


def _how_often(node: Node, words: Words) -> str:
    return node.word(words.shows, "word for how often a sign is shown")


def _involves(node: Node) -> tuple[str, ...]:
    return tuple(word for word in (item.word(INVOLVES, "thing done with the engine") for item in node.items()) if word)


def _minutes(node: Node) -> float:
    value = node.number()
    if value <= 0:
        node.wrong("minutes must be more than 0")
    return max(value, 0.1)


def check(name: str, node: Node, names: Names, persons: tuple[str, ...], words: Words) -> Check | None:
    """Return one check."""
    need = ("title", "do", "sides", "who", "how", "minutes", "place", "outcomes")
    may = ("say", "tools", "engine", "involves", "needs", "unless", "only after", "takes", "opens", "cautions")
    fields = node.fields(need=need, may=may, what="a check")
    if not set(need) <= set(fields):
        return None
    sided = CHECK_SIDES.get(fields["sides"].word(CHECK_SIDES, "choice of sides"), False)
    return Check(
        id=name,
        file=node.file,
        line=node.line,
        title=fields["title"].text(),
        say=optional(fields, "say", Node.text, ""),
        steps=texts(fields["do"]),
        sided=sided,
        who=fields["who"].word(persons, "person"),
        how=fields["how"].word(words.trust, "word for how it is known"),
        tools=optional(fields, "tools", lambda one: known_list(one, names.tools, "tool"), ()),
        minutes=_minutes(fields["minutes"]),
        engine=fields["engine"].word(ENGINE_STATES, "state of the engine") if "engine" in fields else "any",
        involves=optional(fields, "involves", _involves, ()),
        place=fields["place"].text(),
        needs=optional(fields, "needs", lambda one: conditions(one, names), NO_CONDITIONS),
        unless=optional(fields, "unless", lambda one: conditions(one, names), NO_CONDITIONS),
        only_after=optional(fields, "only after", lambda one: known_list(one, names.signs, "sign"), ()),
        takes=optional(fields, "takes", lambda one: known_list(one, names.readings, "reading"), ()),
        opens=optional(fields, "opens", lambda one: known(one, names.covers, "cover"), ""),
        cautions=optional(fields, "cautions", lambda one: known_list(one, names.cautions, "caution"), ()),
        outcomes=tuple(
            found for found in (_outcome(item, sided, names) for item in fields["outcomes"].items()) if found
        ),
    )


def _outcome(node: Node, sided: bool, names: Names) -> Outcome | None:
    fields = node.fields(need=("says", "shows"), what="an outcome")
    if len(fields) < 2:  # noqa: PLR2004 - says and shows
        return None
    settles = shown(fields["shows"], names)
    return Outcome(says=fields["says"].text(), either_side=not sided and _one_sided(settles), shows=settles)


def _one_sided(settles: tuple[Shown, ...]) -> bool:
    """Whether left and right make two different outcomes of it."""
    swap = {"this": "other", "other": "this"}
    mirrored = {(one.sign, swap.get(one.bearing, "none"), one.seen) for one in settles}
    return mirrored != {(one.sign, one.bearing, one.seen) for one in settles}
