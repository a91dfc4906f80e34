"""Draws why a cause ranks where it does, and why this one and not that."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.explain.why_not import Contrast, Turn, Weighed
from advisor.report import Explanation, RankedCause, Why, speaks_against, speaks_for
from advisor.show.screen import Rows, heading
from advisor.show.terminal import set_aside
from advisor.show.words import per_cent, times

NEARLY = (
    "(about): so many seen signs hang together that the exact figure would take too long. "
    "This one is worked out from the likeliest causes alone."
)


def explained(cause: RankedCause, reasons: dict[str, str]) -> Group:
    """Return one cause with its facts, rules, signs and factors. `reasons` holds each rule's own words."""
    return Group(*_cause(cause, reasons))


def _cause(cause: RankedCause, reasons: dict[str, str]) -> Iterator[RenderableType]:
    yield heading(f"{cause.title}: {per_cent(cause.probability)}")
    for name, lines in (
        ("SPEAKS FOR IT", [why for why in cause.why if speaks_for(why.factor)]),
        ("SPEAKS AGAINST IT", [why for why in cause.why if speaks_against(why.factor)]),
    ):
        if lines:
            yield Text()
            yield heading(name)
            for why in lines:
                yield Rows(_why(why, reasons), label=11)
    if cause.unexplained:
        yield Text()
        yield heading("IT LEAVES UNEXPLAINED")
        yield Rows([("  -", Text(line)) for line in cause.unexplained], label=4)
    yield Text()
    shown = [why for why in cause.why if speaks_for(why.factor) or speaks_against(why.factor)]
    yield from _nearly([*shown])
    if isinstance(cause, Explanation):
        yield from set_aside(cause.set_aside)


def _nearly(shown: Sequence[Why | Weighed | Turn]) -> Iterator[RenderableType]:
    """Yield what `(about)` means, if it is there."""
    if any(one.near for one in shown):
        yield Rows([("", Text(NEARLY, style="dim"))], label=2)
        yield Text()


def _about(near: bool) -> str:
    return " (about)" if near else ""


def _why(why: Why, reasons: dict[str, str]) -> Iterator[tuple[str, Text]]:
    state = "" if why.state == "seen" else "not: "
    yield "  sign", Text.assemble((f"{state}{why.title}", "bold"), f": {times(why.factor)}{_about(why.near)}")
    for fact in why.facts:
        yield "    fact", Text(fact)
    for rule in why.rules:
        yield "    rule", Text.assemble(rule, (f": {reasons[rule]}" if rule in reasons else "", "dim"))


def contrasted(found: Contrast) -> Group:
    """Return two causes side by side."""
    return Group(*_contrast(found))


def _contrast(found: Contrast) -> Iterator[RenderableType]:
    yield Text.assemble(("WHY ", "bold"), f"{found.first_title} ({per_cent(found.first_probability)})")
    yield Text.assemble(("AND NOT ", "bold"), f"{found.second_title} ({per_cent(found.second_probability)})")
    for name, lines in (
        ("THESE FAVOUR THE FIRST", [one for one in found.weighed if speaks_for(one.factor)]),
        ("THESE FAVOUR THE SECOND", [one for one in found.weighed if speaks_against(one.factor)]),
    ):
        if lines:
            yield Text()
            yield heading(name)
            yield Rows([(f"  {_plain_times(one.factor)}", _sign(one)) for one in lines], label=14)
    yield Text()
    yield heading("THE ORDER WOULD CHANGE IF")
    if found.turns:
        yield Rows([("  -", _turn(turn)) for turn in found.turns], label=4)
    else:
        yield Text("  no single sign would do it.")
    yield Text()
    shown = [one for one in found.weighed if speaks_for(one.factor) or speaks_against(one.factor)]
    yield from _nearly([*shown, *found.turns])
    yield from set_aside(found.set_aside)


def _plain_times(factor: float) -> str:
    return times(factor).split(" likelier")[0].split(" less")[0]


def _sign(one: Weighed) -> Text:
    return Text(f"{'' if one.state == 'seen' else 'not: '}{one.title}{_about(one.near)}")


def _turn(turn: Turn) -> Text:
    state = "" if turn.state == "seen" else "not: "
    then = f" then {per_cent(turn.second)} against {per_cent(turn.first)}{_about(turn.near)}"
    how = "told so far the other way" if turn.known else turn.check
    return Text.assemble(f"{state}{turn.title}", (f" ({how});{then}", "dim"))


__all__: Sequence[str] = ["contrasted", "explained"]
