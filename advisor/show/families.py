"""Figures in the family of units that somebody has chosen: metric, or inch.

Whatever is shown is converted here, once, at the edge, as text: '0.15 mm' is '5.9 thou' in the inch family. The factors
are those of `quantities`, which has them from the units library. What was typed is kept as typed, and read in any unit.
"""

import re
from collections.abc import Sequence

from msgspec.structs import replace

from advisor.case import Measured
from advisor.quantities import ALIASES, Unit, convert, widen
from advisor.session.events import Answered, Change, Corrected, Event, Read, Told

AS_TYPED, METRIC, INCH = "", "metric", "inch"
FAMILIES = (AS_TYPED, METRIC, INCH)
FINE_MM, HARD_KPA = 2.6, 150.0  # mm up to which a length is in thou, kPa from which a pressure is in psi
TO_METRIC = {"thou": "mm", "inHg": "kPa", "F": "C", "mph": "km/h", "psi": "kPa"}
NUMBER = r"\d+(?:\.\d+)?"
UNITS = "mmHg|cmHg|inHg|mm|thou|kPa|hPa|mbar|bar|psi|°C|°F|degC|degF|C|F|km/h|mph"  # none that is a word besides
FIGURES = re.compile(
    rf"(?<![\w.,/\[])(?P<figures>-?{NUMBER}(?:\s*(?:\+/-|±|\bto\b|\bor\b|\band\b|,(?: right)?|;|-)\s*{NUMBER})*)\s?"
    rf"(?P<unit>{UNITS})(?![\w/°])(?!\s?(?:(?:of )?(?:oil|water|mercury)\b|of \d|H2O\b))"
    rf"(?P<tail>(?: (?:higher|lower|more))?(?:,| \() ?give or take {NUMBER}(?!\s?[a-zA-Z]))?"  # in the same unit
)
ONE = re.compile(rf"(?P<half>(?:\+/-|±)\s*)?(?P<figure>(?<![\d.])-?{NUMBER})")
TWICE = re.compile(rf"(?P<one>{NUMBER}) (?P<unit>{UNITS}) \((?P<other>{NUMBER}) (?P=unit)\)")
ROUNDED = 0.05  # of a figure, by which two that are rounded otherwise may differ
APART = re.compile(r"\s*(?:more|higher|lower|hotter|colder|cooler|warmer|apart)\b")
MOST_DIGITS, FEWEST_DIGITS = 4, 2
TAG = re.compile(r"(<[^>]*>)")
WithFigures = Read | Told | Answered
LEFT_ALONE = (
    "q",
    "blockquote",
    "textarea",
    "title",
    "option",
    "script",
    "style",
)  # what somebody said, and what is no text


def unit_in(family: str, unit: str, figures: Sequence[float], table: dict[str, Unit]) -> str:
    """Return the unit that figures of this unit are shown in; the same one where the family has it.

    A gauge shows mmHg in either, and the metric family leaves it so.
    """
    unit = ALIASES.get(unit, unit)
    most = max((abs(one) for one in figures), default=0.0)
    if family == METRIC:
        return TO_METRIC.get(unit, unit)
    if family != INCH or unit not in table:
        return unit
    if table[unit].dimension == table["kPa"].dimension:
        hard = unit == "bar" or convert(most, unit, "kPa", table) >= HARD_KPA
        return unit if unit == "psi" else "psi" if hard else "inHg"
    if unit == "mm":
        return "thou" if most <= FINE_MM else "in"
    return {"C": "F", "km/h": "mph"}.get(unit, unit)


def in_family(text: str, family: str, table: dict[str, Unit]) -> str:
    """Return a text with its figures in a family.

    >>> from advisor.quantities import unit_table
    >>> in_family("0.10 to 0.15 mm, at 20 C; 240 +/- 1.8 mmHg", "inch", unit_table())
    '3.9 to 5.9 thou, at 68 F; 9.45 +/- 0.071 inHg'
    """
    if family == AS_TYPED:
        return text
    return TWICE.sub(_once, FIGURES.sub(lambda found: _converted(found, family, table), text))


