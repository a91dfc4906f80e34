"""Refuses a case that was built in a program and that no case file could express.

A case file is checked when it is read. A case made in a program may name a sign that the rule base does not have,
or leave out a side; without this check such entries would be dropped silently. Every case is checked, so a valid one
costs only microseconds.
"""

from collections.abc import Callable, Iterable, Iterator
from math import isfinite
from pathlib import Path
from typing import Any, get_args, get_type_hints

import msgspec

from advisor.case import Bike, Case, LogFile, Means, Measured, ShakeReport, SignReport
from advisor.errors import CaseError, Problem
from advisor.intake.bike_sheet import MOST_GEARS, TYRE, are_gears
from advisor.intake.riding import OF_A_LOG, STARTS, THROTTLES
from advisor.quantities import show, unit_of
from advisor.rulebase.grammar import unknown
from advisor.rulebase.model import ENGINE_STATES, Reading, Rulebase
from advisor.sides import BOTH, Side, Sided

Mistake = tuple[str, str]  # the field, as written in Python, and what is wrong with it


def refuse_invalid(case: Case, base: Rulebase) -> None:
    """Raise CaseError with every invalid field of the case, located by the path of the field."""
    found = _mistyped(case) or list(mistakes(case, base))
    if found:
        raise CaseError(sorted({Problem(field, 0, text) for field, text in found}))


def _mistyped(case: Case) -> list[Mistake]:
    """Return the fields whose value has the wrong type."""
    given: object = case  # a program may ignore the type
    if not isinstance(given, Case):
        return [("the case", f"{type(given).__name__} is not a Case; make one with case_from or read_case")]
    return [] if _is_wrong(case, Case) is None else list(_wrong_types("", case, Case))


def _is_wrong(value: object, kind: Any) -> str | None:  # noqa: ANN401 - any type
    """Return what is wrong with the type of a value; None if it is right."""
    try:
        msgspec.convert(msgspec.to_builtins(value, enc_hook=_plain), kind)
    except (msgspec.ValidationError, TypeError, ValueError, RecursionError) as error:
        return str(error)[:1].lower() + str(error)[1:].replace(" - at `$", " at `")
    return None


def _wrong_types(at: str, value: object, kind: Any) -> Iterator[Mistake]:  # noqa: ANN401 - as above
    """Yield every field inside a value whose type is wrong."""
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct) and isinstance(value, kind):
        for name, inner in get_type_hints(kind).items():
            yield from _wrong_types(f"{at}.{name}" if at else name, getattr(value, name), inner)
        return
    many = get_args(kind)[-1:] == (...,)  # tuple[SignReport, ...]
    if many and isinstance(value, tuple | list):
        for place, one in enumerate(value):
            yield from _wrong_types(f"{at}[{place}]", one, get_args(kind)[0])
        return
    wrong = _is_wrong(value, kind)
    if wrong:
        yield at, wrong


def _plain(value: object) -> object:
    """Return a number of another library as a Python number."""
    if hasattr(value, "item"):
        return value.item()
    msg = f"{type(value).__name__} is not a value for a case"
    raise TypeError(msg)


def mistakes(case: Case, base: Rulebase) -> Iterator[Mistake]:
    """Yield every field of a correctly typed case with an unknown name or an impossible value."""
    signs, trust = base.signs, base.words.trust
    for place, report in enumerate(case.seen):
        sign = signs.get(report.sign)
        if sign is None or (report.side is not None) != sign.sided or report.how not in trust:
            yield from _report(f"seen[{place}]", report, base)
    for name, readings in (("measured", case.measured), ("before", case.before)):
        for place, one in enumerate(readings):
            yield from _reading(f"{name}[{place}]", one, base)
    for place, shake in enumerate(case.shakes):
        yield from _shake(f"shakes[{place}]", shake, base)
    for place, log in enumerate(case.logs):
        yield from _log(f"logs[{place}]", log, base)
    yield from _sided("put_right", case.put_right, "cause", base.causes, lambda one: one.sided)
    yield from _sided("ruled_out", case.ruled_out, "cause", base.causes, lambda one: one.sided)
    yield from _sided("not_again", case.not_again, "check", base.checks, lambda one: one.sided)
    yield from _sided("opened", case.opened, "cover", base.covers, lambda one: one.each_side)
    if case.cools is not None and not 0 <= case.cools < float("inf"):
        yield "cools", f"{case.cools} cannot be right; the minutes until the engine is cold are 0 or more"
    yield from _means(case.means, base)
    yield from _bike(case.bike, base)


