"""The report on a terminal: the next step first, then why."""

from collections.abc import Callable, Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.report import (
    Again,
    Line,
    NextCheck,
    OutcomeSeen,
    Proof,
    RankedCause,
    Report,
    SetAside,
    Why,
    speaks_against,
    speaks_for,
)
from advisor.show.screen import Rows, heading
from advisor.show.words import ill_matched, minutes, per_cent, times
from advisor.sides import either, named

MOST_REMARKS = 3
MOST_CAUSES, MOST_REASONS, MOST_AGAINST = 3, 3, 2
ON_TRIAL = "A bike that runs well may have it too. Put it right, and look whether the trouble goes."
DOES_NOT_FIT = "The picture does not fit together: none of these may be it. Measure again before taking anything apart."
MARKS: dict[str, Callable[[str], tuple[str, str]]] = {
    "right": lambda title: (f"{title} right", ""),
    "wrong": lambda title: (f"{title} WRONG", "bold"),
    "not checked": lambda title: (f"{title} ?", "dim"),
}
BULLET = "          -"
HEADINGS = {"hand over": "HAND OVER", "none fits": "NONE OF THESE"}


def report(found: Report) -> Group:
    """Return the whole report, to be printed."""
    return Group(*_sections(found))


def _sections(found: Report) -> Iterator[RenderableType]:
    if found.case:
        yield Text(found.case, style="bold")
    if found.complaint:
        yield Text(f"“{found.complaint}”", style="italic")
    yield Text()
    yield from _next_step(found)
    yield from _doubts(found)
    yield from _causes(found)
    yield from _then(found)
    yield from _remarks(found)
    yield from _again(found)
    yield from _ready(found)
    yield from _set_aside(found)


def _next_step(found: Report) -> Iterator[RenderableType]:
    advice = found.advice
    if advice.kind == "check":
        if found.too_little:
            yield heading("TOO LITTLE IS TOLD")
            yield Rows([("", Text(_too_little(found)))], label=2)
            yield Text()
        yield heading("NEXT")
        yield from _check(found.next_checks[0])
    elif advice.kind == "put right":
        yield heading("PUT RIGHT")
        yield Rows(_put_right(found), label=12)
    else:
        yield heading(HEADINGS[advice.kind])
        yield Rows([("", Text(advice.says))], label=2)
    if found.cautions:
        yield Text()
        yield heading("TAKE CARE")
        yield Rows([("  !", Text(caution.says)) for caution in found.cautions], label=4)
    yield Text()


def _put_right(found: Report) -> Iterator[tuple[str, Text]]:
    advice = found.advice
    cause = next(one for one in found.causes if (one.id, one.side) == (advice.cause, advice.side))
    yield "  the fault", Text(f"{advice.says} ({_how_sure(found, cause)})")
    if advice.on_trial:
        yield "", Text(ON_TRIAL)
    if advice.proof:
        yield "  prove it", Text(f"{advice.proof.title} ({_needs(advice.proof)})")
        for step in advice.proof.steps:
            yield BULLET, Text(step)
    yield "  then", Text(f"{cause.remedy} ({minutes(cause.minutes)})")
    if cause.unexplained:
        yield "  but", Text(f"it does not explain: {'; '.join(cause.unexplained)}. Look for that afterwards.")
    yield "  afterwards", Text("")
    for line in advice.then_must_hold:
        yield BULLET, Text(line)
    if len(found.order_of_work) > 1:
        yield "  in order", Text("; then ".join(found.order_of_work))


def _how_sure(found: Report, cause: RankedCause) -> str:
    return "found" if found.advice.proven else per_cent(cause.probability)


def _too_little(found: Report) -> str:
    most = (
        f"nothing is likelier than {per_cent(found.likely[0].probability)}" if found.likely else "anything is possible"
    )
    return f"So far {most}. Answer this first."


def _check(check: NextCheck) -> Iterator[RenderableType]:
    yield Text.assemble("  ", (check.title, "bold"), f" ({', '.join([_needs(check), *check.tools])})")
    yield Rows([("  -", Text(step)) for step in check.steps], label=4)
    yield Rows([("  if", _outcome(outcome)) for outcome in check.outcomes], label=5)


def _needs(check: NextCheck | Proof) -> str:
    return minutes(check.minutes) + (f", engine {check.engine}" if check.engine != "any" else "")


def _outcome(outcome: OutcomeSeen) -> Text:
    leads = f"{outcome.leads_title} ({per_cent(outcome.leads_probability)})"
    return Text.assemble(outcome.says, (f" → {leads}", "dim"))


def _doubts(found: Report) -> Iterator[RenderableType]:
    lines: list[tuple[str, Text]] = []
    if found.advice.kind != "none fits":
        lines += [("  ?", Text(f"No cause here explains: {one.title}.")) for one in found.unexplained]
        if found.odd:
            lines.append(("  ?", Text(DOES_NOT_FIT)))
    lines += [("  ?", Text(ill_matched(pair))) for pair in found.conflicts]
    if lines:
        yield heading("IN DOUBT")
        yield Rows(lines, label=4)
        yield Text()


