"""Reads signs, readings, rules, causes and checks: one function per kind of page, each a closed list of fields."""

from pathlib import Path
from typing import get_args

from advisor.errors import Problem
from advisor.quantities import Unit
from advisor.rulebase.grammar import (
    OTHER,
    SIDE,
    Names,
    conditions,
    known,
    known_key,
    known_list,
    one_figure,
    sentence,
    shown,
    yes_no,
)
from advisor.rulebase.model import (
    ENGINE_STATES,
    INVOLVES,
    Bearing,
    Cause,
    Check,
    Condition,
    Limit,
    Link,
    Logged,
    MainTrouble,
    Outcome,
    Reading,
    ReadingIs,
    Rule,
    Shown,
    Sign,
    Words,
)
from advisor.rulebase.source import place_of
from advisor.yaml_nodes import Node, optional

SIDES = {"each": True, "none": False}
CAUSE_SIDES = {"one": True, "whole bike": False}
CHECK_SIDES = {"one at a time": True, "once": False}
HIGHER, NEITHER = "higher", "neither"
PICTURES = (HIGHER, "level")
NO_PICTURE: dict[str, str] = {}
NOT_LOGGED: dict[Logged, str] = {}
HEALTHY = "word for how often it is seen on a healthy bike"
NO_CAUTIONS = "none"
BOTH_AT_ONCE = "both sides at once"
REPAIR = (BOTH_AT_ONCE, "also cures", "new parts")  # what else a repair does and needs
EVERY = "every"  # sign on the page of a cause
EFFECTS = ("shows", "sets aside", "switches off", "warns", "forbids", "remarks")
NO_CONDITIONS: tuple[Condition, ...] = ()
LINK_SIDES: dict[str, tuple[Bearing, ...]] = {"same side": ("this",), "other side": ("other",)}
BIKE, EACH, EITHER = "the bike", "each side", "either side"
OF_BIKE: tuple[Bearing, ...] = ("none",)
OF_ALL: dict[str, tuple[Bearing, ...]] = {EACH: ("this", "other"), EITHER: ("this", "other")}


NEVER = "never with", "other side never with", "never without", "both sides never without"


def texts(node: Node) -> tuple[str, ...]:
    """Return a list of texts."""
    return tuple(item.text() for item in node.items())


def sign(name: str, node: Node, words: Words, persons: tuple[str, ...]) -> Sign:
    """Return one sign, with defaults for wrong fields, so that pages referring to it are still read."""
    need = ("title", "plain", "question", "sides", "seen by", "healthy")
    fields = node.fields(
        need=need,
        may=("also", "well", "exclusive", "past", "only later", "kind of", "do", "main trouble", *NEVER),
        what="a sign",
    )
    sided = optional(fields, "sides", _sided, False)
    return Sign(
        id=name,
        file=node.file,
        line=node.line,
        title=optional(fields, "title", Node.text, ""),
        plain=optional(fields, "plain", Node.text, ""),
        question=optional(fields, "question", Node.text, ""),
        also=optional(fields, "also", texts, ()),
        well=optional(fields, "well", texts, ()),
        sided=sided,
        exclusive=optional(fields, "exclusive", yes_no, False),
        past=optional(fields, "past", yes_no, False),
        later=optional(fields, "only later", yes_no, False),
        kind_of=optional(fields, "kind of", Node.text, ""),
        never_with=optional(fields, NEVER[0], texts, ()),
        other_side_never_with=optional(fields, NEVER[1], texts, ()),
        never_without=optional(fields, NEVER[2], texts, ()),
        both_never_without=optional(fields, NEVER[3], texts, ()),
        main=optional(fields, "main trouble", lambda one: _main_trouble(one, (SIDE,) if sided else ()), None),
        seen_by=optional(fields, "seen by", lambda one: one.word(persons, "person"), ""),
        healthy=optional(fields, "healthy", lambda one: one.word(words.healthy, HEALTHY), ""),
        do=optional(fields, "do", lambda one: sentence(one, (SIDE, OTHER) if sided else ()), ""),
    )


def _main_trouble(node: Node, names: tuple[str, ...]) -> MainTrouble:
    fields = node.fields(need=("turn", "says"), what="a main trouble")
    turn = optional(fields, "turn", Node.number, 0.0)
    return MainTrouble(turn, optional(fields, "says", lambda one: sentence(one, names), ""))


def _sided(node: Node) -> bool:
    return SIDES.get(node.word(SIDES, "choice of sides"), False)


