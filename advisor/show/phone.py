"""A session on the phone: what to say aloud, what may be answered, when to stop, and which tools the rider has."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.session.next_question import CHECK, HOLDS, REPAIR
from advisor.session.room import ANSWERS, CARE, DO_NOT_RIDE, in_short
from advisor.session.shown import AskToolRoll, QuestionShown, SetRight, ToldSoFar
from advisor.show.bench import answers_to_choose, cautions, hint, in_one_line, warnings
from advisor.show.screen import Rows, heading

MAY_TYPE = "or not known, can't, why, hand over, help"
MAY_END = "hand over shows the sheet, sheet FILE writes it, stop ends the call; undo, where, why, help"
TOOLS = "numbers, like 1 2; all; nothing, if he has none or would rather not"


def question(found: QuestionShown) -> Group:
    """Return the question, to be printed."""
    return Group(*_question(found))


def _question(found: QuestionShown) -> Iterator[RenderableType]:
    asked, ends = found.question, _ends(found)
    yield Text()
    if found.cares:
        yield from _care(found)
    if found.part not in {CARE, ANSWERS}:
        if ends or not found.aloud:
            yield heading(asked.title)
            yield Rows([("  -", Text(step)) for step in asked.steps if step != asked.title], label=4)
        if found.aloud:
            yield heading("SAY LAST" if ends else "SAY")
            yield Rows([("", Text(f"“{found.aloud}”", style="bold"))], label=2)
            yield Rows([("  word", Text(f"“{one}”")) for one in found.words], label=7)
        if found.aloud and not ends:
            yield Rows([("  how", Text(" ".join(asked.steps), style="dim"))], label=7)
    if found.answers and asked.options:
        yield heading("THE ANSWER IS LIKE")
        yield answers_to_choose(asked.options)
    yield hint(found, MAY_END if ends else MAY_TYPE)


def _ends(found: QuestionShown) -> bool:
    """Whether nothing more is asked."""
    return found.question.kind not in {CHECK, REPAIR, HOLDS}


def _care(found: QuestionShown) -> Iterator[RenderableType]:
    if not found.may_ride:
        fresh = not all(one.again for one in found.dangers)
        yield heading("STOP")
        yield cautions(found.dangers)
        if not _ends(found):
            yield warnings([DO_NOT_RIDE if fresh else in_short(DO_NOT_RIDE)])
    first = tuple(one for one in found.dangers if not one.again) if found.may_ride else ()  # each is said once
    if first or found.cautions:
        yield heading("SAY FIRST")
        yield cautions((*first, *found.cautions))


def read_back(says: str) -> Rows:
    """Return what to read back to the rider."""
    return Rows([("READ BACK", Text(f"“{says} Is that right?” (undo if not)", style="bold"))], label=11)


def set_right(found: SetRight) -> Rows:
    """Return what was set right, to be read back to the rider."""
    return read_back("; ".join(one.rstrip(".") for one in found.says) + ".")


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
