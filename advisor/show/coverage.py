"""A rule base's coverage on a terminal."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.rulebase.coverage import Coverage, accepted_names
from advisor.show.screen import Rows, heading

COLUMNS = "{:27}{:>6}{:>6}  {:29}{:>4}{:>4}"


def table(found: Coverage) -> Group:
    """Return the whole table, to be printed."""
    return Group(*_table(found))


def _table(found: Coverage) -> Iterator[RenderableType]:
    yield heading(f"{found.causes} causes ({found.sides} with their sides), {found.signs} signs, {found.checks} checks")
    yield Text()
    yield heading(COLUMNS.format("cause", "signs", "told", "settled by", "min", "≈"))
    for one in found.reach:
        mark = {"rider": "*", "mechanic": ""}.get(one.who, "!")
        check = f"{one.settled_by}{mark}"
        yield Text(COLUMNS.format(one.cause, one.signs, one.told, check[:28], f"{one.minutes:g}", _alike(one.alike)))
    yield Text()
    lines = [
        ("  told", "signs that a rider can see"),
        ("  min", "minutes of the deciding check; * a rider can do it, ! only a workshop"),
        ("  ≈", "other causes that a rider's own checks cannot tell it from"),
    ]
    yield Rows([(label, Text(text, style="dim")) for label, text in lines], label=8)
    yield Text()
    yield Rows([("strengths", Text(_counts(found.strengths))), ("healthy", Text(_counts(found.healthy)))], label=14)
    yield Rows([("one cause only", Text(", ".join(found.rare)))], label=16)
    if found.by_rule:
        yield Rows([("by rules only", Text(", ".join(found.by_rule)))], label=16)
    yield Rows([("not told apart", Text(line)) for line in accepted_names(found) or ["none"]], label=16)


def _alike(counts: dict[str, int]) -> str:
    return str(next(iter(counts.values())))


def _counts(counts: dict[str, int]) -> str:
    whole = max(sum(counts.values()), 1)
    return ", ".join(f"{word} {count} ({100 * count / whole:.0f}%)" for word, count in counts.items())
