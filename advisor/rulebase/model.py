"""A rule base, once read: its signs, readings, rules, causes and checks, each with the file and line it came from."""

from pathlib import Path
from typing import Literal

import msgspec

from advisor.quantities import Unit
from advisor.rulebase.page_record import Record
from advisor.rulebase.table_records import (
    Area,
    Caution,
    Choice,
    Cover,
    Drawing,
    Figure,
    Limit,
    RideNext,
    ShakeOrder,
    Sheet,
    Term,
    Tool,
    Words,
)

INVOLVES = ("cranking", "running", "throttling", "riding")  # what a check may involve and a rule may forbid
ENGINE_STATES = ("cold", "warm", "any")
Logged = Literal["climbs", "drops", "hunts", "jumped", "in steps", "hangs"]  # what the idle does in a log
Bearing = Literal["this", "other", "none"]  # a side as a rule writes it: this side, the other side, no side


class MainTrouble(msgspec.Struct, frozen=True):
    """How a sign is offered to who has no words for his trouble: its turn in the list, and what it says there."""

    turn: float
    says: str


class Sign(Record, frozen=True, kw_only=True):
    """Something seen or not seen. `exclusive`: it cannot be on both sides at once; `past`: no repair changes it.

    `later`: whether it is gone cannot be told where the bike stands; it takes weather, a tank of fuel, a cold start or
    a hot engine. `kind_of` names the vaguer sign that this one is a kind of: seeing this means seeing that too.
    `never_with` names signs that cannot occur with it (on the same side), `other_side_never_with` those that cannot
    on the other one. `never_without` names signs that are there whenever it is, `both_never_without` those that are
    once it is on both sides. `main` is how it is offered as a main trouble. `also` is what people say where it is
    there, `well` what they say where it is not. `do` says what to do next once it is known to be there.
    """

    title: str
    plain: str
    question: str
    also: tuple[str, ...]
    sided: bool
    exclusive: bool
    past: bool
    kind_of: str
    never_with: tuple[str, ...]
    seen_by: str
    healthy: str
    well: tuple[str, ...] = ()
    later: bool = False
    do: str = ""
    other_side_never_with: tuple[str, ...] = ()
    never_without: tuple[str, ...] = ()
    both_never_without: tuple[str, ...] = ()
    main: MainTrouble | None = None


class Reading(Record, frozen=True, kw_only=True):
    """Something measured: its unit and plausible range, all in `unit`.

    `give` is the half-width within which one reading is trusted, `instrument` the part of it that
    repeating does not reduce. `stalls` is the least that a stall
    means (0 if it cannot stall). `exchanges` names the reading that this one repeats with the
    instrument's hoses swapped, `zeroed_by` the reading of the instrument with nothing connected,
    `adds` those it is the sum of, `range_is` the one that is the distance between its lowest and its highest figure as
    it wanders. `also` are other words for it. `picture` says in words what it means if one
    side has more (`higher`) or both are level (`level`), and what to turn; and what to ask if the engine runs but
    neither side has anything (`neither`), or less than the limit `nothing_below`. `take_again` says how to repeat it
    if the sides could not be told apart. `in_a_log` puts into words what the idle does in a recorded log.
    """

    title: str
    unit: str
    sided: bool
    lowest: float
    highest: float
    give: float
    instrument: float
    stalls: float
    exchanges: str
    zeroed_by: str
    also: tuple[str, ...] = ()
    picture: dict[str, str]
    nothing_below: str = ""
    take_again: str = ""
    in_a_log: dict[Logged, str] = msgspec.field(default_factory=dict)
    adds: tuple[str, ...]
    range_is: str = ""
    taken: str
    question: str


class SignIs(msgspec.Struct, frozen=True, tag="sign"):
    """Holds when the sign is known to be seen (or known not to be)."""

    sign: str
    bearing: Bearing
    seen: bool = True


class ReadingIs(msgspec.Struct, frozen=True, tag="reading"):
    """Holds when a figure derived from a reading is clearly above or below a limit.

    `of` is `reading` (as measured), `lead` (its surplus over the other side), `change` (how far it has
    moved, either way, since last time), or `stays` (what stays on one leg of the instrument when its
    hoses are swapped).
    """

    reading: str
    bearing: Bearing
    above: bool
    limit: str
    of: str = "reading"


class PartIs(msgspec.Struct, frozen=True, tag="part"):
    """Holds when the bike is known to have this kind of part."""

    part: str
    kind: str


Condition = SignIs | ReadingIs | PartIs


class Shown(msgspec.Struct, frozen=True, array_like=True):
    """A sign that a rule or an outcome settles, and which way."""

    sign: str
    bearing: Bearing
    seen: bool = True


