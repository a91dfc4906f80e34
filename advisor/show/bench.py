"""A session on a terminal: one question, its answers, and where it stands."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.records import Report
from advisor.session.desk import Understood, WouldBe
from advisor.session.guide import CHECK, DONE, Option, Question, dangers
from advisor.show.screen import Rows, heading
from advisor.show.words import ill_matched, minutes, per_cent

HELP = [
    ("2", "the answer with that number"),
    ("left 9 bar ...", "a reading with its unit, for the reading asked for; or 'idle-speed 1050 rpm' for any"),
    ("not known", "it gave no answer; it is not asked again"),
    ("can't", "it cannot be done here; it is not asked again"),
    ("already done: 2", "it was done before, with this result"),
    ("also WORDS", "tell one more thing that you see or hear"),
    ("undo, undo 3", "take back the last answers; everything is worked out anew"),
    ("where", "show what is likely, and what was answered so far"),
    ("why", "why this question; 'why not CAUSE': why not that"),
    ("what if 2", "what would lead if this were the answer; nothing is kept"),
    ("save FILE", "write a case file of it all"),
]


def question(asked: Question, report: Report) -> Group:
    """Return the question, to be printed, after what can hurt on this bike as it is."""
    return Group(*_question(asked, report))


def _question(asked: Question, report: Report) -> Iterator[RenderableType]:
    yield Text()
    due = dangers(asked, report)
    if due:
        yield heading("STOP" if "riding" in report.forbidden else "TAKE CARE")
        yield Rows([("  !", Text(text, style="bold")) for text in due], label=4)
    yield heading(asked.title)
    price = [minutes(asked.minutes)] if asked.minutes else []
    price += [f"engine {asked.engine}"] if asked.engine != "any" else []
    if asked.because:
        cost = f" ({', '.join(price)})" if price else ""
        yield Rows([("  why", Text(f"{asked.because}{cost}", style="dim"))], label=7)
    yield Rows([("  !", Text(text, style="bold")) for text in asked.cautions], label=4)
    yield Rows([("  need", Text(", ".join(asked.tools)))] if asked.tools else [], label=7)
    yield Rows([("  -", Text(step)) for step in asked.steps], label=4)
    if asked.options:
        yield Text()
        yield Rows([(f"  {number}", _option(one)) for number, one in enumerate(asked.options, start=1)], label=5)
    if asked.kind == CHECK:
        more = f"or a reading ({', '.join(asked.takes)}), " if asked.takes else "or "
        yield Rows([("", Text(f"{more}not known, can't, undo, where, why, help", style="dim"))], label=5)


def _option(one: Option) -> Text:
    leads = f" → {one.leads} ({per_cent(one.chance)})" if one.leads else ""
    return Text.assemble(one.says, (leads, "dim"))


def understood(found: Sequence[Understood]) -> Group:
    """Return the signs that a sentence may mean, numbered."""
    return Group(
        heading("I understood this. Which of it is so?"),
        Rows([(f"  {number}", Text(one.title)) for number, one in enumerate(found, start=1)], label=5),
        Text("  numbers, like 1 3, or nothing for none of them", style="dim"),
    )


def standing(report: Report, taken: Sequence[str]) -> Group:
    """Return where the session stands."""
    shown = [one for one in report.causes[:5] if one.probability >= 0.02]  # noqa: PLR2004 - less is no suspect
    return Group(
        heading("LIKELY NOW"),
        Rows([(f"  {per_cent(one.probability)}", Text(one.title)) for one in shown], label=12),
        heading("SO FAR"),
        Rows([(f"  {number}", Text(line)) for number, line in enumerate(taken, start=1)], label=6),
        Rows([("  ?", Text(ill_matched(pair))) for pair in report.conflicts], label=4),
    )


def would_be(found: WouldBe) -> Group:
    """Return what would lead."""
    return Group(
        heading(f"IF THE ANSWER WERE {found.answer}"),
        Rows([(f"  {per_cent(chance)}", Text(title)) for title, chance in found.causes], label=12),
    )


def help_lines(kind: str) -> Group:
    """Return what may be typed in a session of a kind."""
    sheet, tools = (
        ("hand over", "the sheet for the workshop, as it stands"),
        ("tools", "say anew who is there with what"),
    )
    more = [sheet if kind == "phone" else tools]
    end = ("stop", f"end here; 'advisor {kind} --resume' goes on from the same question")
    return Group(
        heading("YOU MAY TYPE"), Rows([(f"  {word}", Text(text)) for word, text in (*HELP, *more, end)], label=19)
    )


def ended(asked: Question, kind: str, *, kept: bool) -> Text:
    """Return the last line of a session; `kept` is no where it was in memory only."""
    if asked.kind == DONE:
        return Text("Fixed.")
    if not kept:
        return Text("Not kept: it was in memory only, as said above.")
    return Text(f"Kept. 'advisor {kind} --resume' goes on from here.")
