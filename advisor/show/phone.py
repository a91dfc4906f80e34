"""A session on the phone: what to say aloud, what may be answered, when to stop, and which tools the rider has."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.session.next_question import CHECK, HOLDS, REPAIR
from advisor.session.shown import AskToolRoll, QuestionShown, ToldSoFar
from advisor.show.bench import cautions, in_one_line, warnings
from advisor.show.screen import Rows, heading
from advisor.show.words import in_short

DO_NOT_RIDE = "Do not ride on. Leave it where it stands, or have it carried."
MAY_TYPE = "or not known, can't, undo, where, why, hand over, help"
MAY_END = "hand over shows the sheet, sheet FILE writes it, stop ends the call; undo, where, why, help"
TOOLS = "numbers, like 1 2; all; nothing, if he has none or would rather not"


def question(found: QuestionShown) -> Group:
    """Return the question, to be printed."""
    return Group(*_question(found))


def _question(found: QuestionShown) -> Iterator[RenderableType]:
    asked = found.question
    ends = asked.kind not in {CHECK, REPAIR, HOLDS}
    yield Text()
    if not found.may_ride:
        fresh = not all(one.again for one in found.dangers)
        yield heading("STOP")
        yield cautions(found.dangers)
        if not ends:
            yield warnings([DO_NOT_RIDE if fresh else in_short(DO_NOT_RIDE)])
    first = tuple(one for one in found.dangers if not one.again) if found.may_ride else ()  # each is said once
    if first or found.cautions:
        yield heading("SAY FIRST")
        yield cautions((*first, *found.cautions))
    if ends:
        yield heading(asked.title)
        yield Rows([("  -", Text(step)) for step in asked.steps if step != asked.title], label=4)
    if found.aloud:
        yield heading("SAY LAST" if ends else "SAY")
        yield Rows([("", Text(f"“{found.aloud}”", style="bold"))], label=2)
        yield Rows([("  word", Text(f"“{one}”")) for one in found.words], label=7)
    if not ends:
        yield Rows([("  how", Text(" ".join(asked.steps), style="dim"))], label=7)
    if asked.options:
        yield heading("THE ANSWER IS LIKE")
        yield Rows([(f"  {number}", Text(one.says)) for number, one in enumerate(asked.options, start=1)], label=5)
    yield Rows([("", Text(MAY_END if ends else MAY_TYPE, style="dim"))], label=5)


def read_back(says: str) -> Rows:
    """Return what to read back to the rider."""
    return Rows([("READ BACK", Text(f"“{says} Is that right?” (undo if not)", style="bold"))], label=11)


def told(found: ToldSoFar) -> Rows:
    """Return what was told, to be read back to the rider in one sentence."""
    says = f"“So: {in_one_line(found.says)}. Is that right?” (undo if not; 'not 1', 'drop 1')"
    return Rows([("READ BACK", Text(says, style="bold"))], label=11)


def tool_roll(found: AskToolRoll) -> Group:
    """Return the one question for the rider's tools."""
    return Group(
        Text(),
        heading("SAY"),
        Rows([("", Text(f"“{found.aloud}”", style="bold"))], label=2),
        Rows([(f"  {number}", Text(one)) for number, one in enumerate(found.titles, start=1)], label=5),
        Text(f"  {TOOLS}", style="dim"),
    )
