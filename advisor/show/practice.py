"""A practice round on a terminal: what the rider says, what can be done, what a check shows."""

import math
from collections.abc import Iterator, Mapping, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.observer.readings_taken import SHEET
from advisor.observer.taken_reading import Taken
from advisor.practice.offers import Offer
from advisor.practice.progress import Standing
from advisor.practice.round import DO, Round, Step
from advisor.quantities import convert
from advisor.rulebase.model import Rulebase
from advisor.show.screen import Rows, heading
from advisor.show.words import minutes
from advisor.sides import Sided, fill, named

PAGE = 12  # rows of a list at once
MODEL = (
    "A virtual bike. Its figures come from a model whose constants were set by hand: go by signs and by order, "
    "less by magnitudes."
)
CONTENT = "I notice nothing. Look it over before I ride off with it."
NEXT = "Next: a number of the list, list, know, fix or name."
HELP = [
    ("3, 3 left", "the line with that number in the list shown last, on a side where it has two ('both' for both)"),
    ("list, list 2", "the stages; what can be done in one: 'list 2', 'list cables'; 'more' for the rest of a list"),
    ("look WORDS", "a check by its words: look plug left"),
    ("measure WORDS", "a reading by its words: measure slack"),
    ("fix WORDS", "put a cause right, run it, ask the rider; 'fix 2' lists the causes of a stage"),
    ("name WORDS", "say what it is, and end; 'name 2' lists. Two causes: name A left; B right"),
    (
        "again",
        "a check or a repair once more, for its minutes, after it was said that it was done: look plug left again",
    ),
    ("handbook", "the bike's own figures"),
    ("know", "all that is known so far"),
    ("clock", "the minutes so far"),
    ("give up", "end, and be shown what it was"),
    ("stop", "leave; 'advisor practice --resume' goes on from there"),
    ("help, ?", "this list"),
]


def note(text: str) -> Rows:
    """Return a line in the background."""
    return Rows([("", Text(text, style="dim"))], label=0)


def again(now: Round) -> str:
    """Return the command that brings the same bike again."""
    area = f" --area {now.area}" if now.area else ""
    return f"advisor practice --seed {now.seed} --level {now.level}{area}"


def opening(now: Round) -> Group:
    """Return the opening screen."""
    faults = "one or two faults" if now.level == "hard" else "one fault"
    return Group(
        heading(f"PRACTICE, seed {now.seed}, {now.level}: {faults}{f' in {now.area}' if now.area else ''}"),
        Rows([("", Text(MODEL, style="dim"))], label=2),
        Text(),
        *_complaint(now),
    )


def _complaint(now: Round) -> Iterator[RenderableType]:
    """Yield what the rider says; and what somebody found, where no rider could notice that."""
    rider = now.base.persons[0]
    says = [now.told(one) for one in now.complaint if now.base.signs[one[0]].seen_by == rider]
    found = [now.told(one) for one in now.complaint if now.base.signs[one[0]].seen_by != rider]
    yield heading("THE RIDER SAYS")
    yield Rows([("  -", Text(text)) for text in says or [CONTENT]], label=4)
    if found:
        yield heading("A WORKSHOP FOUND")
        yield Rows([("  -", Text(text)) for text in found], label=4)


def stages(counts: Sequence[int], base: Rulebase) -> Group:
    """Return the stages with how many checks can be done in each."""
    rows = [
        (f"  {number}", Text(f"{area.title} ({count} checks)"))
        for number, (area, count) in enumerate(zip(base.areas, counts, strict=True), start=1)
    ]
    return Group(
        Text(),
        heading("WHERE TO LOOK, in the order in which it must be right"),
        Rows(rows, label=5),
        note("A number opens a stage. Or say it: look plug left. 'handbook': its figures. 'help': the rest."),
    )


def offers(title: str, shown: Sequence[Offer], start: int) -> Group:
    """Return one page of a list, numbered through."""
    rows = []
    page = shown[start : start + PAGE]
    example = next((number for number, offer in enumerate(page, start=start + 1) if len(offer.sides) > 1), 0)
    for number, offer in enumerate(page, start=start + 1):
        sides = f"; {number} left or {number} right" if number == example else ""
        price = minutes(offer.minutes) if offer.minutes else ""
        behind = f" ({price}{sides})" if price else f" ({sides.removeprefix('; ')})" if sides else ""
        rows.append((f"  {number:2}", Text(f"{offer.title}{behind}")))
    rest = len(shown) - start - PAGE
    last = f"A number chooses. {f'{rest} more: type more. ' if rest > 0 else ''}Back to the stages: list."
    return Group(Text(), heading(title), Rows(rows, label=6), note(last))