def _once(found: "re.Match[str]") -> str:
    """Leave out what stands in brackets, in the same unit now as what stands before them."""
    same = abs(float(found["one"]) - float(found["other"])) <= ROUNDED * float(found["one"])
    return found[0].partition(" (")[0] if same else found[0]


def _converted(found: "re.Match[str]", family: str, table: dict[str, Unit]) -> str:
    unit = ALIASES.get(found["unit"], found["unit"])
    figures = [float(one["figure"]) for one in ONE.finditer(found["figures"])]
    to = unit_in(family, unit, figures, table)
    if to == unit:
        return found[0]
    apart = bool(APART.match(found.string, found.end("unit")))

    def one(each: "re.Match[str]") -> str:
        turn = widen if apart or each["half"] else convert
        value = turn(float(each["figure"]), unit, to, table)
        return f"{each['half'] or ''}{_as_close(value, each['figure'], to)}"

    def half(each: "re.Match[str]") -> str:
        return _as_close(widen(float(each[0]), unit, to, table), each[0], to)

    return f"{ONE.sub(one, found['figures'])} {to}{re.sub(NUMBER, half, found['tail'] or '')}"


def _as_close(value: float, was: str, unit: str) -> str:
    """Return a figure with as many digits as the one it comes from told; of thou no more than a tenth."""
    told = len(re.sub(r"\D", "", was).lstrip("0"))
    digits = min(max(told, FEWEST_DIGITS), MOST_DIGITS)
    before = len(str(int(abs(value)))) if abs(value) >= 1 else -len(_zeros(value))
    places = max(0, digits - before)
    text = f"{value:.{min(places, 1) if unit == 'thou' else places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _zeros(value: float) -> str:
    """Return the noughts between the point and the first other digit."""
    digits = f"{abs(value):.9f}".partition(".")[2]
    return digits[: len(digits) - len(digits.lstrip("0"))]


def events_in_family(events: Sequence[Event], family: str, table: dict[str, Unit]) -> list[Event]:
    """Return events whose figures read as if they had been typed in a family; their values are the same."""
    return [_event_in(one, family, table) for one in events]


def _event_in(event: Event, family: str, table: dict[str, Unit]) -> Event:
    if isinstance(event, WithFigures):
        return _with_figures(event, family, table)
    if isinstance(event, Corrected):
        return replace(event, changes=tuple(_change_in(one, family, table) for one in event.changes))
    return event


def _change_in(one: Change, family: str, table: dict[str, Unit]) -> Change:
    return replace(one, instead=_with_figures(one.instead, family, table)) if one.instead else one


def _with_figures(event: WithFigures, family: str, table: dict[str, Unit]) -> WithFigures:
    return replace(event, readings=tuple(_measured_in(one, family, table) for one in event.readings))


def _measured_in(one: Measured, family: str, table: dict[str, Unit]) -> Measured:
    """Return a reading as if it had been typed in a family."""
    given = in_family(one.given, family, table)
    found = FIGURES.search(given)
    if given == one.given or found is None:
        return one
    written = tuple(in_family(each, family, table) for each in one.written)
    return replace(one, given=given, unit=ALIASES.get(found["unit"], found["unit"]), written=written)


def page_in_family(page: str, family: str, table: dict[str, Unit]) -> str:
    """Return a page with the figures of its text in a family; not those in fields, nor in what somebody said (`q`)."""
    if family == AS_TYPED:
        return page
    parts, alone = TAG.split(page), ""
    for number, part in enumerate(parts):
        if number % 2:
            name = part[1:].rstrip(">/").split(None, 1)[0].lower() if len(part) > 2 else ""  # noqa: PLR2004 - <x
            alone = name if not alone and name in LEFT_ALONE else "" if alone and name == f"/{alone}" else alone
        elif not alone:
            parts[number] = in_family(part, family, table)
    return "".join(parts)
