"""Reads rules, on the pages of patterns and readings: a closed list of fields."""

from advisor.rulebase.grammar import NO_CONDITIONS, Names, conditions, involves, known, known_list, shown
from advisor.rulebase.model import ReadingIs, Rule
from advisor.yaml_nodes import Node, optional

EVERY = "every"  # sign on the page of a cause
EFFECTS = ("shows", "sets aside", "switches off", "warns", "forbids", "remarks")


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
        forbids=optional(fields, "forbids", involves, ()),
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
