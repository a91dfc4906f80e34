"""Small rule bases made by hand: a page is its name and what matters of it; everything else is empty."""

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar, get_origin

import msgspec

from advisor.plan.candidates import Scene
from advisor.quantities import Unit
from advisor.report import SignState
from advisor.rulebase import Rulebase
from advisor.rulebase.model import Bearing, Cause, Check, Link, Outcome, Reading, ReadingIs, Rule, Shown, Sign, SignIs
from advisor.rulebase.table_records import Area, Caution, Cover, Figure, Item, Limit, Tool, Trust, Words
from advisor.sides import Sided
from tests.cases import case

T = TypeVar("T", bound=msgspec.Struct)
EMPTY: dict[type, Any] = {str: "", bool: False, int: 0, float: 0.0, tuple: (), dict: {}}
UNITS = {
    "m": Unit("length", 1.0),
    "mm": Unit("length", 0.001),
    "in": Unit("length", 0.0254),
    "rpm": Unit("speed", 1.0),
    "kPa": Unit("pressure", 1000.0),
    "mmHg": Unit("pressure", 133.322_387_415),
    "C": Unit("temperature", 1.0, 273.15),
    "F": Unit("temperature", 5 / 9, 459.67 * 5 / 9),
    "%": Unit("share", 0.01),
    "kg/m3": Unit("density", 1.0),
}
PERSONS = ("rider", "mechanic", "workshop")


def blank(kind: type[T], /, **given: Any) -> T:
    """Return a record with these fields; what it needs besides is empty."""
    needed = {field.name: field.type for field in msgspec.structs.fields(kind) if field.required}
    empty = {name: EMPTY.get(get_origin(of) or of) for name, of in needed.items() if name not in given}
    return kind(**empty, **given)


WORDS = Words(
    shows={"sure": 0.98, "usually": 0.75, "often": 0.6, "sometimes": 0.3},
    met={"often": 0.04, "sometimes": 0.02, "seldom": 0.01},
    faults=1.0,
    healthy={"often": 0.25, "seldom": 0.04, "never": 0.0002},
    trust={
        "measured": Trust(0.98, 0.002),
        "seen": Trust(0.94, 0.01),
        "told": Trust(0.85, 0.05),
        "assumed": Trust(0.6, 0.25),
    },
    unready="seen",
    opening="told",
    in_doubt="assumed",
    for_nothing=0.05,
    unseen=1.0,
    in_full="sure",
    imagined_from="seldom",
    clear=1.0,
    far_of_cause=0.4,
    far_of_sound=0.05,
    act_at=0.5,
    source="made up",
)


def sign(name: str, *, sided: bool = False, **more: Any) -> Sign:
    """Return a sign; it is sided where its title has a side."""
    title = more.pop("title", f"the {{side}} {name}" if sided else name)
    return blank(
        Sign, **{"id": name, "title": title, "sided": sided, "healthy": "seldom", "seen_by": PERSONS[0]} | more
    )


def shown(text: str) -> Shown:
    """Return what `name`, `not name`, `name this` or `name other` shows."""
    words = text.split()
    seen = words[0] != "not"
    name, *at = words if seen else words[1:]
    bearing: Bearing = at[0] if at else "none"  # type: ignore[assignment]  # a bearing by its name
    return Shown(name, bearing, seen)


def asks(text: str) -> SignIs:
    """Return the condition on a sign that these words make, as in `shown`."""
    one = shown(text)
    return SignIs(one.sign, one.bearing, one.seen)


def cause(name: str, settled_by: str, links: Mapping[str, str], *, sided: bool = False, **more: Any) -> Cause:
    """Return a cause; `links` are a strength for each sign, written as in `shown`."""
    found = tuple(
        Link(sign=one.sign, bearing=one.bearing, shows=word) for one, word in ((shown(k), v) for k, v in links.items())
    )
    title = more.pop("title", f"{name}, {{side}}" if sided else name)
    more = {"met": "sometimes", "minutes": 20.0, "place": "", "must_hold": ()} | more
    return blank(Cause, id=name, settled_by=settled_by, links=found, sided=sided, title=title, **more)