def reading(name: str, node: Node, units: dict[str, Unit], limits: dict[str, Limit]) -> Reading:
    """Return one kind of reading, with defaults for wrong fields."""
    fields = node.fields(
        need=("title", "unit", "sides", "plausible", "taken"),
        may=(
            "trusted within",
            "instrument",
            "stalls",
            "hoses exchanged of",
            "zeroed by",
            "adds up",
            "from low to high",
            "also",
            "picture",
            "nothing below",
            "take again",
            "in a log",
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
        range_is=optional(fields, "from low to high", Node.text, ""),
        picture=optional(fields, "picture", _picture, NO_PICTURE),
        also=optional(fields, "also", texts, ()),
        nothing_below=optional(fields, "nothing below", lambda one: known(one, limits, "limit"), ""),
        take_again=optional(fields, "take again", lambda one: sentence(one, ()), ""),
        in_a_log=optional(fields, "in a log", _in_a_log, NOT_LOGGED),
        taken=optional(fields, "taken", Node.text, ""),
        question=optional(fields, "question", Node.text, ""),
    )


def _picture(node: Node) -> dict[str, str]:
    """Return what a difference between the sides means: `higher` for the side that has more, else `level`.

    `neither` is what to ask if the engine runs but neither side has anything.
    """
    fields = node.fields(need=PICTURES, may=(NEITHER,), what="the picture")
    return {name: sentence(one, (SIDE, OTHER) if name == HIGHER else ()) for name, one in fields.items()}


def _in_a_log(node: Node) -> dict[Logged, str]:
    """Return what to say about each way the idle misbehaves in a recorded log."""
    fields = node.fields(may=get_args(Logged), what="what an idle does in a log")
    return {word: sentence(fields[word], ()) for word in get_args(Logged) if word in fields}


def _bounds(node: Node, unit: str) -> tuple[float, float]:
    bounds = [item.number() for item in node.items()]
    if len(bounds) != 2 or bounds[0] >= bounds[1]:  # noqa: PLR2004 - lowest and highest
        node.wrong(f"write the lowest and the highest believable figure in {unit}, like [0, 6000]")
        return 0.0, 0.0
    return bounds[0], bounds[1]


def _give(node: Node, unit: str, units: dict[str, Unit]) -> float:
    return one_figure(node, units, unit) or 0.0


def rule(name: str, node: Node, names: Names) -> Rule | None:
    """Return one forward-chained rule."""
    may = ("unless", *EFFECTS, "otherwise", "safe looks", "source", "examples")
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
        looks=optional(fields, "safe looks", lambda one: known_list(one, names.checks, "check"), ()),
    )


def _links(node: Node, names: Names) -> tuple[tuple[str, str], ...]:
    """Return (cause, sign) pairs that a rule switches off: one sign, or `every` sign of the cause but a few."""
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
        if "but" in fields and linked:  # if not, the cause's page is at fault, and is reported on its own
            kept = known_list(fields["but"], linked, "sign that it switches off")
        found += [(cause, sign) for sign in linked if cause and sign and sign not in kept]
    return tuple(found)


def cause(place: str, node: Node, names: Names, words: Words) -> Cause | None:
    """Return one cause page."""
    need = ("id", "title", "sides", "met", "signs", "settled by", "remedy", "minutes", "then must hold", "reason")
    may = ("also", *REPAIR, "say", "cautions", "source", "examples", "not told from")
    fields = node.fields(need=need, may=may, what="a cause page")
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
        also=optional(fields, "also", texts, ()),
        place=place,
        sided=sided,
        met=fields["met"].word(words.met, "word for how often a cause is met"),
        links=links(fields["signs"], sided, names, words),
        settled_by=known(fields["settled by"], names.checks, "check"),
        remedy=fields["remedy"].text(),
        minutes=_minutes(fields["minutes"]),
        both_sides=optional(fields, BOTH_AT_ONCE, lambda one: _both_sides(one, sided), False),
        also_cures=optional(fields, "also cures", lambda one: known_list(one, names.causes, "cause"), ()),
        new_parts=optional(fields, "new parts", yes_no, False),
        say=optional(fields, "say", sentence if sided else lambda one: sentence(one, ()), ""),
        must_hold=known_list(fields["then must hold"], names.signs, "sign"),
        not_told_from=optional(fields, "not told from", lambda one: _alike(one, names), NO_PICTURE),
        cautions=optional(fields, "cautions", lambda one: _cautions(one, names), ()),
        reason=fields["reason"].text(),
        source=optional(fields, "source", Node.text, ""),
    )


def _both_sides(node: Node, sided: bool) -> bool:
    both = yes_no(node)
    if both and not sided:
        node.wrong(f"a fault of the whole bike has no sides; take out '{BOTH_AT_ONCE}'")
    return both and sided


def _cautions(node: Node, names: Names) -> tuple[str, ...]:
    """Return what can hurt during the repair; if nothing can, the page must say `none`."""
    return () if node.says(NO_CAUTIONS) else known_list(node, names.cautions, "caution")


