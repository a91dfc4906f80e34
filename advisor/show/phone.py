"""A session on the phone: what to say aloud, what may be answered, when to stop, and the hand-over sheet."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.session.handover import HandOver
from advisor.session.room import ANSWERS, CARE, DO_NOT_RIDE
from advisor.session.shown import QuestionShown, SetRight, ToldSoFar
from advisor.show.bench import answers_to_choose, cautions, hint, in_one_line, warnings
from advisor.show.screen import Rows, heading
from advisor.show.words import minutes, per_cent

MAY_TYPE = "or not known, can't, why, hand over, help"
MAY_END = "hand over shows the sheet, stop ends the call with it; undo, where, why, help"


def question(found: QuestionShown) -> Group:
    """Return the question, to be printed."""
    return Group(*_question(found))


def _question(found: QuestionShown) -> Iterator[RenderableType]:
    asked = found.question
    yield Text()
    if found.cares:
        yield from _care(found)
    if found.part not in {CARE, ANSWERS} and found.aloud:
        yield heading("SAY")
        yield Rows([("", Text(f"“{found.aloud}”", style="bold"))], label=2)
        yield Rows([("  how", Text(" ".join(asked.steps), style="dim"))], label=7)
    elif found.part not in {CARE, ANSWERS}:
        yield heading(asked.title)
        yield Rows([("  -", Text(step)) for step in asked.steps if step != asked.title], label=4)
    if found.answers and asked.options:
        yield heading("THE ANSWER IS LIKE")
        yield answers_to_choose(asked.options)
    yield hint(found, MAY_TYPE if found.aloud else MAY_END)


def _care(found: QuestionShown) -> Iterator[RenderableType]:
    if not found.may_ride:
        yield heading("STOP")
        yield cautions(found.dangers)
        yield warnings([DO_NOT_RIDE])
    first = found.dangers if found.may_ride else ()
    if first or found.cautions:
        yield heading("SAY FIRST")
        yield cautions((*first, *found.cautions))


def read_back(says: str) -> Rows:
    """Return what to read back to the rider."""
    return Rows([("READ BACK", Text(f"“So: {says} Is that right?” (undo if not)", style="bold"))], label=11)


def set_right(found: SetRight) -> Rows:
    """Return what was set right, to be read back to the rider."""
    return read_back("; ".join(one.rstrip(".") for one in found.says) + ".")


def told(found: ToldSoFar) -> Rows:
    """Return what was told, to be read back to the rider in one sentence."""
    says = f"“So: {in_one_line(found.says)}. Is that right?” (undo if not; 'not 1', 'drop 1')"
    return Rows([("READ BACK", Text(says, style="bold"))], label=11)


def sheet(found: HandOver) -> Group:
    """Return the hand-over sheet."""
    return Group(*_sheet(found))


def _sheet(found: HandOver) -> Iterator[RenderableType]:
    yield Text()
    yield heading("FOR THE WORKSHOP")
    if found.complaint:
        yield Text(f"“{found.complaint}”", style="italic")
    if not found.may_ride:
        yield Rows([("  !", Text("Not to be ridden as it is.", style="bold"))], label=4)
    yield Rows([("  !", Text(text)) for text in found.cautions], label=4)
    yield heading("FOUND")
    yield Rows([("  -", Text(line)) for line in found.found or ("nothing yet",)], label=4)
    yield heading("HOW SURE")
    sure = [(f"  {per_cent(chance)}", Text(title)) for title, chance in found.likely]
    yield Rows(sure or [("  -", Text("nothing stands out yet"))], label=12 if sure else 4)
    yield heading("STILL OPEN")
    yield Rows([(f"  {minutes(one.minutes)}", Text(one.title)) for one in found.open], label=10)
    if found.bring:
        yield heading("BRING")
        yield Rows([("  -", Text(tool)) for tool in found.bring], label=4)