def cautions(texts: Sequence[str]) -> Rows:
    """Return cautions that were not shown before."""
    return Rows([("  !", Text(text, style="bold")) for text in texts], label=4)


def step(done: Step, now: Round) -> Group:
    """Return what a step showed."""
    return Group(*_step(done, now), note(f"{minutes(now.minutes)} on the clock. {NEXT}"))


def _step(done: Step, now: Round) -> Iterator[RenderableType]:
    base = now.base
    yield Text()
    if done.kind == DO:
        check = base.checks[done.id]
        yield heading(f"{fill(check.title, done.side)} ({minutes(done.minutes)})")
        yield from care(done.cautions, done.as_before, base)
        yield Rows([("  -", Text(fill(one, done.side), style="dim")) for one in check.steps], label=4)
        yield Rows([("  →", Text(done.says, style="bold"))], label=4)
        yield Rows([("   ", Text(line)) for line in readings(done.readings, base)], label=4)
        return
    cause = base.causes[done.id]
    yield heading(f"Put right: {repaired(done, base)} ({minutes(done.minutes)} with a run)")
    yield from care(done.cautions, done.as_before, base)
    yield Rows([("  -", Text(_on(cause.remedy, done), style="dim"))], label=4)
    yield Rows([("  →", Text(_gone(done, now), style="bold"))], label=4)
    yield Rows([("  -", Text(now.told(one))) for one in done.still], label=4)


def care(fresh: Sequence[str], before: Sequence[str], base: Rulebase) -> Iterator[RenderableType]:
    """Yield the cautions of what is done: the fresh ones in full, those shown before by name."""
    yield cautions([base.cautions[one].says for one in fresh])
    if before:
        names = ", ".join(one.replace("-", " ") for one in before)
        yield Rows([("  !", Text(f"as before: {names}", style="bold"))], label=4)


def repaired(done: Step, base: Rulebase) -> str:
    """Return the title of a cause that was put right, on its side or on both."""
    return _on(base.causes[done.id].title, done)


def _on(text: str, done: Step) -> str:
    if not done.both:
        return fill(text, done.side)
    return text.replace("{side}", "left and right").replace("{other}", "other")


def done_before(done: Step, now: Round) -> Group:
    """Return that this was done already, what it gave then, and how to do it once more."""
    base = now.base
    lines: list[RenderableType] = [Text()]
    if done.kind == DO:
        lines += [
            heading(f"Done already: {fill(base.checks[done.id].title, done.side)}"),
            Rows([("  →", Text(done.says, style="bold"))], label=4),
            Rows([("   ", Text(line)) for line in readings(done.readings, base)], label=4),
        ]
    else:
        lines.append(heading(f"Put right already: {repaired(done, base)}"))
    return Group(*lines, note(f"That took {minutes(done.minutes)}. Once more, for its minutes: again."))


def sure(causes: Sequence[Sided], base: Rulebase) -> Rows:
    """Return the question whether a cause that was not called by its own name is meant."""
    titles = "; ".join(fill(base.causes[cause].title, side) for cause, side in causes)
    return Rows([("", Text(f"Name '{titles}', and end with that? Say yes; anything else goes on."))], label=0)


def handbook(now: Round) -> Group:
    """Return the bike's own figures."""
    rows = [(f"  {now.base.figures[name].title}:", name) for name in SHEET]
    return Group(
        Text(),
        heading("THE HANDBOOK OF THIS BIKE"),
        Rows([("", Text(f"{title} {asked(name, '', now.base)}")) for title, name in rows], label=0),
        note("Each stands beside its reading too. Of what is not here the handbook says nothing."),
    )


def asked(name: str, unit: str, base: Rulebase) -> str:
    """Return what the virtual bike's handbook asks of a figure, in this unit ('' for its own); '' for nothing."""
    if name not in SHEET:
        return ""
    low, high, own = SHEET[name]
    ends = [_figure(convert(one, own, unit or own, base.units), 0.0) for one in (low, high)]
    return f"{' to '.join(dict.fromkeys(ends))} {unit or own}"


def _gone(done: Step, now: Round) -> str:
    if done.set_anew:
        return f"Stops and cables had been set around it, and were set again. {_after(done, now)}"
    return _after(done, now)


