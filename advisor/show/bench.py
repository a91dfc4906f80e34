"""A session on a terminal: one question, its answers, and the state of play."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.case import Means
from advisor.session.events import PHONE
from advisor.session.hearing import MayMean
from advisor.session.next_question import CHECK, DONE, WELL, Option, Question
from advisor.session.shown import (
    FIXED,
    KEPT,
    KEPT_IN_PART,
    NOT_KEPT,
    NOTHING_TOLD,
    Caution,
    Ended,
    GoesOn,
    OtherRules,
    OthersOpen,
    QuestionShown,
    Standing,
    ToldSoFar,
    Troubles,
    Understood,
    WouldBe,
)
from advisor.show.screen import Rows, heading
from advisor.show.words import ago, ill_matched, in_short, minutes, per_cent

HELP = [
    ("2", "the answer with that number"),
    ("left 9 bar ...", "a reading with its unit, for the reading asked for; or 'idle-speed 1050 rpm' for any"),
    ("not known", "it gave no answer; it is not asked again"),
    ("can't", "it cannot be done here; it is not asked again"),
    ("already done: 2", "it was done before, with this result"),
    ("also WORDS", "tell one more thing that you see or hear"),
    ("told", "list what was told in words, with numbers"),
    ("not 2, drop 2", "of what was told, 2 is the other way round; or 2 is forgotten"),
    ("undo, undo 3", "take back the last answers (undo all: every one); everything is worked out again"),
    ("where", "show what is likely, and what was answered so far"),
    ("why", "why this question; 'why not CAUSE': why not that"),
    ("what if 2", "what would lead if this were the answer; nothing is kept"),
    ("save FILE", "write a case file of it all"),
    ("record, record FILE", "show what was found, done and measured so far; or write it to a file"),
]

MENDS = "'not 1' turns 1 round, 'drop 1' forgets it."
NOTHING_IN_WORDS = "Nothing was told in words yet; 'also WORDS' tells something."
NO_WORDS = "no words told"
MOST_NAMES = 6  # of what is not known, in one line
STOPPED = "Stopped before anything was told."
SAY_DANGERS = "Fuel that leaks, smoke, fire, or a throttle that stays open? Say so first, in words."


def question(found: QuestionShown) -> Group:
    """Return the question, to be printed, after the dangers of this bike as it is."""
    return Group(*_question(found))


def _question(found: QuestionShown) -> Iterator[RenderableType]:
    asked = found.question
    yield Text()
    if found.dangers:
        yield heading("TAKE CARE" if found.may_ride else "STOP")
        yield cautions(found.dangers)
    price = [minutes(asked.minutes)] if asked.minutes else []
    price += [f"engine {asked.engine}"] if asked.engine != "any" else []
    yield Text.assemble((asked.title, "bold"), (f" ({', '.join(price)})" if price else "", "dim"))
    yield cautions(found.cautions)
    yield Rows([("  need", Text(", ".join(asked.tools)))] if asked.tools else [], label=7)
    yield Rows([("  -", Text(step)) for step in asked.steps], label=4)
    if asked.options:
        yield Text()
        yield Rows([(f"  {number}", _option(one)) for number, one in enumerate(asked.options, start=1)], label=5)
    if asked.because:
        yield Rows([("  why", Text(asked.because, style="dim"))], label=7)
    yield Rows([("", Text(_may_type(asked), style="dim"))], label=5)


def cautions(told: Sequence[Caution]) -> Rows:
    """Return cautions as lines, shortened when repeated."""
    return warnings([in_short(one.says) if one.again else one.says for one in told])


def warnings(says: Sequence[str]) -> Rows:
    """Return warnings as lines, each in full."""
    return Rows([("  !", Text(text, style="bold")) for text in says], label=4)


def _may_type(asked: Question) -> str:
    if asked.kind == CHECK:
        more = f"or a reading ({', '.join(asked.takes)}), " if asked.takes else "or "
        return f"{more}not known, can't, undo, where, why, help"
    return (
        "undo, if that was a slip; nothing, to end; record FILE"
        if asked.kind in {DONE, WELL}
        else "undo, where, why, stop, help"
    )


def why(asked: Question) -> Group:
    """Return why a question is asked next, and what each answer would lead to."""
    return Group(
        heading("WHY THIS IS NEXT"),
        Rows([("  -", Text(asked.because or asked.title))], label=4),
        Rows([("  -", _option(one)) for one in asked.options if one.leads], label=4),
        Text(),
    )


def _option(one: Option) -> Text:
    leads = f" → {one.leads} ({per_cent(one.chance)})" if one.leads else ""
    return Text.assemble(one.says, (leads, "dim"))


def understood(found: Understood) -> Group:
    """Return the signs that a sentence may mean, numbered, after the dangers if it is so."""
    first: list[RenderableType] = []
    if found.dangers:
        first = [heading("TAKE CARE, if it is so"), warnings(found.dangers), Text()]
    return Group(*first, heading("I understood this. Which of it is so?"), *_numbered(found.signs))


def told(found: ToldSoFar) -> Group | Text:
    """Return what was told: in one line, or as a list if that was asked for."""
    if not found.says:
        return Text(NOTHING_IN_WORDS)
    if not found.listed:
        return Text.assemble(f"So: {in_one_line(found.says)}.", (f" {MENDS}", "dim"))
    return Group(
        heading("TOLD SO FAR"),
        Rows([(f"  {number}", Text(line)) for number, line in enumerate(found.says, start=1)], label=6),
        Text(f"  {MENDS}", style="dim"),
    )


def in_one_line(says: Sequence[str]) -> str:
    """Return what was told in one line; with numbers, if there is more than one thing."""
    return (
        "; ".join(says) if len(says) == 1 else "; ".join(f"{number} {one}" for number, one in enumerate(says, start=1))
    )


def troubles(found: Troubles) -> Group:
    """Return the main troubles, numbered."""
    return Group(
        heading("What is it most like?"),
        *_numbered(found.signs),
        Rows([("", Text(SAY_DANGERS, style="bold"))], label=2),
    )


def _numbered(signs: Sequence[MayMean]) -> tuple[RenderableType, ...]:
    return (
        Rows([(f"  {number}", Text(_offered(one))) for number, one in enumerate(signs, start=1)], label=5),
        Text("  numbers, like 1 3; nothing for none of them; or other words", style="dim"),
    )


def _offered(one: MayMean) -> str:
    """Return something offered in words: 'not:' before what is not there."""
    if one.cause:
        return f"suspected: {one.title}"
    return one.title if one.seen else f"not: {one.title}"


def standing(found: Standing) -> Group:
    """Return where the session stands."""
    return Group(
        heading("LIKELY NOW"),
        Rows([(f"  {per_cent(chance)}", Text(title)) for title, chance in found.likely], label=12),
        heading("SO FAR"),
        Rows([(f"  {number}", Text(line)) for number, line in enumerate(found.taken, start=1)], label=6),
        Rows([("  ?", Text(ill_matched(pair))) for pair in found.conflicts], label=4),
    )


def would_be(found: WouldBe) -> Group:
    """Return what would lead."""
    return Group(
        heading(f"IF THE ANSWER WERE {found.answer}"),
        Rows([(f"  {per_cent(chance)}", Text(title)) for title, chance in found.causes], label=12),
    )


def help_lines(kind: str) -> Group:
    """Return what may be typed in a session of this kind."""
    sheet, who = (
        ("hand over", "the sheet for the workshop, as it stands"),
        ("tools", "say again who is there with what"),
    )
    more = [sheet if kind == PHONE else who]
    end = ("stop", f"end here; 'advisor {kind} --resume' goes on from the same question")
    return Group(
        heading("YOU MAY TYPE"), Rows([(f"  {word}", Text(text)) for word, text in (*HELP, *more, end)], label=19)
    )


def remembered(means: Means) -> Text:
    """Return who is there with what, as understood."""
    kinds = len(means.tools or ())
    tools = "all tools" if means.tools is None else f"{kinds} kind{'s'[: kinds != 1]} of tools" if kinds else "no tools"
    return Text(f"{means.person}, {tools}: remembered; 'tools' asks again")


def tools(titles: Sequence[str]) -> Group:
    """Return the tools to choose from, numbered."""
    return Group(
        Text("Which tools are there? Numbers like 1 3 5-9, 'all', or 'none'."),
        *(Text(f"  {number:2} {title}") for number, title in enumerate(titles, start=1)),
    )


def goes_on(found: GoesOn) -> Text:
    """Return which session goes on: its number, its age, its words."""
    age = f" ({ago(found.age)})" if found.age is not None else ""
    return Text(f"Session {found.session} goes on: {found.complaint or NO_WORDS}{age}")


def others_open(found: OthersOpen) -> Text:
    """Return that more sessions are open, and how to see them."""
    more = "1 other is" if found.many == 1 else f"{found.many} others are"
    return Text(f"{more} open: 'advisor {found.kind} --list' shows them.", style="dim")


def other_rules(found: OtherRules) -> Text:
    """Return in one line that a session was written with other rules, and what of it is not known here."""
    if found.begun_with is not None and not found.command:
        begun = "The rules have changed since this session began."
    elif found.begun_with:
        begun = f"This session was begun with other rules ({', '.join(found.begun_with)})."
    else:
        begun = f"This session was begun with {'other' if found.begun_with is None else 'only the shipped'} rules."
    names = ", ".join(found.unknown[:MOST_NAMES])
    more = f" and {len(found.unknown) - MOST_NAMES} more" if len(found.unknown) > MOST_NAMES else ""
    kept = f" Not known here, but kept: {names}{more}." if names else ""
    goes_on_with = f" '{found.command}' goes on with those." if found.command else ""
    return Text(f"! {begun}{kept}{goes_on_with}")


def ended(found: Ended) -> Text:
    """Return the last line of a session."""
    number, going = found.session, f"'{found.command}' goes on from"
    last = "the last answer was" if found.lost == 1 else f"the last {found.lost} answers were"
    says = {
        FIXED: f"Fixed.{f' Kept as session {number}.' if number and not found.lost else ''}",
        KEPT: f"Kept as session {number}. {going} here.",
        KEPT_IN_PART: f"Kept in part as session {number}: {last} in memory only, as said above. {going} before that.",
        NOT_KEPT: "Not kept: it was in memory only, as said above; a case file that you saved is there.",
        NOTHING_TOLD: STOPPED,
    }
    return Text(says[found.how])
