"""Reads the pages of signs: a closed list of fields."""

from advisor.rulebase.grammar import OTHER, SIDE, on_sides, sentence, texts, yes_no
from advisor.rulebase.model import MainTrouble, Sign
from advisor.rulebase.table_records import Words
from advisor.yaml_nodes import Node, optional

HEALTHY = "word for how often it is seen on a healthy bike"
NEVER = "never with", "other side never with", "never without", "both sides never without"


def sign(name: str, node: Node, words: Words, persons: tuple[str, ...]) -> Sign:
    """Return one sign, with defaults for wrong fields, so that pages referring to it are still read."""
    need = ("title", "plain", "question", "sides", "seen by", "healthy")
    fields = node.fields(
        need=need,
        may=("also", "well", "exclusive", "past", "only later", "kind of", "do", "main trouble", *NEVER),
        what="a sign",
    )
    sided = optional(fields, "sides", on_sides, False)
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
