"""What a rule base is made of, once read: frozen records, each knowing the file and line it came from."""

from typing import Literal

import msgspec

from advisor.quantities import Unit

INVOLVES = ("cranking", "running", "throttling", "riding")  # what a check does with the engine, and a rule may forbid
ENGINE_STATES = ("cold", "warm", "any")
Logged = Literal["climbs", "drops", "hunts", "jumped", "in steps", "hangs"]  # what a log shows that the idle does
Bearing = Literal["this", "other", "none"]  # a side as a rule writes it: this side, the other side, no side


class Record(msgspec.Struct, frozen=True, kw_only=True, array_like=True):  # kept without the names of its fields
    """A record with its place, so that every message can say where to look."""

    id: str
    file: str
    line: int


class Trust(msgspec.Struct, frozen=True):
    """How far a report is believed: chance to notice what is there, chance to report what is not."""

    hit: float
    false_alarm: float
    ordinary: float = 1.0


class Words(msgspec.Struct, frozen=True, kw_only=True):
    """The one table from words to numbers (all probabilities, but `faults`: the mean number on one bike).

    `act_at` is the probability at which one acts, `unready` how far a balance reading is believed while
    something that must be right before it has not been checked, `opening` how far what is said unasked.
    `for_nothing` is how often somebody complains of a bike that has none of the causes. A sign that is not seen counts
    by the power `unseen`, but in full where a cause shows it as often as the word `in_full` says, or more often.
    What sound bikes show as often as `imagined_from` says, or more often, is imagined as often as `trust` says.
    `clear` is how often sound bikes show one clear kind where they show a vague sign. Of what is over a limit,
    `far_of_cause` is far over it where a cause shows it, `far_of_sound` on sound bikes.
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
    source: str


class Figure(Record, frozen=True, kw_only=True):
    """A figure of the bike: what holds when its sheet does not say (`low` to `high`), cautious, in `unit`.

    `tolerance` is how far either way a single figure on a sheet may be missed.
    """

    title: str
    unit: str
    low: float
    high: float
    tolerance: float
    source: str


class Limit(Record, frozen=True, kw_only=True):
    """A figure with its unit, meaning and source.

    With `figure` it is the `end` (low or high) of a figure of the bike; `value` then is the cautious default.
    `far` is so much beyond the value, in `unit`, that it weighs more than a little; None where there is no such grade.
    `do` says what to do next about a figure that is over or under it; '' where no page says.
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
    """What a shake may come with: what it is `called`, the sign that it shows, and what to do next about it.

    `turns` is its number of turns for one turn of the engine; None where it turns with the rear wheel.
    """

    called: str
    turns: float | None
    shows: str
    do: str


class RideNext(msgspec.Struct, frozen=True, kw_only=True):
    """What to ride next while it is open what a shake comes with.

    `none_stands_out`: after a recorded shake whose orders are too much alike. `left_open`: after what a rider felt.
    `at_one_speed`: where only one road speed is told.
    """

    none_stands_out: str
    left_open: str
    at_one_speed: str


class Choice(Record, frozen=True, kw_only=True):
    """A kind of part, with the kinds there are (coils: separate or double-ended)."""

    title: str
    kinds: tuple[str, ...]


class Tool(Record, frozen=True, kw_only=True):
    """Something that a check may need to have at hand."""

    title: str


class Cover(Record, frozen=True, kw_only=True):
    """Work that several checks share: `minutes` to open it (each side by itself, for some).

    What is `shut_to_run` must be closed again before the engine runs.
    """

    title: str
    minutes: float
    each_side: bool
    shut_to_run: bool


class Item(Record, frozen=True, kw_only=True):
    """One thing that must be right in a stage: the signs that it is not, and the check that tells.

    It is asked of bikes with these kinds of parts only (`only_if`: part and kind).
    """

    title: str
    wrong: tuple[str, ...]
    check: str
    only_if: dict[str, str] = {}


class Area(Record, frozen=True, kw_only=True):
    """One stage of a tune-up; areas are held in the order in which they must be right.

    `relies` names the readings and signs that say nothing while anything in an earlier stage is wrong. `before_next`
    says why it comes before the next stage; '' where no page says.
    """

    title: str
    places: tuple[str, ...]
    reason: str
    before_next: str = ""
    items: tuple[Item, ...] = ()
    relies: tuple[str, ...] = ()