def _report(at: str, report: SignReport, base: Rulebase) -> Iterator[Mistake]:
    sign = base.signs.get(report.sign)
    if sign is None:
        yield f"{at}.sign", unknown(report.sign, base.signs, "sign")
    else:
        yield from _side(at, report.sign, report.side, sided=sign.sided)
    yield from _how(at, report.how, base)


def _side(at: str, name: str, side: Side, *, sided: bool) -> Iterator[Mistake]:
    if sided and side is None:
        yield f"{at}.side", f"'{name}' is on a side; one of: {', '.join(BOTH)}"
    elif side is not None and not sided:
        yield f"{at}.side", f"'{name}' has no sides; the side must be None"


def _how(at: str, how: str, base: Rulebase) -> Iterator[Mistake]:
    if how not in base.words.trust:
        yield f"{at}.how", f"'{how}' is not a valid word for how it is known; one of: {', '.join(base.words.trust)}"


def _word(at: str, word: str, known: Iterable[str], what: str) -> Iterator[Mistake]:
    """Yield a word that is not known; '' means not stated."""
    if word and word not in known:
        yield at, f"'{word}' is not a valid {what}; one of: {', '.join(known)}"


def _reading(at: str, one: Measured, base: Rulebase) -> Iterator[Mistake]:
    reading = base.readings.get(one.reading)
    if reading is None:
        yield f"{at}.reading", unknown(one.reading, base.readings, "reading")
        return
    yield from _side(at, one.reading, one.side, sided=reading.sided)
    figures = {f"values[{place}]": value for place, value in enumerate(one.values)}
    if one.bounds is not None:
        low, high = one.bounds
        figures |= {"bounds[0]": low, "bounds[1]": high}
        if low >= high:
            yield f"{at}.bounds", "the lower bound must be less than the upper one"
    lowest, highest = (0.0, reading.highest - reading.lowest) if one.over_other else (reading.lowest, reading.highest)
    for field, value in figures.items():
        if not lowest <= value <= highest:
            between = f"{show(lowest, reading.unit)} and {show(highest, reading.unit)}"
            yield f"{at}.{field}", f"{value} cannot be right for '{one.reading}'; it lies between {between}"
    yield from _about_reading(at, one, reading, base)


def _about_reading(at: str, one: Measured, reading: Reading, base: Rulebase) -> Iterator[Mistake]:
    """Yield what is wrong with a reading apart from its figures."""
    if not (one.values or one.bounds or one.stalls):
        yield f"{at}.values", f"'{one.reading}' has no figure"
    if not (isfinite(one.give) and one.give >= 0):
        yield f"{at}.give", f"{one.give} cannot be right; the half-width of trust is 0 or more"
    if one.stalls < 0 or (one.stalls and not reading.stalls):
        yield f"{at}.stalls", f"{one.stalls} cannot be right; only a drop in revs can end in a stall"
    if one.over_other and not reading.sided:
        yield f"{at}.over_other", f"'{one.reading}' has no other side to compare with"
    unit = unit_of(one.unit, base.units)
    if unit is None or unit.dimension != base.units[reading.unit].dimension:
        yield f"{at}.unit", f"'{one.unit}' is not a valid unit of '{one.reading}'; use {reading.unit}"