def _after(done: Step, now: Round) -> str:
    if not now.stand.left:
        return "The rider is content: the trouble is gone."
    if done.still:
        return "It is not gone. The rider now says:"
    if done.quiet:
        return "The rider notices nothing more. Sound to him is not proven: look whether all holds."
    return "The rider notices nothing more, but it does not run as it should."


def readings(taken: Mapping[str, Taken], base: Rulebase) -> list[str]:
    """Return readings as they were taken: repeats by side, with the unit and stalls."""
    lines = []
    for name, one in taken.items():
        asks = asked(name, one.unit, base)
        lines.append(f"{base.readings[name].title} [{name}]: {_sides(one)}{f' (handbook: {asks})' if asks else ''}")
    return lines


def _sides(taken: Taken) -> str:
    parts = []
    for side in taken.values or {None: ()}:
        figures = [_figure(value, taken.trusted) for value in taken.at(side)]
        stalls = ["stalls"] * taken.stalls.get(side, 0)
        unit = f" {taken.unit}" if figures and taken.unit else ""
        said = f"{', '.join(figures)}{unit}{', ' if figures and stalls else ''}{', '.join(stalls)}"
        parts.append(named(side or "", None) + (" " if side else "") + (said or "no figure, it does not run so"))
    return "; ".join(parts)


def _figure(value: float, trusted: float) -> str:
    """Return a figure with three digits that count; one whose trust is known with that, as far as it goes."""
    value = value or 0.0  # no minus zero
    if trusted:
        places = max(0, -math.floor(math.log10(trusted)))
        return f"{value:.{places}f} ± {trusted:.1g}"
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"  # noqa: PLR2004 - three figures that count


def known(now: Round) -> Group:
    """Return all that is known so far."""
    rows = [("  told", Text(now.told(one))) for one in now.complaint]
    for done in now.steps:
        title = fill(now.base.checks[done.id].title, done.side) if done.kind == DO else repaired(done, now.base)
        if done.kind == DO:
            read = "; ".join(readings(done.readings, now.base))
            rows.append(("  found", Text(f"{title}: {done.says}{f' {read}' if read else ''}")))
        else:
            rows.append(("  fixed", Text(f"{title}: {_gone(done, now)} {' '.join(map(now.told, done.still))}".strip())))
    return Group(Text(), heading(f"KNOWN SO FAR, {minutes(now.minutes)}"), Rows(rows, label=8))


def clock(now: Round) -> Text:
    """Return the minutes so far."""
    return Text(f"{minutes(now.minutes)} on the clock, steps: {len(now.steps)}.")


def left(now: Round, how: str, *, kept: bool) -> Rows:
    """Return the last lines of a round that was left before it was over; `kept` where its steps are."""
    lines = [f"{how}: {minutes(now.minutes)}, steps: {len(now.steps)}; the fault was not named."]
    lines += ["Go on from here: advisor practice --resume"] if kept else []
    return Rows([("", Text(line)) for line in [*lines, f"The same bike from the start: {again(now)}"]], label=0)


def left_before(now: Round) -> Rows:
    """Return that this bike was left half-way before, and how to go on with it."""
    text = f"This bike was left half-way: {again(now)} --resume goes on with it; the first step here starts it again."
    return Rows([("!", Text(text))], label=2)


def mistake(text: str) -> Rows:
    """Return what is wrong with what was typed."""
    return Rows([("!", Text(text))], label=2)


def which_side(offer: Offer) -> Rows:
    """Return the question for a side."""
    return Rows([("", Text(f"{offer.title}: left, right or both?"))], label=0)


def help_lines(now: Round) -> Group:  # noqa: ARG001 - as the others
    """Return what may be typed."""
    return Group(Text(), heading("YOU MAY TYPE"), Rows([(f"  {word}", Text(text)) for word, text in HELP], label=17))


def standings(rows: Sequence[Standing]) -> Group:
    """Return the table of progress by area."""
    lines = [f"  {'area':12} {'bikes':>5} {'found':>5} {'minutes':>8} {'planner':>8}  last five"]
    lines += [
        f"  {one.area:12} {one.bikes:5} {one.found:5} {_mean(one.minutes):>8} {_mean(one.planner):>8}  "
        f"{' '.join(one.last)}"
        for one in rows
    ]
    return Group(
        heading("PRACTICE SO FAR"),
        Rows([("", Text(line)) for line in lines], label=0),
        note("Minutes are means, to the cause, over the bikes found. A bike counts the first time only."),
        note("+ found, - not, ? guessed with nothing looked at; newest last."),
    )


def _mean(figure: float | None) -> str:
    return "-" if figure is None else f"{figure:.0f}"
