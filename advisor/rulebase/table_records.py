"""The tables of a rule base, once read: the words and their figures, the bike's parts and figures, tools, the order."""

import msgspec

from advisor.rulebase.page_record import Record


class Trust(msgspec.Struct, frozen=True):
    """How far a report is believed: the chance of noticing a sign that is there, and of reporting one that is not."""

    hit: float
    false_alarm: float
    ordinary: float = 1.0


class Words(msgspec.Struct, frozen=True, kw_only=True):
    """The one table from words to numbers (probabilities, but `faults`, the mean number on one bike, and `step`).

    `act_at` is the probability at which to act, `unready` the trust in a balance reading while
    something that must be right first has not been checked, `opening` the trust in an unprompted report,
    `in_doubt` that in an answer of which whoever gives it is not sure.
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
    in_doubt: str
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
    only_if: dict[str, str] = msgspec.field(default_factory=dict)


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
    ready: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)


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


class Sheet(Record, frozen=True, kw_only=True):
    """The SVG text that drawings are made from, and the states that it can be drawn in; none if there is only one."""

    text: str
    states: tuple[str, ...] = ()


class Drawing(Record, frozen=True, kw_only=True):
    """A picture of a part: a sheet in one state. `says` tells all that it shows to those who cannot see it."""

    title: str
    says: str
    sheet: str
    state: str = ""
