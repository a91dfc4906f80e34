"""Cases made in tests: small ones by hand, random ones by strategy, and their mirror images."""

from typing import Any

from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured, SignReport
from advisor.rulebase import Rulebase
from advisor.sides import Side, other, sides_of

WORKSHOP = Means(person="workshop", tools=None, engine="")


def case(*seen: SignReport, measured: tuple[Measured, ...] = (), parts: dict[str, str] | None = None) -> Case:
    """Return a case with these reports and readings."""
    bike = Bike(parts=parts or {})
    return Case(title="", bike=bike, complaint="", seen=tuple(seen), measured=measured, means=WORKSHOP)


def report(sign: str, side: Side = None, *, seen: bool = True, how: str = "seen") -> SignReport:
    """Return one report."""
    return SignReport(sign=sign, side=side, seen=seen, how=how)


def figure(reading: str, side: Side, value: float, base: Rulebase) -> Measured:
    """Return one reading in its own unit."""
    kind = base.readings[reading]
    text = f"{value:.9f}"
    given = f"{text} {kind.unit}"
    return Measured(
        reading=reading,
        side=side,
        values=(float(text),),
        give=kind.give,
        given=given,
        unit=kind.unit,
        written=(given,),
    )


def mirrored(one: Case) -> Case:
    """Return the case with left and right exchanged."""
    seen = tuple(replace(report, side=other(report.side)) for report in one.seen)
    measured = tuple(replace(reading, side=other(reading.side)) for reading in one.measured)
    return replace(one, seen=seen, measured=measured)


@st.composite
def random_cases(draw: Any, base: Rulebase, most_signs: int = 14) -> Case:
    """Draw a case: signs seen and not seen on their sides, some readings, some parts."""
    keys = [(sign.id, side) for sign in base.signs.values() for side in sides_of(sign.sided)]
    chosen = draw(st.lists(st.sampled_from(keys), max_size=most_signs, unique=True))
    seen: list[SignReport] = []
    for sign, side in chosen:
        there = draw(st.booleans())
        twin = (sign, other(side))
        if there and base.signs[sign].exclusive and any((r.sign, r.side) == twin and r.seen for r in seen):
            continue
        seen.append(report(sign, side, seen=there, how=draw(st.sampled_from(sorted(base.words.trust)))))
    measured = []
    for kind in draw(st.lists(st.sampled_from(sorted(base.readings)), max_size=4, unique=True)):
        page = base.readings[kind]
        for side in sides_of(page.sided):
            high = min(page.highest, 3 * abs(page.give) * 100 or page.highest)
            measured.append(figure(kind, side, draw(st.floats(page.lowest, high)), base))
    parts = {
        part: draw(st.sampled_from(base.parts[part].kinds))
        for part in draw(st.sets(st.sampled_from(sorted(base.parts))))
    }
    return case(*seen, measured=tuple(measured), parts=parts)
