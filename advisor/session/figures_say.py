"""What the figures of an answer say, at once: the verdict, what to do, and what they should read then.

Worked out as `advisor measure` does, in a few short lines; the session then goes on from there.
"""

import math
from collections.abc import Iterator, Sequence

import msgspec

from advisor.calculator import CLOSE, NO_LIMIT, OUTSIDE, Figure, Held, Worked, work_out
from advisor.case import Case, Measured
from advisor.chain.readiness import RIGHT
from advisor.diagnose import Advisor
from advisor.quantities import show
from advisor.readings.verdicts import questions
from advisor.report import Report
from advisor.rulebase.model import Reading, Rulebase
from advisor.session.events import Answered, Event, Read, Told
from advisor.sides import Side, other

COUNTS = "It counts together with the rest."
NOT_YET = "It does not count yet: {reason}"
FIRST_THE_REST = "First what is asked next: a screw that is set over a fault hides it."
REPEAT = "{count} readings on each side would decide it."
MOST_FOUND = 2  # verdicts in one line


class FigureSays(msgspec.Struct, frozen=True, kw_only=True):
    """What one reading says: the figures as given, the verdict on them, what to do, what the next reading should be.

    `first` says what comes before that. `default` tells that a limit is not the bike's own.
    """

    title: str
    given: str
    found: str
    first: str = ""
    do: str = ""
    aim: str = ""
    default: bool = False


def readings_of(event: Event) -> tuple[Measured, ...]:
    """Return the readings that an event holds."""
    return event.readings if isinstance(event, Read | Told | Answered) else ()


def figure_said(one: Measured) -> str:
    """Return a figure with its side, as it was given."""
    return " ".join(part for part in (one.side or "", "more by" if one.over_other else "", one.given) if part)


def title_of(page: Reading) -> str:
    """Return the title of a reading that was taken on both sides."""
    return page.title.replace("{side}", "each side").replace("this side's", "one side's")


def figures_say(event: Event, case: Case, report: Report, advisor: Advisor) -> list[FigureSays]:
    """Return what each reading of an event says, with those of the case that belong to it."""
    names = dict.fromkeys(one.reading for one in readings_of(event))
    known = [name for name in names if name in advisor.base.readings]
    return [says(name, case, report, advisor) for name in known]


def says(name: str, case: Case, report: Report, advisor: Advisor) -> FigureSays:
    """Return what one reading of a case says, with those that belong to it."""
    base = advisor.base
    page = base.readings[name]
    belong = {name, page.zeroed_by, page.exchanges}
    taken = [one for one in case.measured if one.reading in belong]
    found = work_out(name, taken, case.bike, advisor)
    aside = next((one.reason for one in report.set_aside if one.what == name), "")
    told = _telling(found)
    apart = any(one.of == "lead" and one.verdict in OUTSIDE for one in told)
    return FigureSays(
        title=title_of(page),
        given=", ".join(figure_said(one) for one in taken if one.reading == name),
        found="; ".join(dict.fromkeys(_verdict(one, found, base) for one in told[:MOST_FOUND])),
        first=FIRST_THE_REST if apart and not aside and _comes_before(name, report, base) else "",
        do=NOT_YET.format(reason=aside) if aside else " ".join(_next(found)),
        aim="" if aside else "; ".join(dict.fromkeys(_aims(found, base))),
        default=bool(found.default_figures) and any(one.verdict in {*OUTSIDE, CLOSE} for one in told),
    )


def _telling(found: Worked) -> list[Held]:
    """Return the verdicts worth saying: those outside, else those too close to call, else all."""
    leads = [one for one in found.held if one.of == "lead"]  # of several limits on a difference the first says it
    held = [one for one in found.held if one not in leads[1:]]
    outside = [one for one in held if one.verdict in OUTSIDE]
    return outside or [one for one in held if one.verdict == CLOSE] or held


def _verdict(one: Held, found: Worked, base: Rulebase) -> str:
    """Return one verdict in words, with the bounds within which the figure is trusted."""
    if one.verdict not in {*OUTSIDE, CLOSE} and one.of == "reading":
        return f"as it should be ({_between(one, found.held, base)})"
    value = _value(one, found, base)
    if one.verdict == CLOSE:
        return f"{value}: too close to {one.bound} to call"
    if one.of == "lead":
        return f"{value}; alike is within {one.bound}" if one.verdict in OUTSIDE else f"alike, within {one.bound}"
    return f"{value}: {one.verdict} {one.bound}"


def _value(one: Held, found: Worked, base: Rulebase) -> str:
    asked, sides = questions(base)[one.question], {one.side, _ahead(one, base)}
    own = (two for two in found.figures if (two.reading, two.of) == (asked.reading, one.of) and two.side in sides)
    figure = next(own, None)
    if figure and one.of == "reading" and one.side is None:
        return f"trusted from {_bounds(figure)}"
    trusted = (
        f" ({_bounds(figure)})" if figure and "%" not in one.value and math.isfinite(figure.high - figure.low) else ""
    )
    if one.of == "lead":
        return f"{one.side} {'more' if asked.above else 'less'} by {one.value}{trusted}"
    return " ".join(part for part in (one.side or "", f"{one.value}{trusted}") if part)


def _ahead(one: Held, base: Rulebase) -> Side:
    """Return the side that a lead is shown on: figures of leads are those of the side that has more."""
    below = one.of == "lead" and not questions(base)[one.question].above
    return other(one.side) if below else one.side


def _bounds(figure: Figure) -> str:
    low, high = show(figure.low, figure.unit).split()[0], show(figure.high, figure.unit).split()[0]
    return f"{low} to {high}"


def _next(found: Worked) -> Iterator[str]:
    yield from (COUNTS if line == NO_LIMIT else line for line in found.picture)
    close = [one.repeats for one in found.measure_again if one.repeats] if not found.test else []
    if close and any(one.verdict == CLOSE for one in _telling(found)):
        yield REPEAT.format(count=max(close))


def _aims(found: Worked, base: Rulebase) -> Iterator[str]:
    """Yield what the next reading should be, for each figure that is not as it should be."""
    for one in _telling(found):
        if one.verdict not in OUTSIDE:
            continue
        if one.of == "lead":
            yield f"within {one.bound} of each other"
        elif one.of == "reading":
            yield _between(one, found.held, base)
        else:
            yield f"within {one.bound}"


def _between(one: Held, held: Sequence[Held], base: Rulebase) -> str:
    """Return the two limits of a figure if it has two, else the one."""
    same = {two.bound: questions(base)[two.question].above for two in held if two.of == one.of and two.side == one.side}
    least = [bound for bound, above in same.items() if not above]
    most = [bound for bound, above in same.items() if above]
    if len(least) == 1 and len(most) == 1:
        return f"{least[0].split()[0]} to {most[0]}" if "(" not in most[0] else f"{least[0]} to {most[0]}"
    return f"at most {one.bound}" if same[one.bound] else f"at least {one.bound}"


def _comes_before(name: str, report: Report, base: Rulebase) -> bool:
    """Whether a reading relies on stages that come before it and of which something is wrong or not known."""
    stages = [area.title for area in base.areas]
    relies = next((number for number, area in enumerate(base.areas) if name in area.relies), 0)
    return any(item.state != RIGHT and item.stage in stages[:relies] for item in report.readiness)