class Sign(Record, frozen=True, kw_only=True):
    """Something seen or not seen. `exclusive`: it cannot be on both sides at once; `past`: no repair changes it.

    `kind_of` names the vaguer sign that this one is a kind of: whoever sees this sees that too. `never_with` names
    signs that cannot be there with it (on the same side). `do` says what to do next once it is known to be there.
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
    do: str = ""


class Reading(Record, frozen=True, kw_only=True):
    """Something measured: its unit and plausible range, all in `unit`.

    `give` is the half-width within which one reading is trusted, `instrument` the part of it that no
    repeating takes away. `stalls`: what a stall instead of a figure
    says at least (0 where there can be none). `exchanges` names the reading that this one repeats with the
    instrument's hoses exchanged, `zeroed_by` the one that says what the instrument shows with nothing on it,
    `adds` those whose sum it is. `also` are words that people use for it. `picture` says in words what it means that a
    side has more (`higher`), or that both have alike (`level`), and what to turn; and what to ask where it runs and yet
    neither has anything (`neither`), be it under the limit `nothing_below`. `take_again` says how to take it once more
    where the sides could not be told apart. `in_a_log` says in words what the idle does in a recorded log.
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
    taken: str
    question: str


class SignIs(msgspec.Struct, frozen=True, tag="sign"):
    """Holds when the sign is known to be seen (or known not to be)."""

    sign: str
    bearing: Bearing
    seen: bool = True


class ReadingIs(msgspec.Struct, frozen=True, tag="reading"):
    """Holds when a figure made of a reading is clearly above or below a limit.

    `of` is `reading` (as measured), `lead` (its surplus over the other side), `change` (how far it has
    moved, either way, since last time), or `stays` (what stays on one leg of the instrument when its
    hoses are exchanged).
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
    """Forward-chained: all of `when` hold and none of `unless`; then signs, set-asides or cautions follow.

    `remark` is a sentence the report then says: what is commonly mistaken here.
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


class Link(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """How often a cause shows a sign, and on which side. `either`: on one side or the other, half as often on each."""

    sign: str
    bearing: Bearing
    shows: str
    either: bool = False

    def strength(self, words: Words) -> float:
        """Return what the cause alone adds to the chance of the sign on this side."""
        return words.shows[self.shows] / (2 if self.either else 1)


class Cause(Record, frozen=True, kw_only=True):
    """A fault: how often it is met, what it shows, how it is settled and put right.

    `not_told_from` names causes that no check tells it from, each with the reason why not. `both_sides`: it is put
    right on both sides in one job, in the `minutes` of the page, whichever side it was found on. `also_cures` names
    causes that are then put right too. `new_parts`: it takes parts that have to be bought.
    """

    title: str
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
    """Something to do that settles signs. `minutes` are those it takes by itself, with the cover that it `opens`.

    `say` is the sentence read aloud to a rider, where the question of a sign or reading would not do. It is offered
    only once one of the signs in `only_after` is known to be there, on any side.
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
    takes: tuple[str, ...]
    opens: str
    cautions: tuple[str, ...]
    outcomes: tuple[Outcome, ...]


class Caution(Record, frozen=True, kw_only=True):
    """What can hurt, and what to do about it."""

    says: str


class Rulebase(msgspec.Struct, frozen=True, kw_only=True):
    """The whole rule base, by id: pages of places in the order of their names, causes by place first."""

    words: Words
    persons: tuple[str, ...]
    units: dict[str, Unit]
    figures: dict[str, Figure]
    limits: dict[str, Limit]
    shakes: dict[str, ShakeOrder]
    ride_next: RideNext
    parts: dict[str, Choice]
    tools: dict[str, Tool]
    covers: dict[str, Cover]
    areas: tuple[Area, ...]
    cautions: dict[str, Caution]
    signs: dict[str, Sign]
    readings: dict[str, Reading]
    rules: dict[str, Rule]
    causes: dict[str, Cause]
    checks: dict[str, Check]

    def __repr__(self) -> str:
        return f"Rulebase({len(self.causes)} causes, {len(self.signs)} signs)"

    def order_of(self, place: str) -> int:
        """Return the position of a place in the readiness order, 0 first."""
        return next((n for n, area in enumerate(self.areas) if place in area.places), len(self.areas))