def _shake(at: str, shake: ShakeReport, base: Rulebase) -> Iterator[Mistake]:
    yield from _how(at, shake.how, base)
    yield from _word(f"{at}.throttle", shake.throttle, THROTTLES, "opening of the throttle")
    yield from _ridden(at, shake)
    if shake.revs is not None and not 0 < shake.revs < float("inf"):
        yield f"{at}.revs", f"{shake.revs} must be more than 0"
    if shake.speed is None and shake.revs is None:
        yield at, "say at which road speed (in m/s) or at which revs (in rpm)"


def _log(at: str, log: LogFile, base: Rulebase) -> Iterator[Mistake]:
    yield from _how(at, log.how, base)
    if log.kind not in OF_A_LOG:
        yield f"{at}.kind", f"'{log.kind}' is not a valid kind of log; one of: {', '.join(OF_A_LOG)}"
    yield from _word(f"{at}.starts", log.starts, STARTS, "start of the log")
    yield from _ridden(at, log)
    if log.near is not None and not 0 < log.near < float("inf"):
        yield f"{at}.near", f"{log.near} must be more than 0"
    if not set(log.shorted) <= set(BOTH):
        yield f"{at}.shorted", f"a plug is shorted on a side; one of: {', '.join(BOTH)}"
    if "\0" in log.path or not Path(log.path).is_file():
        yield f"{at}.path", f"there is no log {log.path!r}"


def _ridden(at: str, one: ShakeReport | LogFile) -> Iterator[Mistake]:
    if one.speed is not None and not 0 < one.speed < float("inf"):
        yield f"{at}.speed", f"{one.speed} must be more than 0"
    if not 0 <= one.gear <= MOST_GEARS:
        yield f"{at}.gear", f"{one.gear} is not a gear; write one from 1 to {MOST_GEARS}, or 0 if not known"


def _sided(
    field: str, given: Iterable[Sided], what: str, known: dict[str, Any], sided: Callable[[Any], bool]
) -> Iterator[Mistake]:
    for place, (name, side) in enumerate(given):
        at = f"{field}[{place}]"
        if name not in known:
            yield at, unknown(name, known, what)
        elif sided(known[name]) != (side is not None):
            yield at, f"'{name}' is on a side; one of: {', '.join(BOTH)}" if side is None else f"'{name}' has no sides"


def _means(means: Means, base: Rulebase) -> Iterator[Mistake]:
    if means.person not in base.persons:
        yield "means.person", f"'{means.person}' is not a valid person; one of: {', '.join(base.persons)}"
    yield from _word("means.engine", means.engine, ENGINE_STATES, "state of the engine")
    for tool in means.tools or ():
        if tool not in base.tools:
            yield "means.tools", unknown(tool, base.tools, "tool")


def _bike(bike: Bike, base: Rulebase) -> Iterator[Mistake]:
    for part, kind in bike.parts.items():
        if part not in base.parts:
            yield "bike.parts", unknown(part, base.parts, "part")
        elif kind not in base.parts[part].kinds:
            yield (
                f"bike.parts.{part}",
                f"'{kind}' is not a valid kind of {part}; one of: {', '.join(base.parts[part].kinds)}",
            )
    for name, (low, high) in bike.figures.items():
        if name not in base.figures:
            yield "bike.figures", unknown(name, base.figures, "figure of the bike")
        elif not (isfinite(low) and isfinite(high) and low <= high):
            yield f"bike.figures.{name}", f"{low} to {high} cannot be right; write the lowest, then the highest"
    if bike.gears and not are_gears(bike.gears):
        yield "bike.gears", "write the engine's turns for one turn of the rear wheel, first gear first"
    if bike.tyre and not TYRE.match(bike.tyre):
        yield "bike.tyre", f"'{bike.tyre}' is not a tyre size; write it as printed on the tyre, like 120/90-18"