def outcome(says: str, *shows: str, either_side: bool = False) -> Outcome:
    """Return one outcome of a check."""
    return Outcome(says=says, either_side=either_side, shows=tuple(shown(one) for one in shows))


def check(name: str, *outcomes: Outcome, sided: bool = False, **more: Any) -> Check:
    """Return a check that anybody can do at any time, if not told otherwise."""
    title = more.pop("title", f"{name}, {{side}}" if sided else name)
    more = {"who": "rider", "how": "seen", "minutes": 5.0, "engine": "any"} | more
    return blank(Check, id=name, outcomes=outcomes, sided=sided, title=title, **more)


def yes_no(name: str, of: str, *, sided: bool = False, **more: Any) -> Check:
    """Return a check that tells whether one sign is there."""
    return check(name, outcome("Yes.", of), outcome("No.", f"not {of}"), sided=sided, **more)


def reading(name: str, unit: str, *, sided: bool = True, **more: Any) -> Reading:
    """Return a kind of reading."""
    return blank(Reading, id=name, title=name, unit=unit, sided=sided, **more)


def limit(name: str, value: float, unit: str, **more: Any) -> Limit:
    """Return a limit."""
    return blank(Limit, id=name, value=value, unit=unit, **more)


def over(name: str, at: str, *, of: str = "reading", above: bool = True, bearing: Bearing = "this") -> ReadingIs:
    """Return the condition that a figure of a reading is above a limit, or below it."""
    return ReadingIs(reading=name, bearing=bearing, above=above, limit=at, of=of)


def rule(name: str, *when: Any, shows: Iterable[str] = (), **more: Any) -> Rule:
    """Return a rule; its conditions are records, or words as in `shown`."""
    conditions = tuple(asks(one) if isinstance(one, str) else one for one in when)
    unless = tuple(asks(one) if isinstance(one, str) else one for one in more.pop("unless", ()))
    made = tuple(shown(one) for one in shows)
    return blank(Rule, id=name, when=conditions, unless=unless, shows=made, **more)


def area(name: str, *wrong: tuple[str, ...], check: str = "", **more: Any) -> Area:
    """Return a stage with one item for each group of signs that say it is wrong."""
    items = tuple(
        blank(Item, id=f"{name}-{n}", title=f"{name} {n}", wrong=signs, check=check) for n, signs in enumerate(wrong)
    )
    return blank(Area, id=name, title=name, items=more.pop("items", items), **more)


KINDS = {
    Caution: "cautions",
    Sign: "signs",
    Cause: "causes",
    Check: "checks",
    Reading: "readings",
    Limit: "limits",
    Rule: "rules",
    Cover: "covers",
    Tool: "tools",
    Figure: "figures",
}


def rulebase(*pages: msgspec.Struct, **more: Any) -> Rulebase:
    """Return the rule base of these pages."""
    found: dict[str, Any] = {
        kind: {page.id: page for page in pages if isinstance(page, of)}  # type: ignore[attr-defined]  # all have one
        for of, kind in KINDS.items()
    }
    found["areas"] = tuple(page for page in pages if isinstance(page, Area))
    return blank(Rulebase, **found | {"words": WORDS, "persons": PERSONS, "units": UNITS} | more)


def state(name: str, side: Any = None, *, seen: bool = True, how: str = "seen") -> SignState:
    """Return a sign as the chain left it."""
    return blank(SignState, id=name, side=side, state="seen" if seen else "not seen", how=how)


def here(known: Mapping[Sided, bool] | None = None, **more: Any) -> Scene:
    """Return a scene in a full workshop; what is known has been looked at."""
    known = dict(known or {})
    fields = {"case": case(), "known": known, "looked_at": frozenset(known), "forbidden": frozenset()}
    return Scene(**fields | more)  # type: ignore[arg-type]  # fields by name
