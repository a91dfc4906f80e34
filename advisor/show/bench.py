"""A session on a terminal: one question, its answers, and the state of play."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.session.events import BALANCE, BENCH, PHONE, TUNE_UP
from advisor.session.hearing import MayMean
from advisor.session.next_question import CHECK, DONE, LED, WELL, Option, Question
from advisor.session.room import ANSWERS, BELOW, CARE, DOING, in_short
from advisor.session.shown import (
    FIXED,
    KEPT,
    KEPT_IN_PART,
    NOT_KEPT,
    NOTHING_TOLD,
    AnswersShown,
    AskTool,
    Begins,
    Caution,
    Changed,
    Contradiction,
    Ended,
    GoesOn,
    KeptInWords,
    LedStands,
    OtherRules,
    OthersOpen,
    QuestionShown,
    Remembered,
    SetRight,
    Standing,
    ToldSoFar,
    ToolsListed,
    Troubles,
    Understood,
    WouldBe,
)
from advisor.show.screen import Rows, heading
from advisor.show.words import ago, ill_matched, minutes, per_cent

HELP = [
    ("2", "the answer with that number"),
    ("left 9 bar ...", "a reading with its unit; or 'idle-speed 1050 rpm' for any"),
    ("not known, can't", "no answer, or not here: it is not asked again"),
    ("already done: 2", "it was done before, with this result"),
    ("Enter, again", "show the question once more; 'cautions': in full"),
    ("also WORDS", "tell one more thing that you see or hear"),
    ("told", "list all that was said, with numbers"),
    ("not 2, drop 2", "2 is the other way round; or 2 is forgotten"),
    ("2: WORDS, 2: 1", "say 2 anew; or another answer ('2:' shows them)"),
    ("undo, undo 3", "take back the last answers (undo all: every one)"),
    ("where", "what is likely, and what was answered so far"),
    ("why", "why this question; 'why not CAUSE': why not that"),
    ("what if 2", "what would lead if this were the answer"),
    ("save FILE", "write a case file of it all"),
    ("record FILE", "write what was found, done and measured so far ('record' shows it)"),
    ("report FILE", "write it as a page to print, with drawings: job.html"),
]

# Figures as they are typed in a balance: columns or drops, without and with the revs.
EXAMPLE = (("240 205", "240 205 1050"), ("180 210", "180 210 1050"))
NEXT = {CARE: "what can hurt", DOING: "what to do", BELOW: "what to do", ANSWERS: "the answers"}
CALL_HELP = [
    ("name: WORDS", "keep who rings; so do bike:, contact:, call back: and note:, at any time"),
    ("tools", "ask again which tools the rider has"),
    ("hand over", "the sheet for the workshop, as it stands; 'sheet FILE' writes it"),
]
LED_HELP = [
    ("240 205 1050", "in a balance: left, right and the revs as read"),
    ("left in 1/8", "what was turned otherwise than it says, in turns"),
]
BIKE_HELP = [
    ("tools, who", "what is there, and who is: list and change it"),
    ("balance, search", "go over to the balance of the two sides; go back to the search"),
]
MENDS = "'not 1' turns 1 round, 'drop 1' forgets it."
NAME_TOOLS = "'3 5' or 'strobe, meter': there; 'not 4' or 'no strobe': not there"
HAS_IT = "  1  yes    2  no"
MENDS_ALL = "'not 1', 'drop 1'; '1: WORDS' says it anew; '1:' shows other answers."
OTHERS = "it shows the other answers"
NOTHING_SAID = "Nothing was told yet; 'also WORDS' tells something."
NOTHING_READ = "Nothing was read or turned yet."
NO_WORDS = "no words told"
MOST_NAMES = 6  # of what is not known, in one line
NAMED = {BENCH: "Session", PHONE: "Call", BALANCE: "Balance", TUNE_UP: "Tune-up"}  # what a session of a kind is called
STOPPED = "Stopped before anything was told."
SAY_DANGERS = "Fuel leaks, smoke, fire, a throttle that stays open? Say so first, in words."


def question(found: QuestionShown) -> Group:
    """Return the question, to be printed, after the dangers of this bike as it is."""
    return Group(*_question(found))


def _question(found: QuestionShown) -> Iterator[RenderableType]:
    asked = found.question
    yield Text()
    if found.cares:
        if found.dangers:
            yield heading("TAKE CARE" if found.may_ride else "STOP")
        yield cautions(found.dangers if found.brief else (*found.dangers, *found.cautions))
        yield Rows([("  !", Text(found.brief, style="bold"))] if found.brief else [], label=4)
    price = [minutes(asked.minutes)] if asked.minutes else []
    price += [f"engine {asked.engine}"] if asked.engine != "any" else []
    yield Text.assemble((asked.title, "bold"), (f" ({', '.join(price)})" if price else "", "dim"))
    if found.part not in {CARE, ANSWERS}:
        yield Rows([("  ", Text(asked.drawn))] if asked.drawn else [], label=2)
        yield Rows([("  -", Text(step)) for step in asked.steps], label=4)
        yield Rows([("  need", Text(", ".join(asked.tools)))] if asked.tools else [], label=7)
        yield Rows([("  why", Text(asked.because, style="dim"))] if asked.because else [], label=7, most=1)
    if found.answers:
        yield answers_to_choose(asked.options)
    yield hint(found, _may_type(asked))


def answers_to_choose(options: Sequence[Option]) -> Rows:
    """Return the numbered answers of a question."""
    return Rows([(f"  {number}", Text(one.says)) for number, one in enumerate(options, start=1)], label=5)


def hint(found: QuestionShown, may_type: str) -> Rows:
    """Return what else may be typed, and what Enter shows if this is only a part of the question."""
    after = found.parts[(found.parts.index(found.part) + 1) % len(found.parts)]
    turn = f"Enter: {NEXT[after]}; " if len(found.parts) > 1 else ""
    more = "; 'cautions': in full" if found.more and found.cares else ""
    return Rows([("", Text(f"{turn}{may_type}{more}", style="dim"))], label=2)


def cautions(told: Sequence[Caution]) -> Rows:
    """Return cautions as lines, shortened when repeated."""
    return warnings([in_short(one.says) if one.again else one.says for one in told])


def warnings(says: Sequence[str]) -> Rows:
    """Return warnings as lines, each in full."""
    return Rows([("  !", Text(text, style="bold")) for text in says], label=4)


def _may_type(asked: Question) -> str:
    if asked.kind == CHECK:
        some = " ..." if len(asked.takes) > 1 else ""
        more = f"or a reading ({asked.takes[0]}{some}), " if asked.takes else "or "
        return f"{more}not known, can't, why, help"
    if asked.kind == LED and asked.takes:
        if asked.takes == ("idle-speed",) or asked.side:
            example = "2.5" if asked.unit == "%" else "210 205 220" if asked.side else "1050"
            return f"type the figure: '{example}'; undo, stop, help"
        revs = ", and the revs" if len(asked.takes) > 1 else ""
        return f"type left, right{revs}: '{EXAMPLE[asked.unit == 'rpm'][bool(revs)]}'; undo, stop, help"
    return (
        "undo, if that was a slip; Enter, to end; record FILE"
        if asked.kind in {DONE, WELL}
        else "undo, where, why, stop, help"
    )


def led_stands(found: LedStands) -> Group:
    """Return where a led balance or tune-up stands, or why it asks what it asks."""
    title = heading("WHY THIS IS NEXT" if found.why else "WHERE IT STANDS")
    return Group(title, Rows([("  -", Text(one)) for one in found.says or (NOTHING_READ,)], label=4), Text())


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
    """Return what was told: in one line, or as a list of all that was said if that was asked for."""
    if not found.says:
        return Text(NOTHING_SAID)
    if not found.listed:
        return Text.assemble(f"So: {in_one_line(found.says)}.", (f" {MENDS}", "dim"))
    return Group(
        heading("TOLD SO FAR"),
        Rows([(f"  {number}", Text(line)) for number, line in found.says], label=6),
        Text(f"  {MENDS_ALL}", style="dim"),
    )


def in_one_line(says: Sequence[tuple[int, str]]) -> str:
    """Return what was told in one line; with numbers, if there is more than one thing."""
    return says[0][1] if len(says) == 1 else "; ".join(f"{number} {one}" for number, one in says)


def set_right(found: SetRight) -> Text:
    """Return what was set right, in one line."""
    lines = [*(f"Now: {one.rstrip('.')}." for one in found.says), *(f"Forgotten: {one}." for one in found.forgotten)]
    return Text(" ".join(lines))


def contradiction(found: Contradiction) -> Rows:
    """Return that statements cannot all be so, and how to set any of them right."""
    both = "both" if len(found.says) == 2 else "all"  # noqa: PLR2004 - a pair
    says = "; ".join(f"{number} {line.rstrip('.')}" for number, line in found.says)
    mends = " or ".join(f"'{one}'" for one in found.mends)
    more = f" ({OTHERS})" if any(one.endswith(":") for one in found.mends) else ""
    return Rows([("!", Text(f"These cannot {both} be so: {says}. Which is wrong? {mends}{more}."))], label=2)


def changed(found: Changed) -> Rows:
    """Return that another question stands in the place of one that got no answer, and why."""
    why_not = "must not be done with the bike as it is" if found.forbidden else "comes later, by what is known now"
    return Rows([("", Text(f"The question has changed: '{found.before}' {why_not}."))], label=0)


def kept_in_words(found: KeptInWords) -> Rows:
    """Return that words are kept although they mean nothing here."""
    nothing = "" if found.offered else "Nothing is known by these words; try others. "
    kept = f"{'Your words' if found.offered else 'They'} are kept as said; 'drop {found.number}' forgets them."
    return Rows([("!", Text(f"{nothing}{kept}"))], label=2)


def answers(found: AnswersShown) -> Group:
    """Return all the answers of a check, and how to choose another."""
    return Group(
        heading(found.title),
        Rows([(f"  {number}", Text(one)) for number, one in enumerate(found.answers, start=1)], label=5),
        Text(f"  a number takes that answer, 'drop {found.number}' none; Enter leaves it", style="dim"),
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
        Rows([(f"  {number}", Text(line)) for number, line in found.said], label=6),
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
    more = CALL_HELP if kind == PHONE else BIKE_HELP
    first = LED_HELP if kind in {BALANCE, TUNE_UP} else []
    end = ("stop", f"end here; 'advisor {kind} --resume' goes on from the same question")
    return Group(
        heading("YOU MAY TYPE"),
        Rows([(f"  {word}", Text(text)) for word, text in (*first, *HELP, *more, end)], label=19),
    )


def remembered(found: Remembered) -> Text:
    """Return who is there with what, as understood."""
    person, tools, sure = found.means.person, found.means.tools, found.sure
    if sure is None:
        kinds = len(tools or ())
        said = "all tools" if tools is None else f"{kinds} kind{'s'[: kinds != 1]} of tools" if kinds else "no tools"
        return Text(f"{person}, {said}: remembered; 'who' and 'tools' change it")
    said = f", {len(sure)} of the tools known to be there" if sure else ""
    return Text(f"{person}{said}: remembered. Tools are asked for when a step needs one.")


def tools(found: ToolsListed) -> Group:
    """Return the tools, numbered, with what is known of each."""
    states = {True: "there", False: "not there", None: "?"}
    rows = [(f"  {number:2} {states[there]}", title) for number, (title, there) in enumerate(found.tools, start=1)]
    return Group(
        heading("TOOLS"), Rows([(label, Text(title)) for label, title in rows], label=16), Text(NAME_TOOLS, style="dim")
    )


def ask_tool(found: AskTool) -> Rows:
    """Return the question whether a tool is there, and what it is for."""
    asks = Text.assemble((f"Have you got {found.tool}?", "bold"), f" ({found.step})")
    return Rows([("", asks), ("", Text(HAS_IT))], label=0)


def goes_on(found: GoesOn) -> Text:
    """Return which session goes on: its number, its age, its words."""
    age = f" ({ago(found.age)})" if found.age is not None else ""
    who = "; ".join(filter(None, (found.notes.name, found.notes.bike)))
    ring = f" Ring back: {found.notes.call_back}." if found.notes.call_back else ""
    whose = f"{who}: " if who else ""
    return Text(f"{NAMED[found.kind]} {found.session} goes on: {whose}{found.complaint or NO_WORDS}{age}{ring}")


def begins(found: Begins) -> Text:
    """Return under which number a session begins."""
    more = "; so is 'name: WORDS', and 'help' shows more" if found.kind == PHONE else ""
    return Text(f"{NAMED[found.kind]} {found.session}. Each answer is kept{more}.")


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
    kept = f"{NAMED[found.kind].lower()} {number}"
    last = "the last answer was" if found.lost == 1 else f"the last {found.lost} answers were"
    says = {
        FIXED: f"Fixed.{f' Kept as {kept}.' if number and not found.lost else ''}",
        KEPT: f"Kept as {kept}. {going} here.",
        KEPT_IN_PART: f"Kept in part as {kept}: {last} in memory only, as said above. {going} before that.",
        NOT_KEPT: "Not kept: it was in memory only, as said above; a case file that you saved is there.",
        NOTHING_TOLD: STOPPED,
    }
    return Text(says[found.how])
