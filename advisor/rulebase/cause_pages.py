"""Reads the pages of causes: a closed list of fields."""

from advisor.errors import Problem
from advisor.rulebase.grammar import Names, known, known_key, known_list, minutes, sentence, texts, yes_no
from advisor.rulebase.model import Bearing, Cause, Link
from advisor.rulebase.table_records import Words
from advisor.yaml_nodes import Node, optional

CAUSE_SIDES = {"one": True, "whole bike": False}
NO_REASONS: dict[str, str] = {}
NO_CAUTIONS = "none"
BOTH_AT_ONCE = "both sides at once"
REPAIR = (BOTH_AT_ONCE, "also cures", "new parts")  # what else a repair does and needs
LINK_SIDES: dict[str, tuple[Bearing, ...]] = {"same side": ("this",), "other side": ("other",)}
BIKE, EACH, EITHER = "the bike", "each side", "either side"
OF_BIKE: tuple[Bearing, ...] = ("none",)
OF_ALL: dict[str, tuple[Bearing, ...]] = {EACH: ("this", "other"), EITHER: ("this", "other")}


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
        minutes=minutes(fields["minutes"]),
        both_sides=optional(fields, BOTH_AT_ONCE, lambda one: _both_sides(one, sided), False),
        also_cures=optional(fields, "also cures", lambda one: known_list(one, names.causes, "cause"), ()),
        new_parts=optional(fields, "new parts", yes_no, False),
        say=optional(fields, "say", sentence if sided else lambda one: sentence(one, ()), ""),
        must_hold=known_list(fields["then must hold"], names.signs, "sign"),
        not_told_from=optional(fields, "not told from", lambda one: _alike(one, names), NO_REASONS),
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
