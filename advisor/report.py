"""What the advisor finds in a case, from the chained facts up to `Report`. All probabilities are from 0 to 1."""

import msgspec

from advisor.sides import Side, Sided

FORMAT = 1  # version of the JSON report: raised when a field goes or changes meaning, not when one is added
LEAST_FACTOR = 1.05  # a sign must move a cause's odds by at least this factor to be worth a line: judgement
ODD_FROM_BITS = 2.0  # bits of surprise from which a picture no longer fits together: judgement


def speaks_for(factor: float) -> bool:
    """Whether a sign with this factor on a cause's odds speaks for it, enough to be worth a line."""
    return factor >= LEAST_FACTOR


def speaks_against(factor: float) -> bool:
    """Whether a sign with this factor on a cause's odds speaks against it, enough to be worth a line."""
    return factor <= 1 / LEAST_FACTOR


class Fact(msgspec.Struct, frozen=True, kw_only=True):
    """One fact in the chain: `said` is the input in the words to show, `rule` the first rule that gave the fact."""

    id: int
    kind: str
    name: str
    said: str = ""
    how: str = ""
    rule: str | None = None


class Firing(msgspec.Struct, frozen=True, kw_only=True):
    """One rule that fired: the facts it matched (ids, in the order of its conditions) and those it gave."""

    rule: str
    layer: int
    matched: tuple[int, ...]
    gave: tuple[int, ...]


class Evidence(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that counts: its state, how far the report is trusted, and where it came from.

    `grade` says how far a figure is over its limit: `a little` or `far`; '' if not known, or no figure.
    """

    sign: str
    side: Side
    seen: bool
    how: str
    facts: tuple[str, ...]
    rules: tuple[str, ...]
    grade: str = ""


class Why(msgspec.Struct, frozen=True, kw_only=True):
    """One sign's part in a cause's rank: the odds with it over the odds without it.

    `near`: not exact, but worked out among the likeliest causes alone, because an exact figure would take too long.
    """

    sign: str
    side: Side
    state: str
    title: str
    factor: float
    rules: tuple[str, ...]
    facts: tuple[str, ...] = msgspec.field(name="from")
    near: bool = False


class RankedCause(msgspec.Struct, frozen=True, kw_only=True):
    """A cause with its probability, what speaks for and against it, and what it leaves unexplained."""

    id: str
    side: Side
    title: str
    probability: float
    remedy: str
    minutes: float
    why: tuple[Why, ...]
    unexplained: tuple[str, ...]


class Explanation(RankedCause, frozen=True, kw_only=True):
    """A cause explained on its own; `set_aside` is what was told of the case and does not count, and why."""

    set_aside: tuple["SetAside", ...] = ()


class OutcomeSeen(msgspec.Struct, frozen=True, kw_only=True):
    """One result a check may have: how likely it is, and which cause would then lead."""

    says: str
    side: Side
    probability: float
    leads: str
    leads_side: Side
    leads_title: str
    leads_probability: float


class NextCheck(msgspec.Struct, frozen=True, kw_only=True):
    """A check worth doing next, with its cost and what it is expected to tell; its outcomes if they were worked out."""

    id: str
    side: Side
    title: str
    steps: tuple[str, ...]
    minutes: float
    gain_bits: float
    tools: tuple[str, ...]
    engine: str
    cautions: tuple[str, ...]
    outcomes: tuple[OutcomeSeen, ...]


class SignState(msgspec.Struct, frozen=True, kw_only=True):
    """A sign as the chain left it."""

    id: str
    side: Side
    state: str
    title: str
    how: str
    rules: tuple[str, ...]
    facts: tuple[str, ...] = msgspec.field(name="from")


class SetAside(msgspec.Struct, frozen=True, kw_only=True):
    """A reading or sign that was given but does not count, and why."""

    what: str
    side: Side
    reason: str
    rule: str


class CautionShown(msgspec.Struct, frozen=True, kw_only=True):
    """A caution and what calls for it: the case itself (`of_the_case`), or the next step."""

    id: str
    says: str
    because: str
    of_the_case: bool


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """Causes that cannot be told apart so far, as one line: ids with sides, and each title once.

    `probability` is the chance that at least one of them is there. `found`: the deciding check of this one cause found
    it. `told_by` is the quickest check that tells the two likeliest apart, with its `minutes`; '' for one cause, or
    if no check does.
    """

    causes: tuple[Sided, ...]
    titles: tuple[str, ...]
    probability: float
    told_by: str
    minutes: float
    found: bool = False

    @property
    def title(self) -> str:
        """The causes in words."""
        return "; or: ".join(self.titles)


class Unexplained(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that is there, but most likely explained by none of the causes."""

    sign: str
    side: Side
    title: str
    probability: float


class Conflict(msgspec.Struct, frozen=True, kw_only=True):
    """Two signs, by their titles, that rarely go together, and how rarely in bits; or `never`, by definition."""

    first: str
    second: str
    bits: float
    never: bool


class Again(msgspec.Struct, frozen=True, kw_only=True):
    """A figure too close to its limit to call; `repeats` is the number of readings that would decide it (0: none)."""

    reading: str
    said: str
    repeats: int


class ReadyItem(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that must be right before balancing: `right`, `wrong`, or `not checked`; how it is known; its check."""

    stage: str
    title: str
    state: str
    how: str
    check: str
    check_title: str
    minutes: float


class Proof(msgspec.Struct, frozen=True, kw_only=True):
    """The deciding check of a cause that is to be put right."""

    id: str
    title: str
    steps: tuple[str, ...]
    minutes: float
    engine: str
    cautions: tuple[str, ...]


class Advice(msgspec.Struct, frozen=True, kw_only=True):
    """The next step: `check` (do the first next check), `put right` (a cause), `none fits`, or `hand over`.

    `proof` is the cause's deciding check if it can be done here and has not been done. `on_trial`: the fault
    was found, but a bike that runs well may have it too; put it right and see whether the trouble goes.
    """

    kind: str
    says: str
    cause: str
    side: Side
    proven: bool
    proof: Proof | None
    then_must_hold: tuple[str, ...]
    on_trial: bool = False


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """Everything one diagnosis found, to be drawn on a terminal, a page or as JSON.

    `format` is the version of these fields: a program that reads reports checks it first. It goes up when a field
    is removed or changes meaning, not when one is added.

    `forbidden` is what must not be done with the bike as it is: cranking, running, throttling, riding. `causes` holds
    all causes; `likely` those worth reading, as lines. `too_little`: so little is known that the next
    question says more than these lines do.
    """

    format: int = FORMAT
    case: str
    bike: str
    complaint: str
    advice: Advice
    causes: tuple[RankedCause, ...]
    next_checks: tuple[NextCheck, ...]
    signs: tuple[SignState, ...]
    set_aside: tuple[SetAside, ...]
    readiness: tuple[ReadyItem, ...]
    measure_again: tuple[Again, ...]
    default_figures: tuple[str, ...]
    cautions: tuple[CautionShown, ...]
    remarks: tuple[str, ...]
    forbidden: tuple[str, ...]
    unexplained: tuple[Unexplained, ...]
    surprise: float
    conflicts: tuple[Conflict, ...]
    likely: tuple[Line, ...]
    too_little: bool
    order_of_work: tuple[str, ...]

    @property
    def odd(self) -> bool:
        """Whether the findings do not fit together: all of them at once are far rarer than each alone suggests."""
        return self.surprise >= ODD_FROM_BITS
