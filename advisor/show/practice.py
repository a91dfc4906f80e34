"""A practice round on a terminal: what the rider says, what can be done, what a check shows."""

from collections.abc import Iterator, Sequence
from functools import singledispatch

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.practice import replies
from advisor.practice.progress import Standing, Standings
from advisor.practice.replies import CheckDone, OfferListed, RepairDone
from advisor.show import lesson
from advisor.show.screen import Rows, heading
from advisor.show.taken_steps import MODEL, asked, cautions, found, items, note, reading
from advisor.show.verdict import review
from advisor.show.words import minutes

NEXT = "Next: a number of the list, list, know, fix or name."
HELP = [
    ("3, 3 left", "the line with that number in the list shown last, on a side where it has two ('both' for both)"),
    ("list, list 2", "the stages; what can be done in one: 'list 2', 'list cables'; 'more' for the rest of a list"),
    ("look WORDS", "a check by its words: look rocker cover left"),
    ("measure WORDS", "a reading by its words: measure slack"),
    ("fix WORDS", "put a cause right, run it, ask the rider; 'fix 2' lists the causes of a stage"),
    ("name WORDS", "say what it is, and end; 'name 2' lists. Two causes: name A left; B right"),
    (
        "again",
        "a check or a repair once more, for its minutes, once it was said to be done: look rocker cover left again",
    ),
    ("handbook", "the bike's own figures"),
    ("know", "all that is known so far"),
    ("clock", "the minutes so far"),
    ("give up", "end, and be shown what it was"),
    ("stop", "leave; 'advisor practice --resume' goes on from there"),
    ("help, ?", "this list"),
]
HOW_LEFT = {replies.INPUT_ENDED: "The input ended", replies.LEFT: "Left", replies.STOPPED: "\nStopped"}
AFTER = {
    "gone": "The rider is content: the trouble is gone.",
    "not gone": "It is not gone. The rider now says:",
    "unnoticed": "The rider notices nothing more. Sound to him is not proven: look whether all holds.",
    "rough": "The rider notices nothing more, but it does not run as it should.",
}


@singledispatch
def drawn(reply: object) -> RenderableType:
    """Return a reply of a practice round or of the lesson, ready to be printed."""
    msg = f"no drawing for {type(reply).__name__}"
    raise TypeError(msg)


drawn.register(review)
drawn.register(lesson.opening)
drawn.register(lesson.stage)
drawn.register(lesson.example)
drawn.register(lesson.no_example)
drawn.register(lesson.ask)
drawn.register(lesson.stopped)
drawn.register(lesson.over)


@drawn.register
def _(one: replies.Opening) -> Group:
    faults = "one or two faults" if one.may_have_two else "one fault"
    where = f" in {one.bike.area}" if one.bike.area else ""
    workshop: list[RenderableType] = [heading("A WORKSHOP FOUND"), items(one.workshop)] if one.workshop else []
    return Group(
        heading(f"PRACTICE, seed {one.bike.seed}, {one.bike.level}: {faults}{where}"),
        Rows([("", Text(MODEL, style="dim"))], label=2),
        Text(),
        heading("THE RIDER SAYS"),
        items(one.rider),
        *workshop,
    )


@drawn.register
def _(one: replies.LeftBefore) -> Rows:
    again = one.bike.command
    return _marked(
        f"This bike was left half-way: {again} --resume goes on with it; the first step here starts it again."
    )


@drawn.register
def _(one: replies.Stages) -> Group:
    rows = [(f"  {stage.number}", Text(f"{stage.title} ({stage.checks} checks)")) for stage in one.stages]
    return Group(
        Text(),
        heading("WHERE TO LOOK, in the order in which it must be right"),
        Rows(rows, label=5),
        note("A number opens a stage. Or say it: look rocker cover left. 'handbook': its figures. 'help': the rest."),
    )


@drawn.register
def _(one: replies.OfferList) -> Group:
    example = next((offer.number for offer in one.offers if offer.sided), 0)
    rows = [(f"  {offer.number:2}", Text(_offer(offer, example))) for offer in one.offers]
    more = f"{one.more} more: type more. " if one.more else ""
    return Group(
        Text(),
        heading(_list_title(one)),
        Rows(rows, label=6),
        note(f"A number chooses. {more}Back to the stages: list."),
    )


def _list_title(one: replies.OfferList) -> str:
    if not one.stage:
        return "WHICH OF THESE?"
    return f"STAGE {one.stage}: {one.title}" if one.verb == "check" else f"{one.verb.upper()} WHICH? {one.title}"


def _offer(offer: OfferListed, example: int) -> str:
    """Return a line of a list; the `example` line shows how to choose a side."""
    price = minutes(offer.minutes) if offer.minutes else ""
    sides = f"{offer.number} left or {offer.number} right" if offer.number == example else ""
    behind = "; ".join(filter(None, (price, sides)))
    return f"{offer.title} ({behind})" if behind else offer.title


@drawn.register
def _(one: replies.StepDone) -> Group:
    return Group(Text(), *_step(one.step), note(f"{minutes(one.clock)} on the clock. {NEXT}"))