class Rule(Record, frozen=True, kw_only=True):
    """A forward-chained rule: if all of `when` hold and none of `unless`, signs, set-asides or cautions follow.

    `remark` is a sentence for the report: a common mistake at this point. `looks` are checks that a rider on the phone
    may still do while the rule forbids cranking, in this order; with none, a call ends at once.
    """

    when: tuple[Condition, ...]
    unless: tuple[Condition, ...] = ()
    shows: tuple[Shown, ...] = ()
    otherwise: bool = False
    sets_aside: tuple[str, ...] = ()
    switches_off: tuple[tuple[str, str], ...] = ()
    warns: tuple[str, ...] = ()
    forbids: tuple[str, ...] = ()
    remark: str = ""
    reason: str = ""
    source: str = ""
    looks: tuple[str, ...] = ()


class Link(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """How often a cause shows a sign, and on which side. `either`: on one side or the other, each half the time."""

    sign: str
    bearing: Bearing
    shows: str
    either: bool = False

    def strength(self, words: Words) -> float:
        """Return what the cause alone adds to the chance of the sign on this side."""
        return words.shows[self.shows] / (2 if self.either else 1)


class Cause(Record, frozen=True, kw_only=True):
    """A fault: how common it is, what it shows, how it is settled and put right.

    `also` is how people name it. `not_told_from` names causes that no check tells it from, each with the reason.
    `both_sides`: both sides are put right in one job, in the `minutes` of the page, whichever side the fault was on.
    `also_cures` names causes that the same repair puts right. `new_parts`: the repair needs new parts. `say` tells a
    rider on the phone how to put it right himself; without it the repair is for a workshop.
    """

    title: str
    also: tuple[str, ...] = ()
    place: str
    sided: bool
    met: str
    links: tuple[Link, ...]
    settled_by: str
    remedy: str
    minutes: float
    both_sides: bool = False
    also_cures: tuple[str, ...] = ()
    new_parts: bool = False
    say: str = ""
    must_hold: tuple[str, ...]
    not_told_from: dict[str, str]
    cautions: tuple[str, ...]
    reason: str
    source: str


class Outcome(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """One result that a check can have, and the signs that it settles.

    `either_side`: the outcome exists once for left and once for right (of a check done once).
    """

    says: str
    either_side: bool
    shows: tuple[Shown, ...]


class Check(Record, frozen=True, kw_only=True):
    """Something to do that settles signs. `minutes` is the time for it alone, including the cover that it `opens`.

    `say` is the sentence read aloud to a rider, if the question of a sign or reading will not do. The check is offered
    only once one of the signs in `only_after` is known to be there, on any side; once one of those in `first_after` is,
    it comes first. `not_found` is how a sign that the check does not find is known, if not as well as one that it
    finds; '' if as well. `drawing` names the picture that shows where to look.
    """

    title: str
    say: str
    steps: tuple[str, ...]
    sided: bool
    who: str
    how: str
    tools: tuple[str, ...]
    minutes: float
    engine: str
    involves: tuple[str, ...]
    place: str
    needs: tuple[Condition, ...]
    unless: tuple[Condition, ...]
    only_after: tuple[str, ...] = ()
    first_after: tuple[str, ...] = ()
    not_found: str = ""
    drawing: str = ""
    takes: tuple[str, ...]
    opens: str
    cautions: tuple[str, ...]
    outcomes: tuple[Outcome, ...]

    def known_by(self, seen: bool) -> str:
        """Return how a sign is known after this check, seen or not."""
        return self.how if seen or not self.not_found else self.not_found


class Rulebase(msgspec.Struct, frozen=True, kw_only=True):
    """The whole rule base, by id: pages of places in the order of their names, causes by place first.

    `tool_roll` are the tools that a rider on the phone may have, `tool_roll_asked` the question for them. `folders`
    are those that it was read from, the last one uppermost.
    """

    words: Words
    persons: tuple[str, ...]
    units: dict[str, Unit]
    figures: dict[str, Figure]
    limits: dict[str, Limit]
    shakes: dict[str, ShakeOrder]
    ride_next: RideNext
    parts: dict[str, Choice]
    tools: dict[str, Tool]
    tool_roll: tuple[str, ...] = ()
    tool_roll_asked: str = ""
    covers: dict[str, Cover]
    areas: tuple[Area, ...]
    cautions: dict[str, Caution]
    glossary: dict[str, Term] = {}
    drawings: dict[str, Drawing] = {}
    sheets: dict[str, Sheet] = {}
    signs: dict[str, Sign]
    readings: dict[str, Reading]
    rules: dict[str, Rule]
    causes: dict[str, Cause]
    checks: dict[str, Check]
    folders: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"Rulebase({len(self.causes)} causes, {len(self.signs)} signs)"

    def level_of(self, file: str) -> int:
        """Return the position of the folder that a page is in: 0 for the lowest, or if it is in none of them."""
        inside = [number for number, folder in enumerate(self.folders) if Path(folder) in Path(file).parents]
        return max(inside, key=lambda number: len(Path(self.folders[number]).parts), default=0)

    def order_of(self, place: str) -> int:
        """Return the position of a place in the readiness order, 0 first."""
        return next((n for n, area in enumerate(self.areas) if place in area.places), len(self.areas))