def _alike(node: Node, names: Names) -> dict[str, str]:
    """Return the causes that no check tells this one from, with the reasons."""
    return {
        name: reason.text()
        for name, reason in node.pairs().items()
        if known_key(name, node, names.causes, "cause", names.causes)
    }


def links(node: Node, sided: bool, names: Names, words: Words) -> tuple[Link, ...]:
    """Return how often the cause shows each of its signs, and on which side: in order of how often, then side."""
    found: list[Link] = []
    lines: dict[tuple[str, Bearing], Node] = {}
    groups = node.pairs()
    if old := next((name for name in groups if name in names.signs), ""):
        node.problems.append(Problem(node.file, node.keys[old], _old_form(old, groups[old], sided, names)))
        return ()
    for shows, sides in groups.items():
        if not _how_often(Node(shows, node.file, node.keys[shows], node.problems), words):
            continue
        allowed = {BIKE: OF_BIKE, **(LINK_SIDES if sided else OF_ALL)}
        for side, signs in sides.fields(may=allowed, what="this group of signs").items():
            for item in signs.items():
                name = known(item, names.signs, "sign")
                if not name or not _stands_right(item, name, side, sided, names):
                    continue
                first = lines.setdefault((name, allowed[side][0]), item)
                if first is not item:
                    item.wrong(f"'{name}' is given twice on the same side; first in line {first.line}")
                    continue
                either = side == EITHER
                found.extend(Link(sign=name, bearing=one, shows=shows, either=either) for one in allowed[side])
    return tuple(found)


def _how_often(node: Node, words: Words) -> str:
    return node.word(words.shows, "word for how often a sign is shown")


def _stands_right(item: Node, name: str, side: str, sided: bool, names: Names) -> bool:
    """Whether a sign is listed under a side that it can be on; if not, note where it belongs."""
    sign = names.signs[name]
    if sign.sided and side == BIKE:
        item.wrong(f"'{name}' is seen on a side; put it under {_sides(sided)}")
        return False
    if not sign.sided and side != BIKE:
        item.wrong(f"'{name}' is seen of the whole bike; put it under '{BIKE}'")
        return False
    if side == EITHER and not sign.exclusive:
        item.wrong(f"'{name}' can be there on both sides at once; put it under '{EACH}'")
        return False
    return True


def _sides(sided: bool) -> str:
    return " or ".join(f"'{one}'" for one in (LINK_SIDES if sided else OF_ALL))


def _old_form(name: str, state: Node, sided: bool, names: Names) -> str:
    """Return what to write instead of 'sign: how often', the earlier form."""
    if isinstance(state.value, dict) and state.value:
        side, word = next((side, one.value) for side, one in state.value.items())
    else:
        side, word = next(iter(LINK_SIDES if sided else OF_ALL)) if names.signs[name].sided else BIKE, state.value
    return (
        f"signs stand in groups by how often, then by side; write '{word or 'often'}:', "
        f"below it '{side}: [{name}]', and so with all signs of this page"
    )


def _involves(node: Node) -> tuple[str, ...]:
    return tuple(word for word in (item.word(INVOLVES, "thing done with the engine") for item in node.items()) if word)


def _minutes(node: Node) -> float:
    value = node.number()
    if value <= 0:
        node.wrong("minutes must be more than 0")
    return max(value, 0.1)


DRAWING = "drawing"
WHEN_ASKED = "only after", "first after", "not found"


def check(name: str, node: Node, names: Names, persons: tuple[str, ...], words: Words) -> Check | None:
    """Return one check."""
    need = ("title", "do", "sides", "who", "how", "minutes", "outcomes")
    may = ("say", "tools", "engine", "involves", "needs", "unless", "takes", "opens", "place", "cautions", DRAWING)
    fields = node.fields(need=need, may=(*may, *WHEN_ASKED), what="a check")
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
        place=optional(fields, "place", Node.text, place_of(Path(node.file))),
        needs=optional(fields, "needs", lambda one: conditions(one, names), NO_CONDITIONS),
        unless=optional(fields, "unless", lambda one: conditions(one, names), NO_CONDITIONS),
        only_after=optional(fields, "only after", lambda one: known_list(one, names.signs, "sign"), ()),
        first_after=optional(fields, "first after", lambda one: known_list(one, names.signs, "sign"), ()),
        not_found=optional(fields, "not found", lambda one: one.word(words.trust, "word for how it is known"), ""),
        drawing=optional(fields, DRAWING, lambda one: known(one, names.drawings, "drawing"), ""),
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
    """Whether the outcome differs between left and right."""
    swap = {"this": "other", "other": "this"}
    mirrored = {(one.sign, swap.get(one.bearing, "none"), one.seen) for one in settles}
    return mirrored != {(one.sign, one.bearing, one.seen) for one in settles}