@singledispatch
def _step(done: object) -> Iterator[RenderableType]:
    msg = f"no drawing for {type(done).__name__}"
    raise TypeError(msg)


@_step.register
def _(done: CheckDone) -> Iterator[RenderableType]:
    yield heading(f"{done.title} ({minutes(done.minutes)})")
    yield from cautions(done.care)
    yield items(done.how, "dim")
    yield from found(done.says, done.readings)


@_step.register
def _(done: RepairDone) -> Iterator[RenderableType]:
    yield heading(f"Put right: {done.title} ({minutes(done.minutes)} with a run)")
    yield from cautions(done.care)
    yield items([done.how], "dim")
    yield from found(after(done))
    yield items(done.still)


def after(done: RepairDone) -> str:
    """Return what a repair did, in words."""
    again = "Stops and cables had been set around it, and were set again. " if done.set_again else ""
    return f"{again}{AFTER[done.outcome]}"


@drawn.register
def _(one: replies.DoneBefore) -> Group:
    last = note(f"That took {minutes(one.step.minutes)}. Once more, for its minutes: again.")
    if isinstance(one.step, RepairDone):
        return Group(Text(), heading(f"Put right already: {one.step.title}"), last)
    done = one.step
    return Group(Text(), heading(f"Done already: {done.title}"), *found(done.says, done.readings), last)


@drawn.register
def _(one: replies.Known) -> Group:
    rows = [("  told", Text(text)) for text in one.told] + [_known(step) for step in one.steps]
    return Group(Text(), heading(f"KNOWN SO FAR, {minutes(one.clock)}"), Rows(rows, label=8))


def _known(step: CheckDone | RepairDone) -> tuple[str, Text]:
    if isinstance(step, RepairDone):
        return "  fixed", Text(" ".join((f"{step.title}:", after(step), *step.still)))
    read = "; ".join(map(reading, step.readings))
    return "  found", Text(f"{step.title}: {step.says}{f' {read}' if read else ''}")


@drawn.register
def _(one: replies.Clock) -> Text:
    return Text(f"{minutes(one.clock)} on the clock, steps: {one.steps}.")


@drawn.register
def _(one: replies.Handbook) -> Group:
    return Group(
        Text(),
        heading("THE HANDBOOK OF THIS BIKE"),
        Rows([("", Text(f"  {title}: {asked(figure)}")) for title, figure in one.figures], label=0),
        note("Each stands beside its reading too. Of what is not here the handbook says nothing."),
    )


@drawn.register
def _(_: replies.Help) -> Group:
    return Group(Text(), heading("YOU MAY TYPE"), Rows([(f"  {word}", Text(text)) for word, text in HELP], label=17))


@drawn.register
def _(one: replies.AskSide) -> Rows:
    return Rows([("", Text(f"{one.title}: left, right or both?"))], label=0)


@drawn.register
def _(one: replies.AskSure) -> Rows:
    titles = "; ".join(one.titles)
    return Rows([("", Text(f"Name '{titles}', and end with that? Say yes; anything else goes on."))], label=0)


@drawn.register
def _(one: replies.Mistake) -> Rows:
    return _marked(one.whole)


def _marked(text: str) -> Rows:
    return Rows([("!", Text(text))], label=2)


@drawn.register
def _(one: replies.FileTrouble) -> Text:
    return Text(f"! {one.text}")


@drawn.register
def _(_: replies.ShownBefore) -> Text:
    return Text("This bike's answer was shown before: --progress goes by the first time.", style="dim")


@drawn.register
def _(_: replies.Over) -> Group:
    return Group()


@drawn.register
def _(one: replies.Left) -> Rows:
    lines = [f"{HOW_LEFT[one.how]}: {minutes(one.clock)}, steps: {one.steps}; the fault was not named."]
    lines += ["Go on from here: advisor practice --resume"] if one.kept else []
    return Rows([("", Text(line)) for line in [*lines, f"The same bike from the start: {one.bike.command}"]], label=0)


@drawn.register
def _(one: Standings) -> RenderableType:
    if not one.rows:
        return Text("No bike has been practised on yet. Begin with: advisor practice --level easy")
    return Group(
        heading("PRACTICE SO FAR"),
        Rows([("", Text(line)) for line in _table(one.rows)], label=0),
        note("Minutes are means, to the cause, over the bikes found. A bike counts the first time only."),
        note("+ found, - not, ? guessed with nothing looked at; newest last."),
    )


def _table(rows: Sequence[Standing]) -> Iterator[str]:
    yield f"  {'area':12} {'bikes':>5} {'found':>5} {'minutes':>8} {'planner':>8}  last five"
    for one in rows:
        mean = f"{_mean(one.minutes):>8} {_mean(one.planner):>8}"
        yield f"  {one.area:12} {one.bikes:5} {one.found:5} {mean}  {' '.join(one.last)}"


def _mean(figure: float | None) -> str:
    return "-" if figure is None else f"{figure:.0f}"
