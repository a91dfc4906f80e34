"""The parts of a rule base, once read: frozen records, each with the file and line it came from."""

from pathlib import Path
from typing import Literal

import msgspec

from advisor.quantities import Unit

INVOLVES = ("cranking", "running", "throttling", "riding")  # what a check may involve and a rule may forbid
ENGINE_STATES = ("cold", "warm", "any")
Logged = Literal["climbs", "drops", "hunts", "jumped", "in steps", "hangs"]  # what the idle does in a log
Bearing = Literal["this", "other", "none"]  # a side as a rule writes it: this side, the other side, no side


class Record(msgspec.Struct, frozen=True, kw_only=True, array_like=True):  # cached without field names
    """A record with its file and line, so that every message can say where to look."""

    id: str
    file: str
    line: int


class Trust(msgspec.Struct, frozen=True):
    """How far a report is believed: the chance of noticing a sign that is there, and of reporting one that is not."""

    hit: float
    false_alarm: float
    ordinary: float = 1.0


class Words(msgspec.Struct, frozen=True, kw_only=True):
    """The one table from words to numbers (probabilities, but `faults`, the mean number on one bike, and `step`).

    `act_at` is the probability at which to act, `unready` the trust in a balance reading while
    something that must be right first has not been checked, `opening` the trust in an unprompted report.
    `for_nothing` is the chance of a complaint about a bike with none of the causes. A sign not seen counts
    with the exponent `unseen`, but in full if a cause shows it at least as often as the word `in_full` says.
    A sign that sound bikes show at least as often as `imagined_from` says is imagined as often as `trust` says.
    `clear` is how often sound bikes with a vague sign show one specific kind of it. Of figures over a limit, the
    share `far_of_cause` is far over it if a cause shows it, `far_of_sound` on sound bikes. Each step of a search is
    charged `step` minutes beside its own.
    """

    shows: dict[str, float]
    met: dict[str, float]
    faults: float
    healthy: dict[str, float]
    trust: dict[str, Trust]
    unready: str
    opening: str
    for_nothing: float
    unseen: float
    in_full: str
    imagined_from: str
    clear: float
    far_of_cause: float
    far_of_sound: float
    act_at: float
    step: float = 0.0
    source: str


class Figure(Record, frozen=True, kw_only=True):
    """A figure of the bike: the cautious default (`low` to `high`, in `unit`) when its sheet does not say.

    `tolerance` is how far off, either way, the bike may be from a single figure on a sheet.
    """

    title: str
    unit: str
    low: float
    high: float
    tolerance: float
    source: str


class Limit(Record, frozen=True, kw_only=True):
    """A figure with its unit, meaning and source.

    With `figure` it is the `end` (low or high) of a figure of the bike; `value` is then the cautious default.
    `far` is the distance beyond the value, in `unit`, from which a figure is far over; None if there is no such grade.
    `do` says what to do next about a figure over or under it; '' if no page says.
    """

    value: float
    unit: str
    figure: str = ""
    end: str = ""
    far: float | None = None
    meaning: str
    do: str = ""
    source: str


class ShakeOrder(Record, frozen=True, kw_only=True):
    """What a shake may keep time with: what it is `called`, the sign that it shows, and what to do next about it.

    `turns` is its number of turns per turn of the engine; None if it turns with the rear wheel.
    """

    called: str
    turns: float | None
    shows: str
    do: str


class RideNext(msgspec.Struct, frozen=True, kw_only=True):
    """What to ride next while the source of a shake is still open.

    `none_stands_out`: after a recorded shake whose orders are too similar. `left_open`: after a rider's reports.
    `at_one_speed`: if only one road speed was reported.
    """

    none_stands_out: str
    left_open: str
    at_one_speed: str


class Choice(Record, frozen=True, kw_only=True):
    """A part that bikes have in different kinds (coils: separate or double-ended)."""

    title: str
    kinds: tuple[str, ...]


class Tool(Record, frozen=True, kw_only=True):
    """A tool that a check may need."""

    title: str


class Cover(Record, frozen=True, kw_only=True):
    """Work that several checks share: `minutes` to open it (for some, each side separately).

    `shut_to_run`: it must be closed again before the engine runs.
    """

    title: str
    minutes: float
    each_side: bool
    shut_to_run: bool


class Item(Record, frozen=True, kw_only=True):
    """One thing that must be right in a stage: the signs that it is not, and the check that shows them.

    It applies only to bikes with these kinds of parts (`only_if`: part and kind).
    """

    title: str
    wrong: tuple[str, ...]
    check: str
    only_if: dict[str, str] = {}


class Area(Record, frozen=True, kw_only=True):
    """One stage of a tune-up; areas are kept in the order in which they must be right.

    `relies` names the readings and signs that mean nothing while anything in an earlier stage is wrong. `before_next`
    says why this stage comes before the next; `set_again` what of this stage is set again once an earlier one was put
    right; `look_again` what to look at some way after work on it. '' if no page says.
    """

    title: str
    places: tuple[str, ...]
    reason: str
    before_next: str = ""
    set_again: str = ""
    look_again: str = ""
    items: tuple[Item, ...] = ()
    relies: tuple[str, ...] = ()


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
    in_a_log: dict[Logged, str] = {}
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
    finds; '' if as well.
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
    takes: tuple[str, ...]
    opens: str
    cautions: tuple[str, ...]
    outcomes: tuple[Outcome, ...]

    def known_by(self, seen: bool) -> str:
        """Return how a sign is known after this check, seen or not."""
        return self.how if seen or not self.not_found else self.not_found


class Caution(Record, frozen=True, kw_only=True):
    """What can hurt, and what to do about it.

    `brief` is the same in a few words, for who has it in mind. `now` is what a rider does at the end of a call if a
    rule warned so. `includes` are cautions that need not be given beside this one: it says what they say.
    """

    says: str
    brief: str = ""
    now: str = ""
    includes: tuple[str, ...] = ()


class Term(Record, frozen=True, kw_only=True):
    """A word of the trade, explained to a rider in one sentence; `also` are its other forms."""

    says: str
    also: tuple[str, ...] = ()


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
