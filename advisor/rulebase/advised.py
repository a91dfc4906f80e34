"""Checks what pages say to do next: every sentence can come up, and has a side if it names one."""

from collections.abc import Iterator
from typing import get_args

from advisor.errors import Problem
from advisor.rulebase.grammar import SIDE
from advisor.rulebase.model import Logged, ReadingIs, Rulebase
from advisor.rulebase.page_record import Record


def problems(base: Rulebase) -> list[Problem]:
    """Return every sentence that can never come up, or that names a side where there is none."""
    return [*_of_limits(base), *_of_pictures(base), *_of_logs(base), *_of_repairs(base)]


def _note(record: Record, text: str) -> Problem:
    return Problem(record.file, record.line, text)


def _of_limits(base: Rulebase) -> Iterator[Problem]:
    asked = [one for rule in base.rules.values() for one in rule.when if isinstance(one, ReadingIs)]
    for limit in (one for one in base.limits.values() if one.do):
        held = [one for one in asked if one.limit == limit.id]
        said = [one for one in held if one.of != "lead" or not base.readings[one.reading].picture]
        if held and not said:
            pictures = ", ".join(dict.fromkeys(one.reading for one in held))
            yield _note(limit, f"'{limit.id}': its 'do' is never said, for 'picture' says what to do about {pictures}")
        for one in said:
            if SIDE in limit.do and (one.bearing == "none" or one.of == "stays"):
                yield _note(limit, f"'{limit.id}': its 'do' says {SIDE}, and '{one.reading}' has none")
                break


def _of_pictures(base: Rulebase) -> Iterator[Problem]:
    """Find pictures on readings without sides, and fields that need a picture but have none."""
    asked = [one for rule in base.rules.values() for one in rule.when if isinstance(one, ReadingIs)]
    below = {(one.reading, one.limit) for one in asked if one.of == "reading" and not one.above}
    for page in base.readings.values():
        if page.picture and not page.sided:
            yield _note(page, f"'{page.id}' has no sides, and so no picture of how they differ: take out 'picture'")
        if page.take_again and not page.picture:
            yield _note(page, f"'{page.id}': 'take again' is never said without a 'picture'")
        if page.nothing_below and "neither" not in page.picture:
            yield _note(page, f"'{page.id}': 'nothing below' needs 'neither' in its 'picture', to be said then")
        if page.nothing_below and (page.id, page.nothing_below) not in below:
            yield _note(page, f"'{page.id}': no rule asks whether it is below '{page.nothing_below}'")


def _of_logs(base: Rulebase) -> Iterator[Problem]:
    """Find idle behaviour in a log that no reading puts into words, or more than one does."""
    told = [one for one in base.readings.values() if one.in_a_log]
    for word in get_args(Logged) if told else ():
        by = [one for one in told if word in one.in_a_log]
        if not by:
            yield _note(told[-1], f"no reading says what it means that an idle {word}: add it under 'in a log'")
        for one in by[1:]:
            yield _note(one, f"'{one.id}': '{word}' is told in a log by '{by[0].id}' already")


def _of_repairs(base: Rulebase) -> Iterator[Problem]:
    """Find repairs that cure themselves, or a cause sided differently: then the cured side is unknown."""
    for cause in base.causes.values():
        for name in cause.also_cures:
            if name == cause.id or base.causes[name].sided != cause.sided:
                yield _note(cause, f"'{cause.id}' cannot also cure '{name}': it takes another cause, sided alike")