def _causes(found: Report) -> Iterator[RenderableType]:
    """Draw the likely causes, one line for those not told apart so far; equals are marked."""
    if found.too_little or found.advice.kind == "none fits" or not found.likely:
        return
    yield heading("LIKELY")
    ranked = {(cause.id, cause.side): cause for cause in found.causes}
    shown, rest = found.likely[:MOST_CAUSES], found.likely[MOST_CAUSES:]
    before = ""
    for line in shown:
        chance = per_cent(line.probability)
        yield Rows(_line(line, [ranked[key] for key in line.causes], equal=chance == before), label=12)
        before = chance
    if rest:
        yield Text()
        also = ", ".join(f"{line.title} ({per_cent(line.probability)})" for line in rest[:4])
        yield Rows([("  also", Text(also))], label=12)
    yield Text()


def _line(line: Line, causes: list[RankedCause], *, equal: bool) -> Iterator[tuple[str, Text]]:
    names = dict.fromkeys(named(cause.id, cause.side) for cause in causes)
    chance = "  found" if line.found else f"  {'= ' if equal else ''}{per_cent(line.probability)}"
    yield chance, Text.assemble((line.title, "bold"), (f"  [{', '.join(names)}]", "dim"))
    cause = causes[0]
    reasons = [why for why in cause.why if speaks_for(why.factor)][:MOST_REASONS]
    against = [why for why in cause.why if speaks_against(why.factor)][:MOST_AGAINST]
    for number, why in enumerate(reasons):
        yield "    for" if number == 0 else "", _why(why)
    for number, why in enumerate(against):
        yield "    against" if number == 0 else "", _why(why)
    if cause.unexplained:
        yield "    but", Text(f"does not explain: {'; '.join(cause.unexplained)}", style="dim")
    if line.told_by:
        yield "    which", Text(f"{line.told_by} ({minutes(line.minutes)}) tells", style="dim")


def _why(why: Why) -> Text:
    state = "" if why.state == "seen" else "not seen: "
    return Text.assemble(f"{state}{why.title}", (f"  {times(why.factor)}", "dim"))


def _then(found: Report) -> Iterator[RenderableType]:
    first = 1 if found.advice.kind == "check" else 0
    others = [
        check for check in found.next_checks[first:] if not found.advice.proof or check.id != found.advice.proof.id
    ][:3]
    if others:
        yield heading(
            {"check": "AFTER THAT", "put right": "IF IT IS NOT THAT"}.get(found.advice.kind, "COULD STILL BE CHECKED")
        )
        yield Rows([(f"  {minutes(check.minutes)}", Text(check.title)) for check in others], label=9)
        yield Text()


def _remarks(found: Report) -> Iterator[RenderableType]:
    if found.remarks:
        yield heading("BEAR IN MIND")
        yield Rows([("  -", Text(line)) for line in found.remarks[:MOST_REMARKS]], label=4)
        yield Text()


def _again(found: Report) -> Iterator[RenderableType]:
    if found.measure_again:
        yield heading("MEASURE AGAIN")
        yield Rows(
            [("  -", Text(f"{one.said}: too close to call; {how_often(one)}.")) for one in found.measure_again], 4
        )
        yield Text()


def how_often(one: Again) -> str:
    """Return how often a figure must be read again to be decided."""
    if one.repeats == 0:
        return "this instrument cannot decide it"
    return f"{one.repeats} readings on each side would decide it"


def _ready(found: Report) -> Iterator[RenderableType]:
    """Draw the readiness order at a glance: one line per stage."""
    yield heading("BEFORE BALANCING")
    lines: list[tuple[str, Text]] = []
    for stage in dict.fromkeys(item.stage for item in found.readiness):
        items = [item for item in found.readiness if item.stage == stage]
        text = Text(f"{stage}: ")
        if all(item.state == "not checked" for item in items):
            text.append("not checked", "dim")
        else:
            text.append(Text(", ").join(Text(*MARKS[item.state](item.title)) for item in items))
        lines.append(("  -", text))
    yield Rows(lines, label=4)
    first = next((item for item in found.readiness if item.state == "not checked"), None)
    if first:
        yield Rows([("  ?", Text(f"first not checked: {first.title} ({either(first.check_title, None)})"))], label=4)
    yield Text()


def _set_aside(found: Report) -> Iterator[RenderableType]:
    if found.default_figures:
        yield Rows(
            [("  *", Text(f"not on a bike sheet, so by default: {'; '.join(found.default_figures)}", style="dim"))], 4
        )
        yield Text()
    yield from set_aside(found.set_aside)


def set_aside(found: Sequence[SetAside]) -> Iterator[RenderableType]:
    """Yield what was told and does not count; what has the same reason shares a line."""
    by_reason: dict[str, list[str]] = {}
    for one in found:
        by_reason.setdefault(one.reason, []).append(named(one.what, one.side))
    if by_reason:
        yield heading("SET ASIDE")
        rows = [("  -", Text(f"{', '.join(names)}: {reason}")) for reason, names in by_reason.items()]
        yield Rows(rows, label=4)
        yield Text()


def reminder(found: Report) -> Text:
    """Return the next step in one line, to end the output on a terminal that has scrolled."""
    advice = found.advice
    if advice.kind == "check":
        return Text(f"NEXT: {advice.says}", style="bold")
    if advice.kind == "put right":
        return Text(f"NEXT: {advice.proof.title if advice.proof else f'put right: {advice.says}'}", style="bold")
    return Text(f"NEXT: {HEADINGS[advice.kind].lower()}: see above", style="bold")
